// Apertures and posts in the mesh: volumes in closed form, holes counted by Euler's formula, faults with
// places.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/loop_check.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/rim.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/wall_measure.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::surface;
using namespace archwright::tests;

namespace {

constexpr double pi = std::numbers::pi;

// Handles: 2 - 2 g = points - edges + triangles for a closed surface.
int genus(const TriangleMesh& mesh) {
    const auto euler = static_cast<std::ptrdiff_t>(mesh.points.size()) -
                       static_cast<std::ptrdiff_t>(mesh.triangles.size() * 3 / 2) +
                       static_cast<std::ptrdiff_t>(mesh.triangles.size());
    return static_cast<int>(2 - euler) / 2;
}

ShellMesh sound(const Shell& shell, int holes, double chord = tolerance::chord_mm) {
    auto mesh = mesh_shell(shell, {chord});
    INFO((mesh ? std::string() : mesh.fault().message));
    REQUIRE(mesh.ok());
    const Soundness found = find_soundness(mesh->mesh);
    CHECK(found.sound());
    CHECK(found.components == 1);
    CHECK(self_intersections(mesh->mesh, 4).empty());
    CHECK(genus(mesh->mesh) == holes);
    CHECK(mesh->uv.size() == mesh->mesh.points.size());
    return std::move(*mesh);
}

Post post_at(const PeriodicCurve& curve, double floor_z, double draft = 0.0) {
    return {"rearfoot", curve, draft, Vec3(0.0, 0.0, floor_z), -Vec3::UnitZ()};
}

PeriodicCurve clockwise(const PeriodicCurve& curve) {
    return curve.reversed();
}

}  // namespace

TEST_CASE("A curve run the other way passes the same points", "[loops]") {
    const PeriodicCurve curve = rounded_rectangle({60, 40}, {40, 24}, 8, 5);
    const PeriodicCurve other = curve.reversed();
    for (double s = 0; s < curve.period(); s += 0.37) {
        CHECK((other.point(s) - curve.point(curve.period() - s)).norm() < 1e-12);
        CHECK((other.tangent(s) + curve.tangent(curve.period() - s)).norm() < 1e-12);
    }
    CHECK(other.signed_area() == Approx(-curve.signed_area()));
}

TEST_CASE("A round aperture takes from a plate what Pappus says, with every rim", "[loops]") {
    const double r = 9.0, t = Plate::thickness;
    for (const bool turned : {false, true})
        for (const Rim::Kind kind : {Rim::Kind::square, Rim::Kind::bevelled, Rim::Kind::rounded}) {
            Plate made = plate(Rim::Kind::square);
            const PeriodicCurve hole = uv_circle({50, 42}, r, 48);
            made.shell.apertures.push_back({"heel", turned ? clockwise(hole) : hole, {kind, 0.5}});
            double truth = made.volume - pi * r * r * t;
            const RimRows rows = borders(made.shell)[1].rows(0.0);
            if (kind == Rim::Kind::rounded) {
                // a cubic's bulge, area 3/5 k t and moment 27/140 k^2 t, round the inside
                const double k = 2.0 / 3.0 * t;
                truth += 2 * pi * (r * 0.6 * k * t - 27.0 / 140.0 * k * k * t);
            } else if (kind == Rim::Kind::bevelled) {
                const double b = (rows.rows[1] - rows.rows[0]).head<2>().norm(),
                             h = rows.rows[1].z() - rows.rows[2].z();
                truth += 2 * pi * (r * b * (t + h) / 2 - b * b * (t + 2 * h) / 6);
            }
            INFO("rim " << static_cast<int>(kind) << " turned " << turned);
            // into the hole
            if (kind != Rim::Kind::square) CHECK((rows.rows[1] - Vec3(40, 2, t)).head<2>().norm() < r - 0.1);
            const ShellMesh mesh = sound(made.shell, 1, 0.002);
            CHECK(mesh.mesh.volume() == Approx(truth).epsilon(1e-4));
            CHECK(mesh.walls_end == mesh.mesh.triangles.size());
            CHECK(mesh.rims_end == mesh.walls_end);
        }
}

