// Orders compared: what differs is named as `set` takes it, and setting it makes them equal.
#include "engine/compare/settings.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "engine/design/description.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/second_foot.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using compare::Setting;
using compare::settings_that_differ;

TEST_CASE("compare: settings that differ, by name") {
    design::FootDesign before;
    before.features.emplace_back().name = "fascia";
    before.features.emplace_back().name = "nodule";
    before.wall.stations = {{0.1, 3.0}, {0.9, 2.5}};
    design::FootDesign after = before;
    CHECK(settings_that_differ(before, after).empty());
    after.trim.cup_medial_mm = 16;
    after.features[0].depth_mm = 2.5;
    after.features.erase(after.features.begin() + 1);
    after.wall.stations[1].wall_mm = 2.8;
    after.landmarks[foot::LandmarkId::navicular].position = Vec3(1, 2, 3);  // of the cast: none
    const auto all = settings_that_differ(before, after);
    REQUIRE(all.size() == 4);
    CHECK(all[0] == Setting{"trim.cup_medial_mm", "14", "16"});
    CHECK(all[1] == Setting{"wall.stations[1].wall_mm", "2.5", "2.8"});
    CHECK(all[2].name == "features[fascia].depth_mm");
    CHECK(all[2].after == "2.5");
    CHECK(all[3].name == "features[nodule]");
    CHECK(all[3].after.empty());
    // the order of a list is a setting of its own
    after = before;
    std::swap(after.features[0], after.features[1]);
    CHECK(settings_that_differ(before, after) ==
          std::vector{Setting{"features", "fascia, nodule", "nodule, fascia"}});
}

TEST_CASE("compare: setting what differs makes two orders equal") {
    std::mt19937_64 random(tests::seed());
    std::size_t set = 0;
    for (int i = tests::cases(400, 60, "orders compared"); i > 0; --i) {
        const design::Job one = tests::random_job(random), two = tests::random_job(random);
        design::FootDesign from = one.right ? *one.right : *one.left;
        const design::FootDesign to = two.right ? *two.right : *two.left;
        // lists are the same here: their entries are named by what they are called, not by where they stand
        design::FootDesign goal = to;
        goal.features = from.features;
        goal.covers = from.covers;
        goal.wall.regions = from.wall.regions;
        goal.dress.smooth = from.dress.smooth;
        goal.dress.keep = from.dress.keep;
        goal.repairs = from.repairs;
        for (const Setting& setting : settings_that_differ(from, goal)) {
            INFO(setting.name << ": " << setting.before << " -> " << setting.after);
            const auto done = design::set(from, setting.name, setting.after);
            if (!done) FAIL(done.fault().message);
            ++set;
        }
        CHECK(settings_that_differ(from, goal).empty());
    }
    CHECK(set > 0);
}
