// The virtual bench: a strip in closed form, and devices on generated feet.
#include "engine/flex/bench.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/flex/bench_stand.hpp"
#include "engine/flex/limits.hpp"
#include "engine/surface/monotone.hpp"
#include "tests/flex/built_device.hpp"
#include "tests/support/analytic.hpp"
#include "tests/support/analytic_shells.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::flex;
using namespace archwright::tests;

namespace {

const BuiltDevice& plain() {
    static const auto made = built_device(11, 3.0);
    REQUIRE(made);
    return *made;
}

BenchSetting coarse() {
    BenchSetting setting;
    setting.element_mm = 6.0;
    setting.sensitivity = false;
    setting.deflections = Deflections::small;
    return setting;
}

}  // namespace

TEST_CASE("a flat strip held at its heel lifts and turns as a beam") {
    // P L^3 / 3EI, and twist M L / (G J) with J = b t^3 / 3 (1 - 0.63 t / b) (Timoshenko and Goodier 1970,
    // article 109). Held is what lies within 18 mm of the heel; the length counts from there.
    const double length = 240.0, breadth = 24.0, wall = 3.0, modulus = 1500.0;
    const AnalyticSurface flat = plane(length, breadth);
    surface::Shell shell;
    shell.carpet = shell.foot_side = shell.underside = flat.carpet(12, 4);
    for (Vec3& p : shell.underside.control) p.z() -= wall;
    shell.trim =
        rounded_rectangle(Vec2(0.5 * length, 0.5 * breadth), Vec2(length - 2.0, breadth - 2.0), 1.0, 12);
    shell.rim.kind = surface::Rim::Kind::square;
    const Vec3 origin = flat.point(Vec2(0, 0.5 * breadth));
    surface::TrimRule rule;
    rule.heel_centre = origin + Vec3(20, 0, 0);
    rule.first_head = origin + Vec3(length, 8, 0);
    rule.fifth_head = origin + Vec3(length, -8, 0);
    rule.distal_first_mm = rule.distal_fifth_mm = 1.0;
    rule.distal_bow_mm = 0.0;
    BenchSubject strip;
    strip.shell = &shell;
    strip.rule = &rule;
    strip.lamina = Lamina::isotropic(modulus, 0.0);
    strip.strength_mpa = 30.0;
    BenchSetting setting;
    setting.element_mm = 2.0;
    setting.sensitivity = false;
    setting.deflections = Deflections::small;
    const double b = breadth - 2.0, second = b * wall * wall * wall / 12.0;
    const auto lift = Bench(strip).run(LoadCase::forefoot_lift, setting);
    INFO((lift ? std::string() : lift.fault().message));
    REQUIRE(lift);
    const double arm = lift->load_at.x() - (origin.x() + 20.0 + 17.0);
    CHECK(lift->stiffness == Approx(3.0 * modulus * second / std::pow(arm, 3)).epsilon(0.04));
    // the moment at the support on both faces, gathered by the round border of what is held
    const double moment_mpa = lift->load * arm * 0.5 * wall / second;
    CHECK(lift->foot_side.mpa > 0.95 * moment_mpa);
    CHECK(lift->foot_side.mpa < 1.4 * moment_mpa);
    CHECK(lift->underside.mpa == Approx(lift->foot_side.mpa).epsilon(0.02));
    CHECK(lift->foot_side.utilisation == Approx(lift->foot_side.mpa / 30.0));
    CHECK(lift->foot_side.at.x() < origin.x() + 50.0);

    const auto turn = Bench(strip).run(LoadCase::torsion, setting);
    REQUIRE(turn);
    const double section = b * wall * wall * wall / 3.0 * (1.0 - 0.63 * wall / b);
    const double radians_a_degree = 3.14159265358979 / 180.0;
    // what is held cannot warp: stiffer, by about a breadth less of length
    const double free_to_warp = 0.5 * modulus * section / arm * radians_a_degree;
    CHECK(turn->stiffness > free_to_warp);
    CHECK(turn->stiffness < 1.02 * free_to_warp * arm / (arm - b));
}

TEST_CASE("the five loads on a device: what the ground gives is what is put on, and more load goes further") {
    for (const LoadCase load : all_load_cases) {
        const auto result = Bench(plain().subject()).run(load, coarse());
        INFO(key(load) << (result ? std::string() : ": " + result.fault().message));
        REQUIRE(result);
        const bool ground = result->preload > 0.0;
        CHECK(ground == (load != LoadCase::forefoot_lift && load != LoadCase::torsion));
        if (ground)
            CHECK(result->heel_n + result->midfoot_n + result->distal_n ==
                  Approx(result->load).epsilon(1e-4));
        for (std::size_t i = 1; i < result->curve.size(); ++i) {
            CHECK(result->curve[i].load > result->curve[i - 1].load);
            CHECK(result->curve[i].deflection > result->curve[i - 1].deflection);
        }
        CHECK(result->curve.back().load == Approx(result->load));
        CHECK(result->stiffness > 0.0);
        CHECK(result->initial_stiffness > 0.0);
        CHECK(result->foot_side.mpa > 0.0);
        CHECK(result->underside.mpa > 0.0);
    }
}