TEST_CASE("Apertures of a trough and a cap leave the closed forms' volumes", "[loops]") {
    Trough gutter = trough(48);
    const double per_area = Trough::t + Trough::t * Trough::t / (2.0 * Trough::R);
    double area = enclosed_area(gutter.shell.trim);
    int holes = 0;
    for (const Vec2& centre : {Vec2(40, 40), Vec2(80, 60), Vec2(115, 45)}) {
        const PeriodicCurve curve = uv_circle(centre, 6.0 + holes, 24);
        area -= std::abs(curve.signed_area());
        gutter.shell.apertures.push_back({"hole", curve, {Rim::Kind::square, 0.5}});
        ++holes;
    }
    CHECK(sound(gutter.shell, 3, 0.005).mesh.volume() == Approx(area * per_area).epsilon(2e-4));

    Cap cup = cap(40, 96);
    const double middle = cup.shell.carpet.u.length / 2, r = 12.0;
    cup.shell.apertures.push_back({"heel", uv_circle({middle, middle}, r, 48), {Rim::Kind::square, 0.5}});
    const double outer = Cap::R + Cap::t;
    const double truth = 2 * pi / 3 * (std::pow(outer, 3) - std::pow(Cap::R, 3)) *
                         (std::cos(r / Cap::R) - std::cos(Cap::r / Cap::R));
    CHECK(sound(cup.shell, 1, 0.005).mesh.volume() == Approx(truth).epsilon(3e-4));
}

TEST_CASE("A post under a plate is the block of its loop, wider or narrower by its draft", "[loops]") {
    // Steiner: offset inward by x takes L x - pi x^2 from the area of a convex loop
    const PeriodicCurve loop = rounded_rectangle({40, 40}, {36, 30}, 9, 10);
    const double area = enclosed_area(loop), round = length(loop), h = 6.0;
    for (const double draft : {0.0, 4.0, 15.0, -10.0}) {
        Plate made = plate(Rim::Kind::rounded);
        made.shell.posts.push_back(post_at(loop, -h, draft));
        const double slope = std::tan(draft * pi / 180);
        const double block = area * h - round * slope * h * h / 2 + pi * slope * slope * h * h * h / 3;
        INFO("draft " << draft);
        const ShellMesh mesh = sound(made.shell, 0, 0.005);
        CHECK(mesh.mesh.volume() == Approx(made.volume + block).epsilon(2e-4));
        CHECK(mesh.mesh.box().low.z() == Approx(-h));
        // the floor is flat, as large as the offset loop, and looks down
        double floor = 0;
        for (std::size_t k = mesh.walls_end; k < mesh.mesh.triangles.size(); ++k) {
            floor += mesh.mesh.area(k);
            CHECK(mesh.mesh.normal2(k).z() < 0);
        }
        const double in = slope * h;
        CHECK(floor == Approx(area - round * in + pi * in * in).epsilon(1e-3));
        // nothing of the underside is left within the loop
        const Outline outline(loop);
        for (std::size_t k = mesh.foot_side_end; k < mesh.underside_end; ++k) {
            Vec2 uv = Vec2::Zero();
            for (std::int32_t c : mesh.mesh.triangles[k]) uv += mesh.uv[static_cast<std::size_t>(c)] / 3.0;
            if (outline.inside(uv)) CHECK(outline.distance(uv) < 0.05);
        }
    }
}

