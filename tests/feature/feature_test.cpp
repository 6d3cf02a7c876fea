// Reliefs and pads on plane, cylinder and sphere against closed forms and integrations of their own.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/feature/figures.hpp"
#include "engine/feature/line.hpp"
#include "engine/surface/underside.hpp"
#include "engine/surface/wall_measure.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::tests;
using feature::Feature;

namespace {

using std::numbers::pi;

struct Bench {
    AnalyticSurface exact;
    surface::SplineSurface carpet;
    surface::PeriodicCurve trim;
    foot::Landmarks landmarks;
    surface::TrimRule heads;

    explicit Bench(AnalyticSurface surface) : exact(std::move(surface)), carpet(exact.carpet(60, 36)) {
        const Vec2 size(exact.length_u, exact.length_v);
        trim = uv_circle(0.5 * size, 0.42 * exact.length_v, 48);
        heads.first_head = place(0.75, 0.9);
        heads.fifth_head = place(0.65, 0.1);
        heads.heel_centre = place(0.1, 0.5);
        landmarks[foot::LandmarkId::second_head_plantar].position = place(0.72, 0.55);
    }
    Vec3 place(double u, double v) const { return exact.point(Vec2(u * exact.length_u, v * exact.length_v)); }
    feature::FeatureMap lay(const std::vector<Feature>& features) const {
        const auto map = feature::FeatureMap::lay(features, {carpet, landmarks, {}}, heads);
        if (!map.ok()) FAIL(map.fault().message);
        return *map;
    }
    surface::Sides roll(const feature::FeatureMap& map, double wall, double least) const {
        surface::UndersideSettings settings;
        settings.within = trim;
        auto sides = surface::roll_underside(
            carpet, map.sheets([wall](const Vec2&, const Vec3&) { return wall; }, least), settings);
        if (!sides.ok()) FAIL(sides.fault().message);
        return std::move(*sides);
    }
};

std::vector<Bench> benches() {
    std::vector<Bench> all;
    all.emplace_back(plane(160, 100));
    all.emplace_back(cylinder(160, 100, 60));
    all.emplace_back(sphere(160, 100, 120));
    return all;
}

Feature groove(const Bench& b) {
    Feature g;
    g.name = "groove";
    g.kind = Feature::Kind::groove;
    for (const double u : {0.32, 0.44, 0.56, 0.68}) g.points.push_back(b.place(u, 0.5).head<2>());
    g.width_mm = 11;
    g.depth_mm = 2;
    g.flank_mm = 5;
    return g;
}

Feature cavity(const Bench& b) {
    Feature c;
    c.name = "cavity";
    c.points = {b.place(0.5, 0.5).head<2>()};
    c.width_mm = c.length_mm = 18;
    c.depth_mm = 2.5;
    c.flank_mm = 6;
    return c;
}

double trapezium(double from, double to, int n, const std::function<double(double)>& f) {
    double sum = 0.5 * (f(from) + f(to));
    for (int k = 1; k < n; ++k) sum += f(from + (to - from) * k / n);
    return sum * (to - from) / n;
}

double eased(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * t * (10.0 + t * (6.0 * t - 15.0));
}

}  // namespace

