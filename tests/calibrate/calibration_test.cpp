// From a laboratory's table to the material's entry.
#include "engine/calibrate/calibration.hpp"

#include <catch2/catch.hpp>

#include "tests/calibrate/synthetic_bench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

namespace {

/// The synthetic devices' readings as a laboratory's table, and the devices' tables of answers.
struct Table {
    Measurements measurements;
    std::vector<DeviceTable> tables;
};

Table table_of(const SyntheticTruth& truth, std::mt19937_64& random, int runs = 1) {
    std::vector<const SyntheticDevice*> all;
    for (const SyntheticDevice& one : synthetic_devices()) all.push_back(&one);
    Table made;
    made.measurements.material = "pp_homopolymer";
    made.measurements.sha256 = std::string(64, 'a');
    for (const SyntheticDevice* one : all) {
        MeasuredDevice device;
        device.code = "F" + std::to_string(one->foot) + (one->wall_mm < 3.0 ? "-thin" : "-thick");
        device.wall_mm = one->wall_mm;
        made.measurements.devices.push_back(device);
        made.tables.push_back({*one->press, std::nullopt});
    }
    // the same devices run by run: their own moduli must not be drawn anew
    const std::uint64_t devices_own = random();
    for (int run = 1; run <= runs; ++run) {
        std::mt19937_64 own(devices_own);
        SyntheticTruth quiet = truth;
        quiet.noise_mm = quiet.slide_noise_mm = 0.0;
        const FitInput input = synthetic_readings(all, quiet, own);
        int row = 5;
        for (const FitLoading& one : input.loadings) {
            Loading loading{flex::LoadCase::arch_press, run, {}};
            for (std::size_t i = 0; i < one.load.size(); ++i) {
                Reading reading{one.load[i], one.deflection[i] + truth.noise_mm * normal(random), {}, row++};
                if (!one.slide.empty())
                    reading.slide_mm = one.slide[i] + truth.slide_noise_mm * normal(random);
                loading.readings.push_back(reading);
            }
            if (one.device < 0)
                made.measurements.rigid_block.push_back(std::move(loading));
            else
                made.measurements.devices[static_cast<std::size_t>(one.device)].loadings.push_back(
                    std::move(loading));
        }
    }
    return made;
}

}  // namespace

TEST_CASE(
    "a calibration tells its scale, its residuals and what each device would have been told by the others") {
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.modulus_scale = 0.85;
    truth.restraint = {40.0, 0.25};
    truth.spread = 0.015;
    const Table table = table_of(truth, random, 2);
    const auto told = calibrate::calibrate(table.measurements, table.tables);
    INFO((told ? std::string() : told.fault().message));
    REQUIRE(told);
    CHECK(std::abs(told->fit.modulus_scale.value / 0.85 - 1.0) < 0.03);
    CHECK(told->told_apart);
    CHECK(told->spread_known);
    CHECK(told->walls == 2);
    CHECK(told->used + told->left_out == 6 * 2 * 11);
    REQUIRE(told->repeats_mm);
    CHECK(*told->repeats_mm == Approx(truth.noise_mm).epsilon(0.35));
    REQUIRE(worth_entering(*told));
    std::size_t inside = 0;
    double squares = 0.0, count = 0.0;
    for (const CalibratedOne& one : told->devices) {
        REQUIRE(one.held_out);
        inside += one.held_out->inside ? 1 : 0;
        CHECK(std::abs(one.held_out->share) < 0.12);
        REQUIRE(one.readings.size() == 22);
        for (const CalibratedReading& reading : one.readings) {
            CHECK(reading.left_out == !reading.deflection_mm);
            if (!reading.deflection_mm) continue;
            squares += *reading.deflection_mm * *reading.deflection_mm;
            count += 1.0;
        }
    }
    CHECK(inside >= 4);
    CHECK(std::sqrt(squares / count) == Approx(truth.noise_mm).epsilon(0.3));

    const design::Calibration entry = told->entry(table.measurements, "TK", "2026-11-20");
    CHECK(entry.modulus_scale == told->fit.modulus_scale.value);
    CHECK(entry.scale_low < entry.modulus_scale);
    CHECK(entry.scale_high > entry.modulus_scale);
    CHECK(entry.interval_percent > 100.0 * (entry.scale_high / entry.modulus_scale - 1.0) - 1e-9);
    CHECK(entry.devices == 6);
    CHECK(entry.wall_low_mm == 2.6);
    CHECK(entry.wall_high_mm == 3.4);
    CHECK(entry.loads == "arch-press");
    CHECK(entry.measurements == table.measurements.sha256);
    CHECK(entry.measured.size() == 6);
    CHECK(entry.date == "2026-11-20");
}

