// Cutters let down on triangles: closed forms, and what no cutter may do on any triangles.
#include <catch2/catch.hpp>
#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/mill/drop.hpp"
#include "tests/mill/random.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::mill;
using tests::Draw;

namespace {

constexpr double exact_mm = 1e-9;

Touch down(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c) {
    Touch touch;
    touch.z = -1e6;
    drop_on(cutter, x, y, a, b, c, 0, touch);
    return touch;
}

/// A triangle in the plane through p across n, p well within.
std::array<Vec3, 3> facet(const Vec3& p, const Vec3& n, double size, double turn) {
    const Vec3 e = n.unitOrthogonal(), f = n.cross(e);
    std::array<Vec3, 3> corners;
    for (int i = 0; i < 3; ++i) {
        const double angle = turn + i * 2.0 * std::numbers::pi / 3.0;
        corners[i] = p + size * (std::cos(angle) * e + std::sin(angle) * f);
    }
    return corners;
}

Vec3 upward(Draw& draw) {
    const double steep = draw.between(0.0, 1.55), round = draw.between(0.0, 2.0 * std::numbers::pi);
    return {std::sin(steep) * std::cos(round), std::sin(steep) * std::sin(round), std::cos(steep)};
}

}  // namespace

TEST_CASE("a cutter on a plane of any slope stands as its end's geometry says") {
    Draw draw(tests::seed());
    const int count = tests::cases(20000, 4000, "cutters on planes");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = draw.cutter();
        const double slope = draw.between(0.0, 80.0) * std::numbers::pi / 180.0;
        const double round = draw.between(0.0, 2.0 * std::numbers::pi);
        const Vec3 n(std::sin(slope) * std::cos(round), std::sin(slope) * std::sin(round), std::cos(slope));
        const Vec3 p = draw.point(20.0);
        const auto corners = facet(p, n, 4000.0, draw.between(0.0, 6.0));
        const double x = p.x() + draw.between(-5.0, 5.0), y = p.y() + draw.between(-5.0, 5.0);
        const double plane = p.z() - (n.x() * (x - p.x()) + n.y() * (y - p.y())) / n.z();
        // the flat's edge rides uphill; the round end then touches along the normal
        const double stands = plane + cutter.flat_radius() * std::tan(slope) +
                              cutter.corner_radius * (1.0 / std::cos(slope) - 1.0);
        const Touch touch = down(cutter, x, y, corners[0], corners[1], corners[2]);
        // corners 4 m away carry their last digits here, steeper the more
        CHECK(touch.z == Approx(stands).margin(exact_mm / std::cos(slope)));
        CHECK(touch.on == Touch::On::facet);
        const Touch turned = down(cutter, x, y, corners[0], corners[2], corners[1]);
        CHECK(turned.z == Approx(touch.z).margin(exact_mm / std::cos(slope)));
    }
}

TEST_CASE("a cutter touches a sphere, and a cylinder, where their normals meet") {
    // facets tangent at the place of contact: there the polyhedron is the surface itself
    Draw draw(tests::seed() + 1);
    const int count = tests::cases(20000, 4000, "cutters on spheres and cylinders");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = draw.cutter();
        const double rho = draw.between(1.0, 60.0);
        const Vec3 centre = draw.point(20.0), n = upward(draw);
        const Vec3 contact = centre + rho * n;
        const auto corners = facet(contact, n, 1e-3 * rho, draw.between(0.0, 6.0));
        const double level = std::hypot(n.x(), n.y());
        if (level < 1e-6) continue;
        const double out = cutter.flat_radius() / level + cutter.corner_radius;
        const double x = contact.x() + out * n.x(), y = contact.y() + out * n.y();
        const double stands = contact.z() + cutter.corner_radius * (n.z() - 1.0);
        const Touch touch = down(cutter, x, y, corners[0], corners[1], corners[2]);
        CHECK(touch.z == Approx(stands).margin(exact_mm));
        if (cutter.ball())  // its centre keeps rho + r from the sphere's
            CHECK((Vec3(x, y, touch.z + cutter.radius()) - centre).norm() ==
                  Approx(rho + cutter.radius()).margin(exact_mm));
        // a cylinder: a strip tangent along a generator across n
        const Vec3 along = n.unitOrthogonal();
        const Vec3 across = n.cross(along) * 1e-3 * rho;
        const Touch strip = down(cutter, x, y, contact - 50.0 * along - across,
                                 contact + 50.0 * along - across, contact + across);
        CHECK(strip.z == Approx(stands).margin(exact_mm));
    }
}