TEST_CASE("A posted angle drops the floor by its tangent over the post", "[loops]") {
    for (const auto& [angle, across, drop] : {std::tuple(1.0, 70.0, 1.22), std::tuple(5.0, 80.0, 7.00)}) {
        Plate made = plate(Rim::Kind::square);
        const PeriodicCurve loop = rounded_rectangle({60, 40}, {across, 30}, 6, 10);
        const double a = angle * pi / 180;
        // the floor's plane through a place 9 mm below the loop's middle
        made.shell.posts.push_back(
            {"wedge", loop, 0.0, Vec3(50, 0, -9), Vec3(std::sin(a), 0.0, -std::cos(a))});
        const ShellMesh mesh = sound(made.shell, 0, 0.005);
        Box3 floor;
        const ShellMesh::Edge& edge = mesh.edges.back();
        for (std::size_t k = 0; k < edge.s.size(); ++k) floor.add(mesh.mesh.points[edge.lower + k]);
        // the curve through the rectangle's points swings out by a tenth of a millimetre
        CHECK(floor.size().x() == Approx(across).margin(0.3));
        CHECK(floor.size().z() / floor.size().x() * across == Approx(drop).margin(0.006));
        CHECK(std::atan2(floor.size().z(), floor.size().x()) == Approx(a).margin(0.05 * pi / 180));
        // tilted about its middle, the block keeps its volume
        CHECK(mesh.mesh.volume() == Approx(made.volume + enclosed_area(loop) * 9.0).epsilon(1e-4));
    }
}

TEST_CASE("Posts under a trough and a cap fill what lies between the underside and the floor", "[loops]") {
    Trough gutter = trough(48);
    const double Q = Trough::R + Trough::t, ground = -8.0;
    const PeriodicCurve loop = rounded_rectangle({50, 54}, {50, 36}, 9, 8);
    const double under_trough = integrate(loop, [&](const Vec2& uv) {
        const double a = (uv.y() - 50.0) / Trough::R;
        return (Trough::R - Q * std::cos(a) - ground) * Q * std::cos(a) / Trough::R;
    });
    gutter.shell.posts.push_back(post_at(loop, ground));
    CHECK(sound(gutter.shell, 0, 0.005).mesh.volume() == Approx(gutter.volume + under_trough).epsilon(2e-4));

    Cap cup = cap(40, 96);
    const double middle = cup.shell.carpet.u.length / 2, outer = Cap::R + Cap::t;
    const PeriodicCurve ring = uv_circle({middle + 5, middle - 3}, 18, 32);
    const double under_cap = integrate(ring, [&](const Vec2& uv) {
        const double rho = (uv - Vec2(middle, middle)).norm(), a = rho / Cap::R;
        const double stretch = rho > 1e-6 ? std::sin(a) / rho : 1.0 / Cap::R;
        return (Cap::R - outer * std::cos(a) + 12.0) * outer * outer * stretch * std::cos(a) / Cap::R;
    });
    cup.shell.posts.push_back(post_at(ring, -12.0));
    CHECK(sound(cup.shell, 0, 0.005).mesh.volume() == Approx(cup.volume + under_cap).epsilon(3e-4));
}

