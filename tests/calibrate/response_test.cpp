// The table of a device's answers against the bench itself.
#include "engine/calibrate/response.hpp"

#include <catch2/catch.hpp>

#include "tests/calibrate/synthetic_bench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

TEST_CASE("the table answers as the bench does, for any modulus, spring and friction") {
    // The law of the table (all forces over the modulus) and its interpolation at once: the bench with the
    // other modulus itself, at places the table does not have.
    const int count = cases(40, 6, "devices on springs, answered by table and by bench");
    std::mt19937_64 random(seed());
    for (int i = 0; i < count; ++i) {
        const SyntheticDevice& device = synthetic_devices()[static_cast<std::size_t>((i + 2) % 6)];
        const double scale = std::exp(uniform(random, -0.4, 0.4));
        const double spring = spring_of(uniform(random, 0.0, 0.9));
        const double friction = uniform(random, 0.0, 0.8);
        flex::BenchSubject subject = device.built->subject();
        subject.lamina.e1_mpa *= scale;
        subject.lamina.e2_mpa *= scale;
        subject.lamina.g12_mpa *= scale;
        flex::BenchSetting setting;
        setting.element_mm = synthetic_element_mm;
        setting.sensitivity = false;
        setting.load = 100.0;
        setting.deflections = flex::Deflections::small;
        setting.steps = {0.03, 0.1, 0.3, 0.6, 1.0};
        setting.support.friction = friction;
        setting.support.distal_spring_n_mm = spring;
        const auto run = flex::Bench(subject).run(flex::LoadCase::arch_press, setting);
        INFO("foot " << device.foot << ", wall " << device.wall_mm << ", scale " << scale << ", spring "
                     << spring << ", friction " << friction);
        REQUIRE(run);
        const auto from = device.press->at(run->curve[1].load, scale, {spring, friction});
        const auto to = device.press->at(run->curve.back().load, scale, {spring, friction});
        const double whole = run->curve.back().deflection - run->curve[1].deflection;
        const double slid = run->curve.back().distal_slide_mm - run->curve[1].distal_slide_mm;
        const double off = (to.deflection_mm - from.deflection_mm) / whole - 1.0;
        const double slide_off = (to.slide_mm - from.slide_mm) / slid - 1.0;
        CHECK(std::abs(off) < 0.01);
        CHECK(std::abs(slide_off) < 0.03);
    }
}

TEST_CASE("the table's law holds for large deflections too") {
    const SyntheticDevice& device = synthetic_devices()[2];
    ResponsePlan plan;
    plan.deflections = flex::Deflections::large;
    plan.grips = {0.0};
    plan.frictions = {0.0};  // friction takes a part from the steps a load comes in
    plan.most_load_n = 200.0;
    plan.element_mm = synthetic_element_mm;
    flex::Bench bench(device.built->subject());
    const auto table = Response::of(bench, flex::LoadCase::arch_press, plan, 50.0, nullptr);
    INFO((table ? std::string() : table.fault().message));
    REQUIRE(table);
    const double scale = 0.8;
    flex::BenchSubject subject = device.built->subject();
    subject.lamina.e1_mpa *= scale;
    subject.lamina.e2_mpa *= scale;
    subject.lamina.g12_mpa *= scale;
    flex::BenchSetting setting;
    setting.element_mm = synthetic_element_mm;
    setting.sensitivity = false;
    setting.further = false;
    setting.load = 100.0;
    setting.deflections = flex::Deflections::large;
    setting.support.friction = 0.0;
    setting.steps = {0.03, 0.1, 0.3, 0.6, 1.0};
    const auto run = flex::Bench(subject).run(flex::LoadCase::arch_press, setting);
    REQUIRE(run);
    CHECK(run->deflections == flex::Deflections::large);
    const auto from = table->at(run->curve[1].load, scale, {0.0, 0.0});
    const auto to = table->at(run->curve.back().load, scale, {0.0, 0.0});
    const double whole = run->curve.back().deflection - run->curve[1].deflection;
    CHECK((to.deflection_mm - from.deflection_mm) / whole == Approx(1.0).epsilon(0.015));
    // and are further down than small ones say
    plan.deflections = flex::Deflections::small;
    const auto small = Response::of(bench, flex::LoadCase::arch_press, plan, 50.0, nullptr);
    REQUIRE(small);
    CHECK(to.deflection_mm > 1.05 * small->at(run->curve.back().load, scale, {0.0, 0.0}).deflection_mm);
}