TEST_CASE("a ball on an edge keeps its radius from it; on a point too") {
    Draw draw(tests::seed() + 2);
    const int count = tests::cases(20000, 4000, "balls on edges and points");
    for (int i = 0; i < count; ++i) {
        Cutter cutter = draw.cutter();
        cutter.corner_radius = cutter.radius();
        const double r = cutter.radius();
        const Vec3 p = draw.point(10.0);
        Vec3 d = draw.point(1.0);
        d.normalize();
        // an edge whose third corner hangs straight below: no facet is met
        const Vec3 q = p + 30.0 * d, o = p - 30.0 * d;
        const double x = p.x() + draw.between(-0.5, 0.5) * r, y = p.y() + draw.between(-0.5, 0.5) * r;
        const Vec3 below = p - Vec3(0, 0, 500.0);
        const Touch touch = down(cutter, x, y, o, q, below);
        if (touch.on != Touch::On::edge || std::abs(d.z()) > 0.9) continue;
        const Vec3 c(x, y, touch.z + r);
        CHECK((c - p).cross(d).norm() == Approx(r).margin(exact_mm));
        const Touch point = down(cutter, x, y, p, p - Vec3(0.0, 0.0, 50.0), p - Vec3(1e-3, 0.0, 50.0));
        CHECK((Vec3(x, y, point.z + r) - p).norm() == Approx(r).margin(exact_mm));
    }
}

TEST_CASE("a bull on an edge stands where a search over the whole edge puts it") {
    Draw draw(tests::seed() + 3);
    const int count = tests::cases(5000, 1000, "bulls on edges");
    for (int i = 0; i < count; ++i) {
        Cutter cutter = draw.cutter();
        cutter.corner_radius = draw.between(0.02, 0.98) * cutter.radius();
        const Vec3 p = draw.point(8.0), q = draw.point(8.0);
        const Touch touch = down(cutter, 0.0, 0.0, p, q, 0.5 * (p + q) - Vec3(0, 0, 500.0));
        if (touch.on == Touch::On::nothing || touch.on == Touch::On::facet) continue;
        const auto stands = [&](double share) {
            const Vec3 at = p + share * (q - p);
            const double from_axis = std::hypot(at.x(), at.y());
            return from_axis > cutter.radius() ? -1e9 : at.z() - cutter.rise(from_axis);
        };
        double best = -1e9, low = 0.0, high = 1.0;
        for (int k = 0; k <= 2000; ++k)
            if (const double share = k / 2000.0; stands(share) > best) {
                best = stands(share);
                low = std::max(0.0, share - 1.0 / 2000.0);
                high = std::min(1.0, share + 1.0 / 2000.0);
            }
        for (int k = 0; k < 200; ++k) {  // the end is convex: one hill
            const double a = low + (high - low) / 3.0, b = high - (high - low) / 3.0;
            (stands(a) < stands(b) ? low : high) = stands(a) < stands(b) ? a : b;
        }
        best = std::max(best, stands(0.5 * (low + high)));
        CHECK(touch.z >= best - exact_mm);
        CHECK(touch.z == Approx(best).margin(1e-7));  // the search's own doubt at the cutter's border
    }
}