TEST_CASE(
    "readings of an arch that rests are left out, and a device that rests from the beginning is named") {
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.restraint = {0.0, 0.0};
    Table table = table_of(truth, random);
    table.measurements.distal_spring_n_mm = 0.0;
    table.measurements.friction = 0.0;
    // one device of a soft stuff, whose arch comes down
    const SyntheticDevice& device = synthetic_devices()[4];
    flex::Bench bench(softened(device));
    const auto response = pressed_smooth(bench);
    REQUIRE(response);
    const double down = response->touchdown_n(1.0, truth.restraint);
    REQUIRE(down < 200.0);
    table.tables[4].press = *response;
    Loading& loading = table.measurements.devices[4].loadings[0];
    loading.readings.clear();
    for (int i = 1; i <= 8; ++i) {
        const double load = 0.1 * i * down;
        Reading reading;
        reading.load_n = load;
        reading.deflection_mm = response->at(load, 1.0, truth.restraint).deflection_mm +
                                truth.rig_mm_n * load + truth.noise_mm * normal(random);
        loading.readings.push_back(reading);
    }
    const auto plain = calibrate::calibrate(table.measurements, table.tables);
    INFO((plain ? std::string() : plain.fault().message));
    REQUIRE(plain);
    CHECK(plain->left_out == 0);
    CHECK(std::abs(plain->fit.modulus_scale.value - 1.0) < 0.03);
    // beyond it the ground carries the arch: far off the curve, and no matter
    Reading beyond;
    beyond.load_n = 1.2 * down;
    beyond.deflection_mm = 50.0;
    loading.readings.push_back(beyond);
    const auto again = calibrate::calibrate(table.measurements, table.tables);
    REQUIRE(again);
    CHECK(again->left_out == 1);
    CHECK(again->fit.modulus_scale.value == Approx(plain->fit.modulus_scale.value).epsilon(1e-3));
    CHECK(again->devices[4].readings.back().left_out);
    CHECK_FALSE(again->devices[4].readings.back().deflection_mm);
    std::string all;
    for (const std::string& remark : again->remarks) all += remark + "\n";
    CHECK_THAT(all, Catch::Contains("1 readings are left out"));
    // all but two of its readings beyond
    for (std::size_t i = 2; i < loading.readings.size(); ++i)
        loading.readings[i].load_n = (1.0 + 0.1 * static_cast<double>(i)) * down;
    const auto rests = calibrate::calibrate(table.measurements, table.tables);
    REQUIRE_FALSE(rests);
    CHECK_THAT(rests.fault().message,
               Catch::Contains(table.measurements.devices[4].code) && Catch::Contains("its arch rests"));
}

TEST_CASE("few and noisy readings say that material and supports cannot be told apart, and are not entered") {
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.restraint = {80.0, 0.3};
    truth.slides = false;
    truth.noise_mm = 0.3;
    Table table = table_of(truth, random);
    // two devices of two feet: nothing tells how far devices differ
    table.measurements.devices = {table.measurements.devices[0], table.measurements.devices[3]};
    table.tables = {table.tables[0], table.tables[3]};
    const auto told = calibrate::calibrate(table.measurements, table.tables);
    INFO((told ? std::string() : told.fault().message));
    REQUIRE(told);
    CHECK_FALSE(told->spread_known);
    CHECK_FALSE(told->told_apart);
    CHECK_FALSE(told->devices[0].held_out);
    CHECK_THAT(told->devices[0].not_held_out, Catch::Contains("one wall is left"));
    std::string all;
    for (const std::string& remark : told->remarks) all += remark + "\n";
    CHECK_THAT(all, Catch::Contains("do not tell the material") &&
                        Catch::Contains("how far one device differs", Catch::CaseSensitive::No));
    const auto entered = worth_entering(*told);
    REQUIRE_FALSE(entered);
    CHECK(entered.fault().kind == FaultKind::check);
    CHECK_FALSE(told->entry(table.measurements, "TK", "2026-11-20").device_spread_percent);
}

TEST_CASE("a reading far from the fit is named, and noise that was stated too small is not believed") {
    std::mt19937_64 random(seed());
    SyntheticTruth truth;
    truth.restraint = {20.0, 0.2};
    Table table = table_of(truth, random);
    table.measurements.noise_mm = 0.01;
    table.measurements.slide_noise_mm = 0.01;
    const auto plain = calibrate::calibrate(table.measurements, table.tables);
    REQUIRE(plain);
    CHECK(plain->fit.noise_mm == 0.01);
    table.measurements.devices[2].loadings[0].readings[4].deflection_mm += 0.4;
    const auto told = calibrate::calibrate(table.measurements, table.tables);
    REQUIRE(told);
    CHECK(told->devices[2].readings[4].far);
    CHECK(told->fit.noise_mm > 0.03);
    std::string all;
    for (const std::string& remark : told->remarks) all += remark + "\n";
    CHECK_THAT(all, Catch::Contains("follow the fit only to") && Catch::Contains("look at them"));
    const double before = plain->fit.modulus_scale.high - plain->fit.modulus_scale.low;
    CHECK(told->fit.modulus_scale.high - told->fit.modulus_scale.low > 1.2 * before);
}
