// Parts of their own on plane, cylinder and sphere: closed forms and integrations of their own.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "engine/base/tolerances.hpp"
#include "engine/feature/part.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"
#include "tests/support/analytic.hpp"

using namespace archwright;
using namespace archwright::tests;
using feature::Feature;

namespace {

using std::numbers::pi;

struct PartBench {
    AnalyticSurface exact;
    surface::SplineSurface carpet;
    surface::PeriodicCurve trim;
    foot::Landmarks landmarks;
    surface::TrimRule heads;

    explicit PartBench(AnalyticSurface surface) : exact(std::move(surface)), carpet(exact.carpet(60, 36)) {
        const Vec2 size(exact.length_u, exact.length_v);
        trim = uv_circle(0.5 * size, 0.42 * exact.length_v, 48);
        heads.first_head = place(0.75, 0.9);
        heads.fifth_head = place(0.65, 0.1);
        heads.heel_centre = place(0.1, 0.5);
        landmarks[foot::LandmarkId::second_head_plantar].position = place(0.72, 0.55);
    }
    Vec3 place(double u, double v) const { return exact.point(Vec2(u * exact.length_u, v * exact.length_v)); }
    surface::TrimRegion region() const { return surface::TrimRegion(surface::Outline(trim)); }
    feature::FeatureMap lay(const std::vector<Feature>& features) const {
        const auto map = feature::FeatureMap::lay(features, {carpet, landmarks, {}}, heads);
        if (!map.ok()) FAIL(map.fault().message);
        return *map;
    }
    surface::SplineSurface foot_side(const feature::FeatureMap& map) const {
        surface::UndersideSettings settings;
        settings.within = trim;
        auto sides = surface::roll_underside(
            carpet, map.of_shell().sheets([](const Vec2&, const Vec3&) { return 3.2; }, 1.5), settings);
        if (!sides.ok()) FAIL(sides.fault().message);
        return std::move(sides->foot_side);
    }
    Outcome<feature::LaidPart> part(const std::vector<Feature>& features, std::size_t which = 0) const {
        const auto map = lay(features);
        return feature::lay_part(map.laid()[which], map, carpet, foot_side(map), region());
    }
};

std::vector<PartBench> part_benches() {
    std::vector<PartBench> all;
    all.emplace_back(plane(160, 100));
    all.emplace_back(cylinder(160, 100, 60));
    all.emplace_back(sphere(160, 100, 120));
    return all;
}

Feature seat(const PartBench& b) {
    Feature c;
    c.name = "plug";
    c.points = {b.place(0.5, 0.5).head<2>()};
    c.width_mm = c.length_mm = 18;
    c.depth_mm = 2.5;
    c.flank_mm = 6;
    c.part.material = "eva_soft";
    return c;
}

Feature pad(const PartBench& b) {
    Feature p = seat(b);
    p.name = "pad";
    p.kind = Feature::Kind::pad;
    p.height_mm = 3.0;
    return p;
}

double quintic(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * t * (10.0 + t * (6.0 * t - 15.0));
}

// Half a section through the middle of a round seat, x outward and y towards the foot: a plane (bend 0) or a
// cup of radius 1 / bend.
struct Section {
    double bend = 0.0, radius = 9.0, flank = 6.0, depth = 2.5, proud = 0.0, clearance = 0.0;