TEST_CASE(
    "A groove has its depth, its width at half depth, its flat bottom, its fades; volume in closed form") {
    for (const Bench& b : benches()) {
        INFO(b.exact.name);
        const Feature g = groove(b);
        const auto map = b.lay({g});
        const double v = 0.5 * b.exact.length_v, u = 0.5 * b.exact.length_u;
        const auto at = [&](double across) { return map.height(Vec2(u, v + across)); };
        CHECK(at(0.0) == Approx(-2.0).margin(1e-9));
        CHECK(at(2.95) == Approx(-2.0).margin(0.002));  // flat: 11 - 5 wide
        CHECK(at(5.5) == Approx(-1.0).margin(0.02));    // chord and arc differ by 0.002 mm here
        CHECK(at(-5.5) == Approx(-1.0).margin(0.02));
        CHECK(at(8.1) == 0.0);
        CHECK(map.height(Vec2(0.32 * b.exact.length_u - 0.5, v)) == Approx(0.0).margin(1e-6));
        CHECK(map.height(Vec2(0.32 * b.exact.length_u + 4.0, v)) == Approx(-1.0).margin(0.05));
        const auto sides = b.roll(map, 3.2, 1.5);
        const auto figures =
            feature::figures(map, b.carpet, sides.foot_side, surface::TrimRegion(surface::Outline(b.trim)));
        REQUIRE(figures.size() == 1);
        CHECK(figures[0].measured_mm == Approx(2.0).margin(0.02));
        CHECK(figures[0].fit_mm < 0.05);
        CHECK(figures[0].inside_share == Approx(1.0));
        CHECK(figures[0].beyond_mm == 0.0);
        // the profile is symmetric about half depth: its area is width x depth; so are the fades
        CHECK(std::tan(figures[0].flank_deg * pi / 180.0) == Approx(1.875 * 2.0 / 5.0).epsilon(0.03));
        if (b.exact.name == "plane") {
            const double length = 0.36 * b.exact.length_u;
            CHECK(figures[0].volume_mm3 == Approx(11.0 * 2.0 * (length - 8.0)).epsilon(0.01));
        }
    }
}

TEST_CASE("A round cavity and pad hold the volume of an integration of their own on plane and sphere") {
    for (const Bench& b : benches()) {
        if (b.exact.name == "cylinder") continue;
        for (const bool raised : {false, true}) {
            Feature one = cavity(b);
            if (raised) one.kind = Feature::Kind::pad, one.height_mm = 2.5;
            const auto map = b.lay({one});
            const auto sides = b.roll(map, 3.2, 1.5);
            const auto figures = feature::figures(map, b.carpet, sides.foot_side,
                                                  surface::TrimRegion(surface::Outline(b.trim)));
            const double radius = 120.0, sign = raised ? -1.0 : 1.0;
            const double volume = trapezium(0.0, 12.5, 20'000, [&](double r) {
                const double f = 2.5 * eased(0.5 - (r - 9.0) / 6.0);
                if (b.exact.name == "plane") return 2.0 * pi * r * f;
                // r lies in the tangent plane; the cup's normal points to its centre
                const double outer = radius + sign * f;
                const double shell = std::abs(outer * outer * outer - radius * radius * radius) / 3.0;
                return 2.0 * pi * shell * r / (radius * radius) / std::sqrt(1.0 - r * r / (radius * radius));
            });
            INFO(b.exact.name << (raised ? " pad" : " cavity"));
            CHECK(figures[0].volume_mm3 == Approx(volume).epsilon(0.01));
            CHECK(figures[0].measured_mm == Approx(2.5).margin(0.02));
        }
    }
}

TEST_CASE("A metatarsal dome ends at its leading edge and holds pi b L / 8 of its height") {
    const Bench b{plane(160, 100)};
    for (const double behind : {-5.0, 0.0, 10.0}) {
        Feature dome;
        dome.name = "dome";
        dome.kind = Feature::Kind::metatarsal_dome;
        dome.behind_mm = behind;
        dome.length_mm = 30;
        dome.width_mm = 24;
        dome.height_mm = 5;
        const auto map = b.lay({dome});
        const Vec3 head = b.landmarks.at(foot::LandmarkId::second_head_plantar).position;
        const Vec2 origin = b.place(0, 0).head<2>();
        const auto at = [&](double x, double y) { return map.height(Vec2(x, y) - origin); };
        CHECK(at(head.x() - behind + 0.01, head.y()) == 0.0);
        CHECK(at(head.x() - behind - 1.0, head.y()) > 0.0);
        CHECK(at(head.x() - behind - 12.0, head.y()) == Approx(5.0).margin(1e-9));
        CHECK(at(head.x() - behind - 30.01, head.y()) == 0.0);
        double volume = 0.0;
        constexpr double h = 0.1;
        for (double x = -35; x < 5; x += h)
            for (double y = -15; y < 15; y += h) volume += h * h * at(head.x() - behind + x, head.y() + y);
        CHECK(volume == Approx(5.0 * pi * 12.0 * 30.0 / 8.0).epsilon(0.002));
    }
}