TEST_CASE("random triangles: nothing is cut into, something is touched, and every route agrees") {
    Draw draw(tests::seed() + 4);
    const int count = tests::cases(400, 60, "heaps of triangles");
    for (int i = 0; i < count; ++i) {
        const Cutter cutter = draw.cutter();
        TriangleMesh mesh;
        const int triangles = 1 + draw.of(60);
        const double size = draw.between(0.5, 12.0);
        for (int k = 0; k < triangles; ++k) {
            const Vec3 place = draw.point(25.0);
            for (int corner = 0; corner < 3; ++corner) mesh.points.push_back(place + draw.point(size));
            mesh.triangles.push_back({3 * k, 3 * k + 1, 3 * k + 2});
        }
        const DropGrid grid(mesh, cutter, false);
        for (int k = 0; k < 20; ++k) {
            const double x = draw.between(-35.0, 35.0), y = draw.between(-35.0, 35.0), floor = -60.0;
            const Touch touch = grid.touch(x, y, floor);
            Touch plain;
            plain.z = floor;
            for (int t = 0; t < triangles; ++t)
                drop_on(cutter, x, y, mesh.points[3 * t], mesh.points[3 * t + 1], mesh.points[3 * t + 2], t,
                        plain);
            REQUIRE(touch.z == plain.z);
            if (touch.on != Touch::On::nothing) {
                // what it touches lies on its end, and on the triangle
                const Triangle& t = mesh.triangles[touch.triangle];
                const double from_axis = std::hypot(touch.place.x() - x, touch.place.y() - y);
                CHECK(from_axis <= cutter.radius() + exact_mm);
                CHECK(touch.z + cutter.rise(std::min(from_axis, cutter.radius())) ==
                      Approx(touch.place.z()).margin(1e-7));
                const Vec3 n = mesh.normal2(touch.triangle).normalized();
                CHECK(std::abs(n.dot(touch.place - mesh.points[t[0]])) < 1e-8);
            }
            for (int sample = 0; sample < 300; ++sample) {  // no place of any triangle is within it
                const int t = draw.of(triangles);
                double u = draw.between(0.0, 1.0), v = draw.between(0.0, 1.0);
                if (u + v > 1.0) {
                    u = 1.0 - u;
                    v = 1.0 - v;
                }
                const Vec3 p = mesh.points[3 * t] + u * (mesh.points[3 * t + 1] - mesh.points[3 * t]) +
                               v * (mesh.points[3 * t + 2] - mesh.points[3 * t]);
                const double from_axis = std::hypot(p.x() - x, p.y() - y);
                if (from_axis <= cutter.radius()) CHECK(p.z() <= touch.z + cutter.rise(from_axis) + exact_mm);
            }
        }
    }
}

TEST_CASE("what looks down on a closed body never stops a cutter; from below it is the body turned over") {
    Draw draw(tests::seed() + 5);
    TriangleMesh ball;  // a sphere of radius 10, closed
    const int around = 48, levels = 24;
    ball.points.emplace_back(0, 0, 10);
    for (int i = 1; i < levels; ++i)
        for (int k = 0; k < around; ++k) {
            const double a = std::numbers::pi * i / levels, b = 2.0 * std::numbers::pi * k / around;
            ball.points.emplace_back(10 * std::sin(a) * std::cos(b), 10 * std::sin(a) * std::sin(b),
                                     10 * std::cos(a));
        }
    ball.points.emplace_back(0, 0, -10);
    const auto at = [&](int i, int k) {
        return i == 0        ? 0
               : i == levels ? 1 + (levels - 1) * around
                             : 1 + (i - 1) * around + (k + around) % around;
    };
    for (int i = 0; i < levels; ++i)
        for (int k = 0; k < around; ++k) {
            if (i > 0) ball.triangles.push_back({at(i, k), at(i + 1, k), at(i, k + 1)});
            if (i + 1 < levels) ball.triangles.push_back({at(i, k + 1), at(i + 1, k), at(i + 1, k + 1)});
        }
    REQUIRE(ball.volume() > 0.0);
    for (int i = 0; i < 40; ++i) {
        const Cutter cutter = draw.cutter();
        const DropGrid closed(ball, cutter), open(ball, cutter, false);
        const DropGrid below(turned_over(ball), cutter);
        for (int k = 0; k < 50; ++k) {
            const double x = draw.between(-18.0, 18.0), y = draw.between(-18.0, 18.0);
            const Touch touch = closed.touch(x, y, -30.0);
            CHECK(touch.z == open.touch(x, y, -30.0).z);
            CHECK(below.touch(x, -y, -30.0).z == Approx(touch.z).margin(1e-12));
            // the sphere itself, a cutter's end at most a sagitta above its facets
            const double d = std::hypot(x, y), a = cutter.flat_radius(), c = cutter.corner_radius;
            if (d > a + c + 9.9 || c < 0.5) continue;
            const double beyond = std::max(0.0, d - a);
            const double stands =
                beyond > c + 10.0 ? -30.0 : std::sqrt((c + 10.0) * (c + 10.0) - beyond * beyond) - c;
            if (beyond < 0.8 * (c + 10.0)) CHECK(touch.z == Approx(stands).margin(0.2));
            CHECK(touch.z <= stands + 1e-9);
        }
    }
}