    Vec2 carpet(double s) const {
        return bend == 0.0 ? Vec2(s, 0.0) : Vec2(std::sin(bend * s), 1.0 - std::cos(bend * s)) / bend;
    }
    Vec2 normal(double s) const {
        return bend == 0.0 ? Vec2(0.0, 1.0) : Vec2(-std::sin(bend * s), std::cos(bend * s));
    }
    double share(double s) const { return quintic(0.5 - (carpet(s).x() - radius) / flank); }
    Vec2 floor(double s) const { return carpet(s) - depth * share(s) * normal(s); }
    Vec2 top(double s) const { return carpet(s) + proud * share(s) * normal(s); }
    Vec2 bottom(double s) const {
        constexpr double h = 1e-4;
        const Vec2 along = (floor(s + h) - floor(s - h)).normalized();
        const double up_the_flank = std::clamp(0.5 + (carpet(s).x() - radius) / flank, 0.0, 1.0);
        return floor(s) + clearance * quintic(up_the_flank / 0.4) * Vec2(-along.y(), along.x());
    }
    // Where it is as thin as a part may be.
    double end() const {
        double in = 0.0, out = radius + flank;
        for (int k = 0; k < 60; ++k) {
            const double s = 0.5 * (in + out);
            ((top(s) - bottom(s)).dot(normal(s)) > tolerance::part_edge_mm ? in : out) = s;
        }
        return in;
    }
    // Of the body of revolution, by the polygon of its section (Pappus).
    double volume() const {
        constexpr int n = 4000;
        const double s1 = end();
        std::vector<Vec2> polygon;
        for (int k = 0; k <= n; ++k) polygon.push_back(bottom(s1 * k / n));
        for (int k = n; k >= 0; --k) polygon.push_back(top(s1 * k / n));
        double moment = 0.0;
        for (std::size_t k = 0; k < polygon.size(); ++k) {
            const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
            moment += (a.x() * b.y() - a.y() * b.x()) * (a.x() + b.x()) / 6.0;
        }
        return 2.0 * pi * moment;
    }
};

void check_sound(const surface::ShellMesh& mesh) {
    CHECK(find_soundness(mesh.mesh).sound());
    CHECK(find_soundness(mesh.mesh).components == 1);
    CHECK(self_intersections(mesh.mesh, 4).empty());
}

// Volume between the offsets by a and b of a surface of curvatures 1/R1, 1/R2 towards the foot, by area.
double between(double a, double b, double k1, double k2) {
    return (b - a) - 0.5 * (k1 + k2) * (b * b - a * a) + k1 * k2 * (b * b * b - a * a * a) / 3.0;
}

}  // namespace

TEST_CASE(
    "A plug fills its seat less the clearance: volume of the body of revolution, distance to the flank") {
    for (const double bend : {0.0, 1.0 / 120.0})
        for (const double clearance : {0.0, 0.3, 0.6})
            for (const double proud : {0.0, 1.0}) {
                const PartBench b(bend == 0.0 ? plane(160, 100) : sphere(160, 100, 120));
                INFO(b.exact.name << ", clearance " << clearance << ", proud " << proud);
                Feature f = seat(b);
                f.part.clearance_mm = clearance;
                f.part.proud_mm = proud;
                const auto part = b.part({f});
                if (!part.ok()) FAIL(part.fault().message);
                const auto mesh = surface::mesh_shell(part->body);
                REQUIRE(mesh.ok());
                check_sound(*mesh);
                CHECK(part->fit_mm < 0.01);
                CHECK(part->lost_share == Approx(0.0).margin(1e-9));
                const Section section{bend, 9.0, 6.0, 2.5, proud, clearance};
                CHECK(mesh->mesh.volume() == Approx(section.volume()).epsilon(0.004));

                // distances in the section, to a fine polygon of the seat
                std::vector<Vec2> floor;
                for (int k = 0; k <= 3000; ++k) floor.push_back(section.floor(18.0 * k / 3000));
                const Vec2 middle(0.5 * b.exact.length_u, 0.5 * b.exact.length_v);
                const Vec3 origin = b.exact.point(middle), up = b.exact.normal(middle);
                double least_side = 1e300, least = 1e300;
                for (std::size_t k = 0; k < mesh->underside_points; ++k) {
                    const std::size_t at = mesh->foot_side_points + k;
                    const Vec3 off = mesh->mesh.points[at] - origin;
                    const Vec2 p((off - up * off.dot(up)).norm(), off.dot(up));
                    double distance = 1e300;
                    for (const Vec2& q : floor) distance = std::min(distance, (p - q).norm());
                    least = std::min(least, distance);
                    if (part->side(mesh->uv[at]) == 1.0) least_side = std::min(least_side, distance);
                }
                CHECK(least_side == Approx(clearance).margin(0.015));
                CHECK(least < 0.01);  // it rests on the floor
            }
}