TEST_CASE("A post alone is a closed body of its own: the block of its loop, its angle, its floor",
          "[loops]") {
    const PeriodicCurve loop = rounded_rectangle({40, 40}, {36, 30}, 9, 10);
    const double area = enclosed_area(loop), round = length(loop), h = 6.0;
    const Plate flat = plate(Rim::Kind::square);
    for (const bool backwards : {false, true})
        for (const double draft : {0.0, 15.0, -10.0}) {
            INFO("draft " << draft << (backwards ? ", curve run clockwise" : ""));
            const Post post = post_at(backwards ? clockwise(loop) : loop, -h, draft);
            const auto mesh = mesh_post(flat.shell.underside, post, {0.005});
            REQUIRE(mesh.ok());
            CHECK(find_soundness(mesh->mesh).sound());
            CHECK(find_soundness(mesh->mesh).components == 1);
            CHECK(self_intersections(mesh->mesh, 4).empty());
            const double slope = std::tan(draft * pi / 180);
            CHECK(mesh->mesh.volume() ==
                  Approx(area * h - round * slope * h * h / 2 + pi * slope * slope * h * h * h / 3)
                      .epsilon(3e-4));
            for (std::size_t k = 0; k < mesh->foot_side_end; ++k) CHECK(mesh->mesh.normal2(k).z() > 0);
            for (std::size_t k = mesh->walls_end; k < mesh->mesh.triangles.size(); ++k)
                CHECK(mesh->mesh.normal2(k).z() < 0);
        }
    // under a trough the shell with its post is the shell and the post
    Trough gutter = trough(48);
    const Post post = post_at(rounded_rectangle({50, 54}, {50, 36}, 9, 8), -8.0, 3.0);
    const auto alone = mesh_post(gutter.shell.underside, post, {0.005});
    REQUIRE(alone.ok());
    const double shell = sound(gutter.shell, 0, 0.005).mesh.volume();
    gutter.shell.posts.push_back(post);
    CHECK(sound(gutter.shell, 0, 0.005).mesh.volume() == Approx(shell + alone->mesh.volume()).epsilon(2e-4));
    CHECK_FALSE(mesh_post(gutter.shell.underside, post_at(uv_circle({50, 50}, 14), 30.0)).ok());
}

TEST_CASE("A shell without loops has one edge and no walls", "[loops]") {
    const ShellMesh mesh = sound(plate(Rim::Kind::rounded).shell, 0);
    CHECK(mesh.edges.size() == 1);
    CHECK(mesh.underside_end == 2 * mesh.foot_side_end);
    CHECK(mesh.rims_end == mesh.mesh.triangles.size());
}

TEST_CASE("A changed shell moves rims, walls and floors too", "[loops]") {
    Plate made = plate(Rim::Kind::rounded);
    made.shell.apertures.push_back({"a", uv_circle({80, 45}, 8), {Rim::Kind::rounded, 0.5}});
    made.shell.posts.push_back(post_at(uv_circle({40, 40}, 14), -5.0, 3.0));
    ShellMesh mesh = sound(made.shell, 1);
    const auto points = mesh.mesh.points;
    reevaluate(mesh, made.shell);
    CHECK(points == mesh.mesh.points);
    const double before = mesh.mesh.volume();
    made.shell.posts[0].floor_point.z() = -7.0;
    for (Vec3& p : made.shell.foot_side.control) p.z() += 1.0;
    reevaluate(mesh, made.shell);
    CHECK(find_soundness(mesh.mesh).sound());
    const double floor = pi * std::pow(14 - 6 * std::tan(3 * pi / 180), 2);
    CHECK(mesh.mesh.volume() > before + 2 * 0.98 * floor + 0.9 * enclosed_area(made.shell.trim));
    CHECK(mesh.mesh.box().low.z() == Approx(-7.0));
}

TEST_CASE("A mesh with loops is the same for any number of threads", "[loops]") {
    Trough gutter = trough(24);
    gutter.shell.rim.kind = Rim::Kind::rounded;
    gutter.shell.apertures.push_back({"a", uv_circle({110, 45}, 8), {Rim::Kind::bevelled, 0.5}});
    gutter.shell.posts.push_back(post_at(uv_circle({50, 50}, 14), -6.0, 2.0));
    std::vector<TriangleMesh> meshes;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        auto mesh = mesh_shell(gutter.shell);
        REQUIRE(mesh.ok());
        meshes.push_back(std::move(mesh->mesh));
    }
    set_thread_count(0);
    for (const std::size_t k : {1U, 2U}) {
        CHECK(meshes[0].points == meshes[k].points);
        CHECK(meshes[0].triangles == meshes[k].triangles);
    }
}