TEST_CASE(
    "a device on a rearfoot post: the ground gives what is put on, also where much of a floor touches") {
    // A post's floor touches at dozens of places under a block that hardly gives: the small equations once
    // left a third of the load out of balance there, unsaid.
    for (const std::uint64_t number : {3u, 1u}) {
        const auto made = built_device(number, 3.5, 3.0);
        REQUIRE(made);
        REQUIRE(made->shelled.shell.posts.size() == 1);
        for (const LoadCase load : {LoadCase::heel_pressure, LoadCase::body_weight, LoadCase::arch_press}) {
            BenchSetting setting;
            setting.sensitivity = false;
            setting.deflections = Deflections::small;
            const auto result = Bench(made->subject()).run(load, setting);
            INFO(key(load) << (result ? std::string() : ": " + result.fault().message));
            REQUIRE(result);
            CHECK(result->heel_n + result->midfoot_n + result->distal_n ==
                  Approx(result->load).epsilon(1e-5));
            CHECK(result->heel_n > 0.5 * result->load);
            CHECK(result->gives == (result->stiffness > 0.0));
            if (result->gives) CHECK(result->stiffness < result->load / least_deflection);
        }
    }
}

TEST_CASE("a stiffer material bends less in proportion, a thicker wall more than in proportion") {
    // Twice the modulus under twice the load is the same state, contact and friction included. Wall: bending
    // grows as its cube, stretching as its first power, and contact shifts between them.
    BenchSubject twice = plain().subject();
    twice.lamina.e1_mpa *= 2.0;
    twice.lamina.e2_mpa *= 2.0;
    twice.lamina.g12_mpa *= 2.0;
    const auto thick = built_device(11, 4.0);
    REQUIRE(thick);
    for (const LoadCase load : all_load_cases) {
        CAPTURE(key(load));
        const auto one = Bench(plain().subject()).run(load, coarse());
        REQUIRE(one);
        BenchSetting setting = coarse();
        setting.load = 2.0 * one->load;
        const auto two = Bench(twice).run(load, setting);
        REQUIRE(two);
        CHECK(two->curve.back().deflection == Approx(one->curve.back().deflection).epsilon(5e-3));

        const auto more = Bench(thick->subject()).run(load, coarse());
        REQUIRE(more);
        const double exponent = std::log(more->stiffness / one->stiffness) / std::log(4.0 / 3.0);
        CAPTURE(exponent);
        CHECK(exponent > 0.3);
        CHECK(exponent < 3.1);
        if (load == LoadCase::forefoot_lift || load == LoadCase::torsion) CHECK(exponent > 1.8);
    }
}

TEST_CASE("smaller elements hardly change an answer; the sensitivity is told") {
    for (const LoadCase load : {LoadCase::arch_press, LoadCase::forefoot_lift}) {
        CAPTURE(key(load));
        BenchSetting setting;
        setting.sensitivity = load == LoadCase::arch_press;
        setting.deflections = Deflections::small;
        setting.element_mm = 4.0;
        const auto medium = Bench(plain().subject()).run(load, setting);
        setting.element_mm = 2.5;
        setting.sensitivity = false;
        setting.deflections = Deflections::small;
        const auto fine = Bench(plain().subject()).run(load, setting);
        REQUIRE(medium);
        REQUIRE(fine);
        CHECK(medium->stiffness == Approx(fine->stiffness).epsilon(0.04));
        if (load != LoadCase::arch_press) continue;
        REQUIRE(medium->variations.size() == 8);
        for (const BenchVariation& variation : medium->variations) {
            CAPTURE(variation.what);
            REQUIRE(variation.change);
            const double change = *variation.change;
            CHECK(std::isfinite(change));
            if (!variation.support) CHECK(std::abs(change) < 0.2);
            if (variation.what == "no friction") CHECK(change < 0.0);
            if (variation.what == "friction 0.6") CHECK(change > 0.0);
            if (variation.what.find("held in plane") != std::string::npos) CHECK(change > 0.0);
            if (variation.what.find("bed") != std::string::npos) CHECK(change < 0.0);
        }
    }
}