TEST_CASE("A metatarsal bar follows the heads, as long and wide at half height as asked") {
    const Bench b{plane(160, 100)};
    Feature bar;
    bar.name = "bar";
    bar.kind = Feature::Kind::metatarsal_bar;
    bar.behind_mm = 6;
    bar.length_mm = 12;
    bar.width_mm = 40;
    bar.height_mm = 3;
    bar.flank_mm = 6;
    const auto map = b.lay({bar});
    const Vec2 origin = b.place(0, 0).head<2>();
    surface::TrimRule line = b.heads;
    line.distal_first_mm = line.distal_fifth_mm = 0.0;
    for (const double y : {-8.0, 0.0, 8.0}) {
        const double at_y = surface::axis_y(line, line.first_head.x()) + y;
        const double leading = surface::distal_edge_x(line, at_y) - 6.0;
        CHECK(map.height(Vec2(leading, at_y) - origin) == Approx(1.5).margin(1e-6));
        CHECK(map.height(Vec2(leading - 12.0, at_y) - origin) == Approx(1.5).margin(1e-6));
        CHECK(map.height(Vec2(leading - 6.0, at_y) - origin) == Approx(3.0).margin(1e-6));
    }
}

TEST_CASE("A drawn curve is whole inside, half on the curve, nothing outside") {
    for (const Bench& b : benches()) {
        INFO(b.exact.name);
        Feature pad = cavity(b);
        pad.kind = Feature::Kind::pad;
        pad.height_mm = 3.0;
        pad.flank_mm = 4.0;
        pad.points.clear();
        for (int k = 0; k < 8; ++k) {
            const double a = pi * k / 4.0;
            pad.points.push_back(b.place(0.5 + 0.1 * std::cos(a), 0.5 + 0.12 * std::sin(a)).head<2>());
        }
        const auto map = b.lay({pad});
        const Vec2 middle(0.5 * b.exact.length_u, 0.5 * b.exact.length_v);
        CHECK(map.height(middle) == Approx(3.0));
        CHECK(map.height(middle + Vec2(0.1 * b.exact.length_u, 0.0)) == Approx(1.5).margin(0.05));
        CHECK(map.height(middle + Vec2(0.1 * b.exact.length_u + 2.1, 0.0)) == Approx(0.0).margin(1e-6));
        CHECK(map.height(middle + Vec2(0.1 * b.exact.length_u - 2.1, 0.0)) == Approx(3.0).margin(1e-6));
    }
}

TEST_CASE("Kept and thinned walls hold both gates under groove and cavity, flat and bent") {
    for (const Bench& b : benches())
        for (const auto underside : {Feature::Underside::follows, Feature::Underside::stays}) {
            INFO(b.exact.name << (underside == Feature::Underside::follows ? " follows" : " stays"));
            Feature g = groove(b), c = cavity(b);
            g.underside = c.underside = underside;
            g.points = {b.place(0.34, 0.5).head<2>(), b.place(0.52, 0.62).head<2>()};
            g.least_wall_mm = 1.8;
            c.points = {b.place(0.6, 0.42).head<2>()};
            const auto map = b.lay({g, c});
            const double wall = 3.2, material = 1.5;
            const auto sides = b.roll(map, wall, material);
            const auto sheets = map.sheets([=](const Vec2&, const Vec3&) { return wall; }, material);
            const surface::Shell shell{b.carpet, sides.foot_side, sides.underside, b.trim, {}};
            surface::WallMeasureSettings settings;
            settings.further.assign(sheets.begin() + 1, sheets.end());
            const auto gate =
                surface::measure_wall(shell, sheets.front().radius, surface::Outline(b.trim), settings);
            CHECK(std::abs(gate.underside_worst_mm) <= 0.05);
            CHECK(gate.foot_worst_mm >= -0.05);
            CHECK(gate.rays_disagree == 0);
            if (underside == Feature::Underside::stays) {
                CHECK(gate.least_wall_mm ==
                      Approx(1.5).margin(0.06));  // 3.2 - 2.5 is less than the material's
            } else {
                CHECK(gate.least_wall_mm == Approx(wall).margin(0.06));
            }
        }
}

