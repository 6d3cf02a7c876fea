#include "tests/calibrate/synthetic_bench.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/random_job.hpp"

namespace archwright::tests {

double normal(std::mt19937_64& random) {
    // Box and Muller; the same on every platform
    const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform(random, 0.0, 1.0)));
    const double turn = uniform(random, 0.0, 6.283185307179586);
    return radius * std::cos(turn);
}

const std::vector<SyntheticDevice>& synthetic_devices() {
    static const std::vector<SyntheticDevice> made = [] {
        std::vector<SyntheticDevice> devices;
        for (const std::uint64_t foot : {11U, 7U, 3U})
            for (const double wall : {2.6, 3.4}) {
                SyntheticDevice device{foot, wall, nullptr, nullptr, nullptr};
                auto built = built_device(foot, wall);
                INFO((built ? std::string() : built.fault().message));
                REQUIRE(built);
                device.built = std::make_unique<BuiltDevice>(std::move(*built));
                flex::Bench bench(device.built->subject());
                calibrate::ResponsePlan plan = calibrate::response_plan(nullptr, nullptr);
                plan.element_mm = synthetic_element_mm;
                plan.deflections = flex::Deflections::small;
                plan.most_load_n = 200.0;
                auto press = calibrate::Response::of(bench, flex::LoadCase::arch_press, plan, 50.0, nullptr);
                INFO((press ? std::string() : press.fault().message));
                REQUIRE(press);
                device.press = std::make_unique<calibrate::Response>(std::move(*press));
                plan.most_load_n = 20.0;
                auto lift = calibrate::Response::of(bench, flex::LoadCase::forefoot_lift, plan, 5.0, nullptr);
                REQUIRE(lift);
                device.lift = std::make_unique<calibrate::Response>(std::move(*lift));
                devices.push_back(std::move(device));
            }
        return devices;
    }();
    return made;
}

calibrate::FitInput synthetic_readings(const std::vector<const SyntheticDevice*>& devices,
                                       const SyntheticTruth& truth, std::mt19937_64& random) {
    calibrate::FitInput input;
    input.devices = static_cast<int>(devices.size());
    const auto rig = [&](double load) { return truth.rig_mm_n * load + truth.rig_mm_n2 * load * load; };
    const auto gauge = [&](double true_mm, double noise) { return true_mm + noise * normal(random); };
    calibrate::FitLoading block;
    const double block_zero = uniform(random, -0.5, 0.5);
    for (int step = 0; step <= 12; ++step) {
        const double load = 5.0 + (truth.most_load_n - 5.0) * step / 12.0;
        block.load.push_back(load);
        block.deflection.push_back(gauge(block_zero + rig(load), truth.noise_mm));
    }
    input.loadings.push_back(block);
    for (std::size_t d = 0; d < devices.size(); ++d) {
        calibrate::FitLoading one;
        one.device = static_cast<int>(d);
        one.response = devices[d]->press.get();
        const double own = std::exp(truth.spread * normal(random));
        const double zero = uniform(random, -0.5, 0.5);
        const double slide_zero = uniform(random, -0.5, 0.5);
        for (int step = 0; step <= 10; ++step) {
            const double load = 10.0 + (truth.most_load_n - 10.0) * step / 10.0;
            const auto at = one.response->at(load, own * truth.modulus_scale, truth.restraint);
            one.load.push_back(load);
            one.deflection.push_back(gauge(zero + at.deflection_mm + rig(load), truth.noise_mm));
            if (!truth.slides) continue;
            one.slide_load.push_back(load);
            one.slide.push_back(gauge(slide_zero + at.slide_mm, truth.slide_noise_mm));
        }
        input.loadings.push_back(std::move(one));
    }
    return input;
}

flex::BenchSubject softened(const SyntheticDevice& device) {
    flex::BenchSubject subject = device.built->subject();
    subject.lamina.e1_mpa *= 0.3;
    subject.lamina.e2_mpa *= 0.3;
    subject.lamina.g12_mpa *= 0.3;
    return subject;
}

Outcome<calibrate::Response> pressed_smooth(flex::Bench& bench) {
    calibrate::ResponsePlan plan;
    plan.grips = {0.0};
    plan.frictions = {0.0};
    plan.most_load_n = 200.0;
    plan.element_mm = synthetic_element_mm;
    plan.deflections = flex::Deflections::small;
    return calibrate::Response::of(bench, flex::LoadCase::arch_press, plan, 50.0, nullptr);
}

}  // namespace archwright::tests
