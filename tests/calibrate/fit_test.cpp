// The modulus of benches whose modulus is known.
#include "engine/calibrate/fit.hpp"

#include <catch2/catch.hpp>
#include <iostream>

#include "tests/calibrate/synthetic_bench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

namespace {

std::vector<const SyntheticDevice*> all_devices() {
    std::vector<const SyntheticDevice*> all;
    for (const SyntheticDevice& one : synthetic_devices()) all.push_back(&one);
    return all;
}

bool covers(const Estimate& estimate, double truth) {
    return estimate.low <= truth && truth <= estimate.high;
}

SyntheticTruth random_truth(std::mt19937_64& random) {
    SyntheticTruth truth;
    truth.modulus_scale = std::exp(uniform(random, -0.4, 0.4));
    truth.restraint.distal_spring_n_mm = spring_of(uniform(random, 0.0, 0.8));
    truth.restraint.friction = uniform(random, 0.05, 0.6);
    truth.rig_mm_n = uniform(random, 0.0, 0.006);
    truth.rig_mm_n2 = uniform(random, 0.0, 1.0) < 0.5 ? 0.0 : -0.2 * truth.rig_mm_n / truth.most_load_n;
    truth.noise_mm = uniform(random, 0.004, 0.02);
    truth.slide_noise_mm = uniform(random, 0.004, 0.02);
    truth.slides = uniform(random, 0.0, 1.0) < 0.7;
    return truth;
}

}  // namespace

TEST_CASE("without noise the fit finds what the bench was") {
    std::mt19937_64 random(seed());
    const int count = cases(40, 6, "benches without noise");
    for (int i = 0; i < count; ++i) {
        SyntheticTruth truth = random_truth(random);
        truth.noise_mm = truth.slide_noise_mm = 1e-6;
        const auto found = fit(synthetic_readings(all_devices(), truth, random));
        INFO(truth.modulus_scale << " " << truth.restraint.distal_spring_n_mm << " "
                                 << truth.restraint.friction);
        REQUIRE(found);
        CHECK(found->modulus_scale.value == Approx(truth.modulus_scale).epsilon(1e-3));
        CHECK(grip_of(found->spring_n_mm.value) ==
              Approx(grip_of(truth.restraint.distal_spring_n_mm)).margin(1e-3));
        CHECK(found->friction.value == Approx(truth.restraint.friction).margin(3e-3));
        CHECK(found->rig_mm_n == Approx(truth.rig_mm_n).margin(1e-5));
    }
}

TEST_CASE("modulus within 3 %, and its interval covers the truth 90 to 98 times of a hundred") {
    std::mt19937_64 random(seed());
    const int count = cases(600, 60, "benches with noise, rig and devices that differ");
    int covered = 0, alike = 0, near = 0;
    for (int i = 0; i < count; ++i) {
        SyntheticTruth truth = random_truth(random);
        truth.spread = i % 2 == 0 ? 0.01 : uniform(random, 0.01, 0.05);
        const auto found = fit(synthetic_readings(all_devices(), truth, random));
        REQUIRE(found);
        covered += covers(found->modulus_scale, truth.modulus_scale) ? 1 : 0;
        if (i % 2 == 0) {
            ++alike;
            near += std::abs(found->modulus_scale.value / truth.modulus_scale - 1.0) < 0.03 ? 1 : 0;
        }
    }
    std::cout << "interval covers the modulus " << covered << " of " << count << ", within 3 % " << near
              << " of " << alike << "\n";
    // six devices that differ by 1 %: 3 % is some three standard errors and more
    CHECK(share_holds(near, alike, 0.97));
    CHECK(share_holds(covered, count, 0.90));
    CHECK(share_holds(count - covered, count, 0.02));
}

TEST_CASE("the prediction interval holds a further device") {
    std::mt19937_64 random(seed() + 1);
    const int count = cases(600, 40, "further devices");
    int within = 0;
    for (int i = 0; i < count; ++i) {
        SyntheticTruth truth = random_truth(random);
        truth.spread = 0.04;
        const auto found = fit(synthetic_readings(all_devices(), truth, random));
        REQUIRE(found);
        const double further = truth.modulus_scale * std::exp(truth.spread * normal(random));
        const double times = further / found->modulus_scale.value, most = 1.0 + found->prediction_share;
        within += times < most && times > 1.0 / most ? 1 : 0;
    }
    std::cout << "prediction interval holds " << within << " of " << count << "\n";
    CHECK(share_holds(within, count, 0.92));
}