TEST_CASE("a table that is put right about a place answers there as the bench itself does") {
    const SyntheticDevice& device = synthetic_devices()[1];
    flex::Bench bench(device.built->subject());
    ResponsePlan plan;
    plan.deflections = flex::Deflections::small;
    plan.grips = {0.0, 0.6};  // coarse, so that something is to be put right
    plan.frictions = {0.0, 0.5};
    plan.most_load_n = 200.0;
    plan.element_mm = synthetic_element_mm;
    auto table = Response::of(bench, flex::LoadCase::arch_press, plan, 50.0, nullptr);
    REQUIRE(table);
    const double scale = 0.85;
    const Restraint restraint{25.0, 0.2};
    const std::vector<double> loads{7.0, 20.0, 45.0, 80.0, 110.0};
    flex::BenchSubject subject = device.built->subject();
    subject.lamina.e1_mpa *= scale;
    subject.lamina.e2_mpa *= scale;
    subject.lamina.g12_mpa *= scale;
    flex::BenchSetting setting;
    setting.element_mm = synthetic_element_mm;
    setting.sensitivity = false;
    setting.load = loads.back();
    setting.deflections = flex::Deflections::small;
    for (const double load : loads) setting.steps.push_back(load / loads.back());
    setting.support.friction = restraint.friction;
    setting.support.distal_spring_n_mm = restraint.distal_spring_n_mm;
    const auto run = flex::Bench(subject).run(flex::LoadCase::arch_press, setting);
    REQUIRE(run);
    // greatest difference of deflection and slide from the bench itself, zeros taken out
    const auto off = [&] {
        const Response::At first = table->at(loads.front(), scale, restraint);
        double most = 0.0;
        for (std::size_t i = 0; i < loads.size(); ++i) {
            const Response::At at = table->at(loads[i], scale, restraint);
            most =
                std::max({most, std::abs(at.deflection_mm - first.deflection_mm - run->curve[i].deflection),
                          std::abs(at.slide_mm - first.slide_mm - run->curve[i].distal_slide_mm)});
        }
        return most;
    };
    const double before = off();
    CHECK(before > 0.01);
    const auto moved = table->put_right(bench, plan, loads, scale, restraint, nullptr);
    INFO((moved ? std::string() : moved.fault().message));
    REQUIRE(moved);
    CHECK(*moved == Approx(before).margin(1e-6));
    CHECK(off() < 1e-5);
    // once more moves nothing
    const auto again = table->put_right(bench, plan, loads, scale, restraint, nullptr);
    REQUIRE(again);
    CHECK(*again < 1e-9);
}

TEST_CASE("the load at which the arch comes to rest is the bench's own") {
    // a soft and thin shell on a smooth plate
    const SyntheticDevice& device = synthetic_devices()[4];
    flex::Bench bench(softened(device));
    const auto response = pressed_smooth(bench);
    REQUIRE(response);
    const double touchdown = response->touchdown_n(1.0, {0.0, 0.0});
    REQUIRE(touchdown < 200.0);
    flex::BenchSetting setting;
    setting.element_mm = synthetic_element_mm;
    setting.sensitivity = false;
    setting.support.friction = 0.0;
    setting.deflections = flex::Deflections::small;
    for (const double share : {0.6, 1.0}) {
        setting.load = share * touchdown;
        const auto run = bench.run(flex::LoadCase::arch_press, setting);
        REQUIRE(run);
        CHECK((run->curve.back().arch_n > 0.01 * *setting.load) == (share == 1.0));
        CHECK(run->curve.back().arch_n <= run->midfoot_n + 1e-6);
    }
    // twice the modulus needs twice the load
    CHECK(response->touchdown_n(2.0, {0.0, 0.0}) == Approx(2.0 * touchdown));
}

TEST_CASE("a curve through values of a parabola is that parabola, and straight beyond its ends") {
    const std::vector<double> places{0.0, 0.3, 1.0, 1.4, 2.5};
    const auto parabola = [](double x) { return 2.0 - x + 0.7 * x * x; };
    std::vector<double> values;
    for (const double x : places) values.push_back(parabola(x));
    for (double x = 0.0; x <= 2.5; x += 0.05)
        CHECK(CurveWeights(places, x).of(values) == Approx(parabola(x)).epsilon(1e-12));
    CHECK(CurveWeights(places, -1.0).of(values) == Approx(3.0));
    CHECK(CurveWeights(places, 3.5).of(values) == Approx(parabola(2.5) + (-1.0 + 1.4 * 2.5)));
    for (const std::size_t few : {1U, 2U, 3U}) {
        const std::vector<double> some(places.begin(), places.begin() + static_cast<std::ptrdiff_t>(few));
        for (std::size_t i = 0; i < few; ++i)
            CHECK(CurveWeights(some, some[i]).of(values) == Approx(values[i]));
    }
}
