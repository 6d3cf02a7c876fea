// Random prescriptions on generated and real feet: a sound shell, or a stop that says what, where, how much.
#include <algorithm>
#include <catch2/catch.hpp>
#include <iostream>
#include <map>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_prescription.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;

namespace {

using Ends = std::map<std::string, int>;

bool has_a_number(const std::string& text) {
    return std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// Sound, or stopped with what, where and by how much: notes how it ended.
void judge(const Outcome<build::Device>& device, Ends& ends) {
    if (!device.ok()) {
        const Fault& fault = device.fault();
        INFO(fault.stage << ": " << fault.message);
        // a forefoot post asks where the forefoot's inclination is not known
        const bool asks = fault.kind == FaultKind::ask && fault.stage == "posts";
        CHECK((asks || fault.kind == FaultKind::check));
        CHECK((asks || fault.where || has_a_number(fault.message)));
        std::cout << "    stopped in " << fault.stage << ": " << fault.message << "\n";
        ++ends["stopped in " + fault.stage];
        return;
    }
    const auto stops = device->open_stops();
    for (const Check& stop : stops) {
        INFO(stop.id << ": " << stop.message);
        CHECK(has_a_number(stop.message));
        // the geometry's own gates never fail because of an order: the order is stopped before
        CHECK_FALSE(stop.id.starts_with("shell.crossings"));
        CHECK_FALSE(stop.id.starts_with("solid."));
        std::cout << "    stop " << stop.id << ": " << stop.message << "\n";
    }
    ++ends[stops.empty() ? "sound" : "stop " + stops.front().id];
}

void tell(const Ends& ends, int count) {
    for (const auto& [end, times] : ends) std::cout << "  " << times << " of " << count << " " << end << "\n";
}

}  // namespace

TEST_CASE("random prescriptions on generated feet are sound, or stopped with what, where, how much") {
    const int count = tests::cases(300, 12, "prescriptions on generated feet");
    Ends ends;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 40'000 + static_cast<std::uint64_t>(i));
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        generator::Random random(seed, 1);
        const std::string words = tests::prescribe(random, job->foot);
        INFO(job->words << words);
        std::cout << "  " << i << " " << job->words << words << "\n";
        judge(
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "generated"), job->foot, job->side),
            ends);
    }
    tell(ends, count);
    CHECK(tests::share_holds(ends["sound"], count, 0.75));  // most of what a practitioner orders can be made
}

TEST_CASE("random full prescriptions are sound, or stopped naming the feature and the place") {
    const int count = tests::cases(500, 8, "full prescriptions");
    std::vector<tests::RealFoot> real;
    if (!tests::real_foot(tests::real_feet().front()).triangles.empty()) real = tests::real_feet();
    if (real.empty()) tests::skipped("real feet: ../shared/scans is absent");
    Ends ends;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = generator::mix(tests::seed() + 42'000 + static_cast<std::uint64_t>(i));
        generator::Random random(seed, 1);
        auto job = tests::random_job(seed, 40'000);
        REQUIRE(job.ok());
        if (i % 4 == 3 && !real.empty()) {  // every fourth on a real foot
            const tests::RealFoot& foot = real[seed % real.size()];
            job->cast.mesh = tests::real_foot(foot);
            job->side = foot.side;
            job->foot = tests::stated_foot(foot.unit);
            job->words = foot.file;
        }
        const std::string words = tests::prescribe_in_full(random, job->foot);
        INFO(job->words << words);
        std::cout << "  " << i << " " << job->words << words << "\n";
        const auto device =
            tests::build_in_memory(tests::cast_in_memory(job->cast.mesh, "full"), job->foot, job->side);
        judge(device, ends);
        if (!device.ok()) continue;
        // each is there, as deep or high as asked where nothing else meets it
        const auto holes =
            std::count_if(job->foot.features.begin(), job->foot.features.end(),
                          [](const auto& f) { return f.kind == feature::Feature::Kind::aperture; });
        REQUIRE(device->shelled->feature_figures.size() + static_cast<std::size_t>(holes) ==
                job->foot.features.size());
        double most = 0.0;
        for (const feature::Figure& f : device->shelled->feature_figures) most = std::max(most, f.asked_mm);
        for (const feature::Figure& f : device->shelled->feature_figures) {
            CHECK(f.fit_mm < 0.15);
            // where others meet it the higher counts, with the corner rounded
            const double bound = f.overlaps.empty() ? f.asked_mm : most;
            CHECK(f.measured_mm < bound + 0.5 + 0.2 * bound * static_cast<double>(f.overlaps.size()));
        }
    }
    tell(ends, count);
    CHECK(tests::share_holds(ends["sound"], count, 0.5));
}

TEST_CASE("random prescriptions on every real foot are sound, or stopped with what, where, how much",
          "[unsanitized]") {
    if (tests::real_foot(tests::real_feet().front()).triangles.empty())
        return tests::skipped("real feet: ../shared/scans is absent");
    const std::vector<tests::RealFoot>& feet = tests::real_feet();
    // one after the other, so that a slice of twelve is one on each
    const int count = tests::cases(8 * static_cast<int>(feet.size()), static_cast<int>(feet.size()),
                                   "prescriptions on real feet");
    Ends ends;
    for (int i = 0; i < count; ++i) {
        const tests::RealFoot& real = feet[static_cast<std::size_t>(i) % feet.size()];
        generator::Random random(generator::mix(tests::seed() + 41'000 + static_cast<std::uint64_t>(i)));
        design::FootDesign foot = tests::stated_foot(real.unit);
        const std::string words = tests::prescribe(random, foot);
        INFO(real.file << words);
        std::cout << "  " << real.file << words << "\n";
        judge(
            tests::build_in_memory(tests::cast_in_memory(tests::real_foot(real), real.file), foot, real.side),
            ends);
    }
    tell(ends, count);
    CHECK(tests::share_holds(ends["sound"], count, 0.5));
}