TEST_CASE("the apex of the arch is found on the arch, whatever the foot") {
    const int count = cases(40, 5, "devices");
    int pressed = 0;
    for (int i = 0; i < count; ++i) {
        const auto made = built_device(seed() + static_cast<std::uint64_t>(i), 3.0);
        CAPTURE(i);
        if (!made) continue;  // an order that cannot be built on that foot: others test it
        const auto result = Bench(made->subject()).run(LoadCase::arch_press, coarse());
        INFO((result ? std::string() : result.fault().message));
        REQUIRE(result);
        ++pressed;
        const surface::TrimRule& rule = made->surfaced.rule;
        const Vec2 apex = arch_apex(result->model, rule);
        const double way = (apex.x() - rule.heel_centre.x()) / (rule.first_head.x() - rule.heel_centre.x());
        CHECK(way > 0.29);
        CHECK(way < 0.86);
        CHECK(apex.y() > surface::axis_y(rule, apex.x()));
        CHECK(result->heel_n + result->midfoot_n + result->distal_n == Approx(result->load).epsilon(1e-4));
    }
    CHECK(2 * pressed > count);
}

TEST_CASE("one bench for all loads answers as a fresh one for each", "[unsanitized]") {
    BenchSetting setting = coarse();
    setting.sensitivity = true;
    Bench kept(plain().subject());
    for (int round = 0; round < 2; ++round)
        for (const LoadCase load : all_load_cases) {
            CAPTURE(round, key(load));
            const auto again = kept.run(load, setting);
            const auto fresh = Bench(plain().subject()).run(load, setting);
            REQUIRE(again);
            REQUIRE(fresh);
            // friction may find another answer from another start, within the slip that it needs
            CHECK(again->curve.back().deflection ==
                  Approx(fresh->curve.back().deflection).epsilon(1e-3).margin(0.5 * limit::slip_mm));
            REQUIRE(again->variations.size() == fresh->variations.size());
            for (std::size_t i = 0; i < again->variations.size(); ++i) {
                CHECK(again->variations[i].what == fresh->variations[i].what);
                REQUIRE(again->variations[i].change.has_value() == fresh->variations[i].change.has_value());
                if (again->variations[i].change)
                    CHECK(*again->variations[i].change == Approx(*fresh->variations[i].change).margin(0.005));
            }
        }
}

TEST_CASE("a device put down on a bed touches it at three places and nowhere lies in it") {
    const int count = cases(60, 20, "beds");
    for (int i = 0; i < count; ++i) {
        generator::Random random(seed() + 77, static_cast<std::uint64_t>(i));
        CAPTURE(i);
        std::vector<Vec3> places;
        for (int p = 0; p < 400; ++p) {
            const double x = random.between(-30.0, 150.0);
            const double y = random.between(-35.0, 35.0);
            const double z = random.between(0.0, 6.0) + 0.002 * y * y;
            places.emplace_back(x, y, z);
        }
        std::vector<Vec2> bed{{-40.0, 0.0}};
        while (bed.back().x() < 170.0) {
            const double step = random.between(20.0, 60.0);
            const double rise = step * random.between(-0.15, 0.1);
            bed.emplace_back(bed.back() + Vec2(step, rise));
        }
        if (i % 3 == 0) bed.clear();
        BenchSupport support;
        support.bed_shape = bed;
        REQUIRE(check_support(support));
        const Vec3 heel(0, 0, 0);
        const auto pose = put_down(places, heel, Vec2(60, 0), bed);
        REQUIRE(pose);
        CHECK((pose->turn * pose->turn.transpose() - Mat3::Identity()).cwiseAbs().maxCoeff() < 1e-12);
        std::vector<double> along, heights;
        for (const Vec2& at : bed) {
            along.push_back(at.x());
            heights.push_back(at.y());
        }
        const surface::MonotoneCurve curve(along, heights);
        std::vector<double> gaps;
        for (const Vec3& p : places) {
            const Vec3 at = pose->turn * p + pose->shift;
            gaps.push_back(at.z() - (bed.empty() ? 0.0 : curve.at(at.x()).value));
        }
        std::sort(gaps.begin(), gaps.end());
        CHECK(gaps[0] > -1e-6);
        CHECK(gaps[2] < 1e-5);
    }
}