TEST_CASE("Loops that cannot be made are refused with their names and the place", "[loops]") {
    const auto fault_of = [](const Shell& shell) {
        const auto mesh = mesh_shell(shell);
        REQUIRE_FALSE(mesh.ok());
        CHECK(mesh.fault().kind == FaultKind::check);
        return mesh.fault();
    };
    const auto near_to = [](const Fault& fault, const Vec2& plan, double reach) {
        REQUIRE(fault.where.has_value());
        CHECK((fault.where->head<2>() - plan).norm() < reach);
    };
    const auto says = [](const Fault& fault, const std::vector<std::string>& words) {
        for (const std::string& word : words) {
            INFO(fault.message);
            CHECK(fault.message.find(word) != std::string::npos);
        }
    };
    // in plan the plate's (u,v) = (x + 10, y + 40); its trim spans u 10..110, v 10..70
    Shell shell = plate(Rim::Kind::rounded).shell;
    const Rim round{Rim::Kind::rounded, 0.5};
    SECTION("over the trim") {
        shell.apertures.push_back({"met", uv_circle({108, 40}, 5), round});
        const Fault fault = fault_of(shell);
        says(fault, {"Aperture \"met\"", "the trim line"});
        near_to(fault, {103, 0}, 3.0);
    }
    SECTION("near the trim, to the tenth of a millimetre") {
        const double needed = 1.0 + 0.75 * 2.0 / 3.0 * Plate::thickness;
        for (const double off : {-0.05, 0.05}) {
            shell.apertures = {{"met", uv_circle({110 - needed - 6 + off, 40}, 6, 64), round}};
            CHECK(check_loops(shell).ok() == (off < 0));
        }
        const Fault fault = fault_of(shell);
        says(fault, {"Aperture \"met\"", "the trim line", "2.5 mm are needed"});
        near_to(fault, {98.5, 0}, 1.6);
    }
    SECTION("near another, over it, within it") {
        shell.apertures.push_back({"one", uv_circle({50, 40}, 6, 48), round});
        shell.posts.push_back(post_at(uv_circle({50 + 6 + 8 + 2.45, 40}, 8, 48), -5));
        says(fault_of(shell), {"aperture \"one\"", "Post \"rearfoot\""});
        shell.posts[0].curve = uv_circle({50 + 6 + 8 + 2.55, 40}, 8, 48);
        CHECK(check_loops(shell).ok());
        shell.posts[0].curve = uv_circle({60, 40}, 8, 48);
        const Fault crossing = fault_of(shell);
        says(crossing, {"aperture \"one\"", "Post \"rearfoot\"", "crosses"});
        near_to(crossing, {45, 0}, 8.0);
        shell.posts[0].curve = uv_circle({50, 40}, 15, 48);
        says(fault_of(shell), {"Aperture \"one\" lies within post \"rearfoot\"", "cannot be made"});
        shell.posts.clear();
        shell.apertures.push_back({"two", uv_circle({51, 40}, 2, 48), {Rim::Kind::square, 0.5}});
        says(fault_of(shell), {"Aperture \"two\" lies within aperture \"one\""});
    }
    SECTION("a flare keeps clear of other loops, not of the trim") {
        shell.rim.kind = Rim::Kind::square;
        shell.posts.push_back(post_at(uv_circle({27, 40}, 15, 48), -5, -20));
        CHECK(check_loops(shell).ok());
        shell.posts.push_back(
            {"forefoot", uv_circle({60, 40}, 15, 48), -20.0, Vec3(0, 0, -5), -Vec3::UnitZ()});
        says(fault_of(shell), {"Post \"forefoot\"", "post \"rearfoot\""});
        shell.posts[1].curve = uv_circle({63, 40}, 15, 48);
        CHECK(sound(shell, 0).edges.size() == 3);
    }
    SECTION("a curve that crosses itself") {
        PeriodicCurve curve = uv_circle({60, 40}, 10, 12);
        std::swap(curve.control[3], curve.control[6]);
        shell.apertures.push_back({"eight", curve, round});
        const Fault fault = fault_of(shell);
        says(fault, {"Aperture \"eight\" crosses itself"});
        near_to(fault, {50, 0}, 11.0);
    }
    SECTION("no curve at all") {
        shell.apertures.push_back({"none", {}, round});
        says(fault_of(shell), {"Aperture \"none\"", "control points"});
        shell.apertures[0].curve.control.assign(6, Vec2(60, 40));
        fault_of(shell);
        shell.apertures[0].curve.control[2].x() = std::numeric_limits<double>::quiet_NaN();
        fault_of(shell);
    }
    SECTION("an aperture too small for its rim") {
        shell.apertures.push_back({"pin", uv_circle({60, 40}, 1.2, 12), round});
        const Fault fault = fault_of(shell);
        says(fault, {"Aperture \"pin\"", "radius"});
        near_to(fault, {50, 0}, 1.5);
        shell.apertures[0].rim.kind = Rim::Kind::square;
        sound(shell, 1);
    }
    SECTION("a floor above the underside, by its amount and at its place") {
        const double a = 5 * pi / 180;
        const PeriodicCurve loop = rounded_rectangle({60, 40}, {60, 30}, 6, 8);
        shell.posts.push_back({"wedge", loop, 0.0, Vec3(50, 0, -1), Vec3(std::sin(a), 0.0, -std::cos(a))});
        double far = 0;
        for (double s = 0; s < loop.period(); s += 0.01) far = std::max(far, loop.point(s).x() - 60);
        const double above = far * std::tan(a) - 1;
        const Fault fault = fault_of(shell);
        says(fault, {"post \"wedge\"", "above", rounded(above, 2)});
        REQUIRE(fault.where.has_value());
        CHECK(fault.where->x() == Approx(50 + far).margin(0.01));
        shell.posts[0].floor_point.z() = -1 - above - 0.1;
        says(fault_of(shell), {"0.10 mm below"});
        shell.posts[0].floor_point.z() = -1 - above - 0.25;
        CHECK(check_loops(shell).ok());
    }
    SECTION("numbers out of range") {
        shell.posts.push_back(post_at(uv_circle({60, 40}, 12), -5, 50));
        says(fault_of(shell), {"Post \"rearfoot\"", "50"});
        shell.posts[0].draft_deg = std::numeric_limits<double>::quiet_NaN();
        fault_of(shell);
        shell.posts[0] = post_at(uv_circle({60, 40}, 12), -5);
        for (const Vec3& normal : {Vec3(0, 0, 1), Vec3(1, 0, -1), Vec3(0, 0, 0)}) {
            shell.posts[0].floor_normal = normal;
            says(fault_of(shell), {"tilted"});
        }
    }
    SECTION("a draft that folds the walls") {
        shell.posts.push_back(post_at(uv_circle({60, 40}, 6, 24), -12, 30));
        says(fault_of(shell), {"post \"rearfoot\"", "fold"});
    }
}