TEST_CASE("a modulus fitted without the supports is wrong, with them right") {
    // A firm distal edge makes a soft material look stiff: fitted with the supports of a smooth plate the
    // modulus takes all of it.
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.modulus_scale = 0.9;
    truth.restraint = {60.0, 0.3};
    truth.spread = 0.01;
    FitInput input = synthetic_readings(all_devices(), truth, random);
    const auto right = fit(input);
    REQUIRE(right);
    CHECK(std::abs(right->modulus_scale.value / truth.modulus_scale - 1.0) < 0.03);
    CHECK(right->spring_n_mm.low < 60.0);
    CHECK(right->spring_n_mm.high > 60.0);
    CHECK(right->spring_n_mm.low > 30.0);
    input.spring_n_mm = 0.0;
    input.friction = 0.3;
    const auto wrong = fit(input);
    REQUIRE(wrong);
    CHECK(wrong->modulus_scale.value > 1.1 * truth.modulus_scale);
    CHECK_FALSE(covers(wrong->modulus_scale, truth.modulus_scale));
    // and the readings say so: the noise, or the devices' differences, must be told some times too large
    CHECK(wrong->noise_mm + wrong->slide_noise_mm + wrong->device_spread >
          2.0 * (right->noise_mm + right->slide_noise_mm + right->device_spread));
}

TEST_CASE("the rig's own share is taken off: leaving it in would be a softer material") {
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.rig_mm_n = 0.01;
    truth.rig_mm_n2 = -3e-5;
    FitInput input = synthetic_readings(all_devices(), truth, random);
    const auto found = fit(input);
    REQUIRE(found);
    CHECK(std::abs(found->modulus_scale.value - 1.0) < 0.03);
    CHECK(found->rig_mm_n == Approx(0.01).epsilon(0.1));
    CHECK(found->rig_mm_n2 == Approx(-3e-5).epsilon(0.3));
    for (FitLoading& one : input.loadings)
        if (one.device < 0) std::fill(one.deflection.begin(), one.deflection.end(), 0.0);
    const auto ignored = fit(input);
    REQUIRE(ignored);
    CHECK(std::abs(ignored->modulus_scale.value - 1.0) > 0.05);
}

TEST_CASE("two loads of the same device, lifted and pressed, give one modulus") {
    // Lifting the distal edge with the heel held needs no ground: it tells the modulus alone, and the presses
    // then tell the supports.
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.modulus_scale = 1.2;
    truth.restraint = {150.0, 0.2};
    truth.slides = false;
    FitInput input = synthetic_readings(all_devices(), truth, random);
    const auto pressed = fit(input);
    for (std::size_t d = 0; d < all_devices().size(); ++d) {
        FitLoading lift;
        lift.device = static_cast<int>(d);
        lift.response = all_devices()[d]->lift.get();
        for (int step = 1; step <= 6; ++step) {
            lift.load.push_back(2.0 * step);
            lift.deflection.push_back(lift.response->at(2.0 * step, 1.2, {}).deflection_mm +
                                      0.01 * normal(random));
        }
        input.loadings.push_back(std::move(lift));
    }
    const auto both = fit(input);
    REQUIRE(pressed);
    REQUIRE(both);
    CHECK(std::abs(both->modulus_scale.value / 1.2 - 1.0) < 0.01);
    CHECK(both->modulus_scale.high - both->modulus_scale.low <
          pressed->modulus_scale.high - pressed->modulus_scale.low);
    CHECK(std::abs(both->spring_n_mm.value - 150.0) < 20.0);
}

TEST_CASE("too few readings are no calibration") {
    FitInput input;
    input.devices = 1;
    FitLoading one;
    one.device = 0;
    one.response = synthetic_devices().front().press.get();
    one.load = {10.0, 20.0, 30.0};
    one.deflection = {0.0, 0.5, 1.0};
    input.loadings.push_back(one);
    const auto found = fit(input);
    REQUIRE_FALSE(found);
    CHECK_THAT(found.fault().message, Catch::Contains("fewer readings"));
}