TEST_CASE("Plug and pad without clearance are the field between their surfaces") {
    for (const PartBench& b : part_benches()) {
        INFO(b.exact.name);
        const double k1 = b.exact.name == "plane" ? 0.0 : b.exact.name == "sphere" ? 1.0 / 120.0 : 1.0 / 60.0;
        const double k2 = b.exact.name == "sphere" ? k1 : 0.0;
        for (int which = 0; which < 4; ++which) {
            Feature f = which == 0 ? seat(b) : pad(b);
            f.part.clearance_mm = 0.0;
            if (which == 2) f.length_mm = 30.0, f.turn_deg = 25.0;
            if (which == 3) {
                f.kind = Feature::Kind::metatarsal_dome;
                f.points.clear();
                f.length_mm = 28.0;
                f.width_mm = 30.0;
                f.behind_mm = 10.0;
            }
            INFO("case " << which);
            const auto map = b.lay({f});
            const auto part = b.part({f});
            if (!part.ok()) FAIL(part.fault().message);
            const auto mesh = surface::mesh_shell(part->body);
            REQUIRE(mesh.ok());
            check_sound(*mesh);
            surface::PeriodicCurve curve = part->body.trim;
            for (Vec2& p : curve.control) p += part->origin;
            const double wanted = integrate(curve, [&](const Vec2& uv) {
                const surface::SurfacePoint at = b.exact.at(uv);
                const double h = map.height(uv);
                return at.su.cross(at.sv).norm() * between(std::min(h, 0.0), std::max(h, 0.0), k1, k2);
            });
            CHECK(mesh->mesh.volume() == Approx(wanted).epsilon(0.004));
            // and less than the whole feature by its thin edge alone: at most the area of the flank's foot
            double edge = 1e300, thickest = 0.0;
            for (double s = 0.0; s < curve.period(); s += 0.1) {
                const Vec2 uv = part->body.trim.point(s);
                edge =
                    std::min(edge, (part->body.foot_side.point(uv) - part->body.underside.point(uv)).norm());
                thickest = std::max(thickest,
                                    (part->body.foot_side.point(uv) - part->body.underside.point(uv)).norm());
            }
            CHECK(edge == Approx(tolerance::part_edge_mm).margin(0.02));
            CHECK(thickest == Approx(tolerance::part_edge_mm).margin(0.02));
        }
    }
}

TEST_CASE("The glue's gap lies under a pad and on the floor of a seat") {
    for (const PartBench& b : part_benches()) {
        INFO(b.exact.name);
        for (const bool plug : {false, true}) {
            Feature f = plug ? seat(b) : pad(b);
            f.part.glue_mm = 0.2;
            const auto map = b.lay({f});
            const auto shell = b.foot_side(map);
            const auto part = feature::lay_part(map.laid().front(), map, b.carpet, shell, b.region());
            if (!part.ok()) FAIL(part.fault().message);
            const surface::TrimRegion inside{surface::Outline(part->body.trim)};
            double least = 1e300, most = 0.0;
            for (double u = 0.0; u < part->body.underside.u.length; u += 0.5)
                for (double v = 0.0; v < part->body.underside.v.length; v += 0.5) {
                    const Vec2 uv(u, v);
                    if (!inside.inside(uv) || (plug && part->side(uv) > 1e-9)) continue;
                    Vec2 at = part->origin + uv;
                    const double distance = shell.project(part->body.underside.point(uv), at);
                    least = std::min(least, distance);
                    most = std::max(most, distance);
                }
            CHECK(least == Approx(0.2).margin(0.005));
            CHECK(most == Approx(0.2).margin(0.005));
        }
    }
}