TEST_CASE("A post on too steep an underside is refused where it is steepest", "[loops]") {
    // n.z = cos a along the gutter; the loop reaches to v = 50 +- w
    for (const double w : {66.0, 72.0}) {
        Trough gutter = trough(48);
        const Basis u{51, 160.0}, v{51, 200.0};
        const auto half = [&](double radius) {
            return interpolating(u, v, [radius](double x, double s) {
                const double a = (s - 100.0) / Trough::R;
                return Vec3(x, radius * std::sin(a), Trough::R - radius * std::cos(a));
            });
        };
        gutter.shell.carpet = gutter.shell.foot_side = half(Trough::R);
        gutter.shell.underside = half(Trough::R + Trough::t);
        gutter.shell.trim = rounded_rectangle({80, 100}, {140, 180}, 20, 14);
        gutter.shell.posts.push_back(post_at(rounded_rectangle({80, 100}, {60, 2 * w}, 12, 12), -6));
        const auto mesh = mesh_shell(gutter.shell);
        const double cosine = std::cos(w / Trough::R);
        INFO("n.z " << cosine);
        CHECK(mesh.ok() == (cosine >= tolerance::post_cosine));
        if (mesh.ok()) {
            sound(gutter.shell, 0);
            // narrowing walls go down less steeply than the surface beside them
            gutter.shell.posts[0].draft_deg = 20;
            const auto narrow = mesh_shell(gutter.shell);
            REQUIRE_FALSE(narrow.ok());
            CHECK(narrow.fault().message.find("draft") != std::string::npos);
        } else {
            CHECK(mesh.fault().message.find("too steep for the wall of post \"rearfoot\"") !=
                  std::string::npos);
            REQUIRE(mesh.fault().where.has_value());
            CHECK(std::abs(mesh.fault().where->y()) ==
                  Approx((Trough::R + Trough::t) * std::sin(w / Trough::R)).margin(0.1));
        }
    }
}