TEST_CASE("The order of the list changes nothing; a switched-off one is not there") {
    std::mt19937_64 random(seed());
    const Bench b{cylinder(160, 100, 60)};
    const int count = cases(40, 8, "lists of features in another order");
    for (int k = 0; k < count; ++k) {
        std::vector<Feature> list;
        for (int i = 0; i < 4; ++i) {
            Feature f = cavity(b);
            f.name = "f" + std::to_string(i);
            f.kind = i % 2 == 0 ? Feature::Kind::cavity : Feature::Kind::pad;
            const double along = uniform(random, 0.4, 0.6), across = uniform(random, 0.4, 0.6);
            f.points = {b.place(along, across).head<2>()};
            f.width_mm = uniform(random, 10, 30);
            f.length_mm = uniform(random, 10, 30);
            f.turn_deg = uniform(random, -90, 90);
            f.depth_mm = f.height_mm = uniform(random, 1, 4);
            list.push_back(f);
        }
        std::vector<Feature> turned(list.rbegin(), list.rend());
        Feature off = list.front();
        off.name = "off";
        off.on = false;
        off.anchor = "nowhere";
        turned.push_back(off);
        const auto one = b.lay(list), other = b.lay(turned);
        double deepest = 0.0, highest = 0.0;
        for (const Feature& f : list)
            (f.relief() ? deepest : highest) = std::max(f.relief() ? deepest : highest, f.depth_mm);
        for (int i = 0; i < 200; ++i) {
            const Vec2 uv{uniform(random, 40, 120), uniform(random, 20, 80)};
            CHECK(one.height(uv) == Approx(other.height(uv)).margin(1e-12));
            CHECK(one.height(uv) <= 1.2 * highest + 1e-12);
            CHECK(one.height(uv) >= -1.2 * deepest - 1e-12);
        }
    }
    for (int k = 0; k < 2000; ++k) {
        const double a = uniform(random, 0, 5), c = uniform(random, 0, 5);
        const double both = feature::rounded_greater(a, c);
        CHECK(both >= std::max(a, c));
        CHECK(both <= 1.1 * std::max(a, c));
        CHECK(both == Approx(feature::rounded_greater(c, a)).margin(1e-12));
        CHECK(feature::rounded_greater(a, 0.0) == a);
    }
}

TEST_CASE("A feature that cannot be laid is refused by name") {
    const Bench b{plane(160, 100)};
    const auto refused = [&](Feature f, const std::string& says) {
        f.name = "the one";
        const auto map = feature::FeatureMap::lay({f}, {b.carpet, b.landmarks, {}}, b.heads);
        REQUIRE_FALSE(map.ok());
        INFO(map.fault().message);
        CHECK(map.fault().message.find("\"the one\"") != std::string::npos);
        CHECK(map.fault().message.find(says) != std::string::npos);
    };
    Feature f = cavity(b);
    f.points.clear();
    refused(f, "no place");
    f.anchor = "no-such-mark";
    refused(f, "second_head_plantar");
    f = cavity(b);
    f.points = {Vec2(900, 900)};
    refused(f, "no sole");
    f = groove(b);
    f.points.resize(1);
    refused(f, "two points");
    f.points = {f.points[0], f.points[0]};
    refused(f, "one place");
    f = cavity(b);
    f.points = {b.place(0.4, 0.4).head<2>(), b.place(0.6, 0.6).head<2>(), b.place(0.6, 0.4).head<2>(),
                b.place(0.4, 0.6).head<2>()};
    refused(f, "crosses itself");
    const auto twins = feature::FeatureMap::lay({cavity(b), cavity(b)}, {b.carpet, b.landmarks, {}}, b.heads);
    REQUIRE_FALSE(twins.ok());
    CHECK(twins.fault().message.find("cavity") != std::string::npos);
}