TEST_CASE("The shell is undisturbed under a pad that is stuck on, and has the seat of a plug") {
    const PartBench b(cylinder(160, 100, 60));
    Feature p = pad(b), c = seat(b);
    p.points = {b.place(0.35, 0.5).head<2>()};
    c.points = {b.place(0.62, 0.5).head<2>()};
    const auto both = b.lay({p, c}), only = b.lay({c});
    for (const Vec2& uv : {Vec2(56, 50), Vec2(99, 50), Vec2(80, 40)}) {
        CHECK(both.of_shell().height(uv) == only.height(uv));
        INFO(uv.transpose());
    }
    CHECK(both.of_shell().height(Vec2(0.35 * 160, 50)) == 0.0);
    CHECK(both.height(Vec2(0.35 * 160, 50)) == Approx(3.0).margin(1e-6));
}

TEST_CASE("A part ends inside the trim line and tells what it lost there") {
    const PartBench b(plane(160, 100));
    Feature f = pad(b);
    f.length_mm = 40.0;
    f.points = {Vec2(80 + 36, 50)};  // the trim's circle has a radius of 42
    f.points = {b.exact.point(Vec2(80 + 36, 50)).head<2>()};
    const auto part = b.part({f});
    if (!part.ok()) FAIL(part.fault().message);
    CHECK(part->lost_share > 0.2);
    CHECK(part->lost_share < 0.8);
    const auto trim = b.region();
    for (double s = 0.0; s < part->body.trim.period(); s += 0.05) {
        const Vec2 uv = part->origin + part->body.trim.point(s);
        CHECK(trim.inside(uv));
        CHECK(trim.distance(uv, 50.0) > 0.8 * tolerance::loop_apart_mm);
    }
    const auto mesh = surface::mesh_shell(part->body);
    REQUIRE(mesh.ok());
    check_sound(*mesh);
}

TEST_CASE("A part that its least thickness cuts in two is refused") {
    const PartBench b(plane(160, 100));
    Feature p = pad(b);
    p.height_mm = 0.45;  // two lobes, and between them a neck that is thinner than 0.3 mm
    p.flank_mm = 20.0;
    p.points.clear();
    const Vec2 one = b.place(0.4, 0.5).head<2>(), other = one + Vec2(32.0, 0.0);
    constexpr int half = 12;
    for (int k = -half; k <= half; ++k) {
        const double t = 0.96 * pi * k / half;
        p.points.push_back(other + 9.0 * Vec2(std::cos(t), std::sin(t)));
    }
    for (int k = -half; k <= half; ++k) {
        const double t = pi + 0.96 * pi * k / half;
        p.points.push_back(one + 9.0 * Vec2(std::cos(t), std::sin(t)));
    }
    const auto refused = b.part({p});
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.fault().message.find("pieces") != std::string::npos);
    CHECK(refused.fault().message.find("pad") != std::string::npos);
}

TEST_CASE("What can be no part is refused with its name") {
    const PartBench b(plane(160, 100));
    const auto refused = [&](const std::vector<Feature>& features, const std::string& words) {
        const auto part = b.part(features);
        REQUIRE_FALSE(part.ok());
        INFO(part.fault().message);
        CHECK(part.fault().message.find("\"" + features.front().name + "\"") != std::string::npos);
        CHECK(part.fault().message.find(words) != std::string::npos);
    };
    Feature groove = seat(b);
    groove.kind = Feature::Kind::groove;
    groove.points = {b.place(0.4, 0.5).head<2>(), b.place(0.6, 0.5).head<2>()};
    refused({groove}, "cannot hold a part");
    Feature film = pad(b);
    film.height_mm = 0.25;
    refused({film}, "nothing of its part is left");
    Feature away = pad(b);
    away.points = {b.place(0.1, 0.5).head<2>()};
    refused({away}, "nothing of its part is left");
    Feature other = pad(b);
    other.name = "other";
    other.part.material.clear();
    other.points = {b.place(0.55, 0.5).head<2>()};
    refused({seat(b), other}, "cannot overlap \"other\"");
}