TEST_CASE("The wall is measured beside loops as beside the trim, and not above posts", "[loops]") {
    Plate made = plate(Rim::Kind::rounded, 24);
    const double t = Plate::thickness;
    const WallFunction asked = [t](const Vec2&, const Vec3&) { return t; };
    const WallGate plain = measure_wall(made.shell, asked, Outline(made.shell.trim));
    const PeriodicCurve hole = uv_circle({85, 40}, 9, 48), loop = uv_circle({45, 40}, 14, 48);
    made.shell.apertures.push_back({"a", hole, {Rim::Kind::rounded, 0.5}});
    made.shell.posts.push_back(post_at(loop, -6));
    const WallGate gate = measure_wall(made.shell, asked, Outline(made.shell.trim));
    CHECK(gate.ok());
    CHECK(gate.least_wall_mm == Approx(t).margin(1e-3));
    CHECK(gate.rim_least_mm == Approx(t).margin(1e-3));
    // what is left out: discs of the loops' radii and 1.5 walls
    const double cell = 0.7 * 0.7 * 0.98;
    const double out = pi * (std::pow(9 + 1.5 * t, 2) + std::pow(14 + 1.5 * t, 2));
    CHECK(static_cast<double>(plain.samples - gate.samples) == Approx(out / cell).epsilon(0.06));
    for (const WallSample& sample : gate.map) {
        CHECK((sample.uv - Vec2(85, 40)).norm() > 9 + 1.5 * t - 0.02);
        CHECK((sample.uv - Vec2(45, 40)).norm() > 14 + 1.5 * t - 0.02);
    }
    // a dent beside the aperture is its rim's, one beside the post no one's, one further off the wall's
    const auto dented = [&](const Vec2& at) {
        Shell shell = made.shell;
        for (int i = 0; i < shell.underside.u.count; ++i)
            for (int j = 0; j < shell.underside.v.count; ++j) {
                const Vec2 uv(shell.underside.u.greville(i), shell.underside.v.greville(j));
                shell.underside.control[static_cast<std::size_t>(i) * shell.underside.v.count + j].z() +=
                    1.5 * std::exp(-(uv - at).squaredNorm() / 6.0);
            }
        return measure_wall(shell, asked, Outline(shell.trim));
    };
    const WallGate rim = dented({85, 40 + 10.5});
    CHECK(rim.rim_least_mm < t - 0.5);
    CHECK((rim.rim_where.head<2>() - Vec2(75, 10.5)).norm() < 2.0);
    CHECK(rim.least_wall_mm > rim.rim_least_mm + 0.3);
    const WallGate post = dented({45, 40});
    CHECK(post.rim_least_mm == Approx(t).margin(0.02));
    CHECK(post.least_wall_mm > t - 0.02);
    const WallGate wall = dented({65, 40});
    CHECK(wall.least_wall_mm < t - 0.5);
    CHECK_FALSE(wall.ok());
}