TEST_CASE("on a level bed the plate's answer; on a shoe's bed another, with the same sum") {
    Bench bench(plain().subject());
    BenchSetting setting = coarse();
    const auto plate = bench.run(LoadCase::arch_press, setting);
    REQUIRE(plate);
    setting.support.bed_shape = {{-60, 7}, {300, 7}};
    const auto level = bench.run(LoadCase::arch_press, setting);
    REQUIRE(level);
    CHECK(level->stiffness == Approx(plate->stiffness).epsilon(1e-3));
    // a heel of 12 mm, a shank that falls to the ball, toes that rise
    setting.support.bed_shape = {{-30, 12}, {25, 12}, {110, 1}, {140, 0}, {220, 8}};
    for (const LoadCase load : {LoadCase::arch_press, LoadCase::body_weight}) {
        const auto shoe = bench.run(load, setting);
        INFO((shoe ? std::string() : shoe.fault().message));
        REQUIRE(shoe);
        CHECK(shoe->heel_n + shoe->midfoot_n + shoe->distal_n == Approx(shoe->load).epsilon(1e-4));
        CHECK(shoe->curve.back().deflection > 0.0);
    }
}

TEST_CASE("a shoe's grip holds along the ground: what the ground gives stays what is put on") {
    Bench bench(plain().subject());
    for (const double spring : {50.0, 500.0})
        for (const bool tilted : {false, true}) {
            CAPTURE(spring, tilted);
            BenchSetting setting = coarse();
            setting.support.distal_spring_n_mm = spring;
            if (tilted) setting.support.bed_shape = {{-30, 15}, {25, 15}, {120, 0}, {220, 0}};
            const auto result = bench.run(LoadCase::arch_press, setting);
            INFO((result ? std::string() : result.fault().message));
            REQUIRE(result);
            CHECK(result->heel_n + result->midfoot_n + result->distal_n ==
                  Approx(result->load).epsilon(1e-4));
        }
}

TEST_CASE("heels on soft beds with friction settle") {
    // bounds of friction that were followed too fast ran in circles there
    Bench bench(plain().subject());
    for (const LoadCase load : {LoadCase::heel_pressure, LoadCase::arch_press})
        for (const double bed : {1.0, 0.5}) {
            CAPTURE(key(load), bed);
            BenchSetting setting = coarse();
            setting.support.bed_n_mm3 = bed;
            const auto result = bench.run(load, setting);
            INFO((result ? std::string() : result.fault().message));
            REQUIRE(result);
            CHECK(result->heel_n + result->midfoot_n + result->distal_n ==
                  Approx(result->load).epsilon(1e-3));
        }
}

TEST_CASE("a deflection beyond a tenth of the arch is told, a small one is not") {
    Bench bench(plain().subject());
    BenchSetting setting = coarse();
    setting.load = 5.0;
    auto result = bench.run(LoadCase::arch_press, setting);
    REQUIRE(result);
    CHECK_FALSE(result->large);
    setting.load = 1000.0;
    result = bench.run(LoadCase::arch_press, setting);
    REQUIRE(result);
    CHECK(result->large);
    setting.load = 50.0;
    result = bench.run(LoadCase::torsion, setting);
    REQUIRE(result);
    CHECK(result->gives);
    CHECK_FALSE(result->large);
    setting.load = 5000.0;
    result = bench.run(LoadCase::torsion, setting);
    REQUIRE(result);
    CHECK(result->large);
}

TEST_CASE("what the bench cannot do is said with the load's name") {
    using Catch::Matchers::Contains;
    const auto refused = [](const BenchSetting& setting, LoadCase load) {
        const auto result = Bench(plain().subject()).run(load, setting);
        return result ? std::string() : result.fault().message;
    };
    BenchSetting setting = coarse();
    setting.load = -5.0;
    CHECK_THAT(refused(setting, LoadCase::arch_press), Contains("Arch press") && Contains("-5"));
    setting = coarse();
    setting.moved = Vec2(500, 0);
    CHECK_THAT(refused(setting, LoadCase::heel_pressure), Contains("Heel pressure") && Contains("beside"));
    setting = coarse();
    setting.support.bed_shape = {{0, 0}, {10, 30}};
    CHECK_THAT(refused(setting, LoadCase::arch_press), Contains("Point 2") && Contains("45 degrees"));
    setting.support.bed_shape = {{0, 0}, {0, 1}};
    CHECK_THAT(refused(setting, LoadCase::arch_press), Contains("Point 2") && Contains("in front"));
    setting = coarse();
    setting.support.friction = -1.0;
    CHECK_THAT(refused(setting, LoadCase::arch_press), Contains("friction of -1"));
    setting = coarse();
    setting.element_mm = 0.1;
    CHECK_THAT(refused(setting, LoadCase::torsion), Contains("0.1 mm"));
    Progress cancelled;
    cancelled.cancel();
    const auto result = Bench(plain().subject()).run(LoadCase::arch_press, coarse(), &cancelled);
    REQUIRE(!result);
    CHECK(result.fault().kind == FaultKind::cancelled);
}
