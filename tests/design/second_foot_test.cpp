// The other foot to the same order: all of the order, and nothing of the foot.
#include "engine/design/second_foot.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <random>
#include <set>

#include "engine/design/description.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/writer.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

TEST_CASE("second foot: a relief on a mark of the other foot is left out and named", "[second]") {
    FootDesign from, to;
    from.marks.emplace_back().name = "nodule";
    for (const char* anchor : {"nodule", "fifth_base", ""}) {
        feature::Feature& one = from.features.emplace_back();
        one.name = std::string("on ") + anchor;
        one.anchor = anchor;
        if (one.anchor.empty()) one.points = {Vec2(50, 0)};
    }
    const auto drawn = copy_order(from, to);
    REQUIRE(to.features.size() == 2);
    CHECK(to.features[0].anchor == "fifth_base");
    REQUIRE(drawn.size() == 2);
    CHECK(drawn[0].find("left out") != std::string::npos);
    CHECK(drawn[1].find("drawn in plan") != std::string::npos);
}

TEST_CASE("second foot: the order is equal, everything else is its own", "[second]") {
    const std::set<std::string> of_the_order{"balance",  "dress",     "trim",   "wall",
                                             "features", "posts",     "rim",    "material",
                                             "covers",   "lettering", "presets"};
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(500, 50, "second feet"); i > 0; --i) {
        const Job one = tests::random_job(random), two = tests::random_job(random);
        const FootDesign& from = one.right ? *one.right : *one.left;
        FootDesign to = two.right ? *two.right : *two.left;
        const Json own = to_json(to, Writing::complete), order = to_json(from, Writing::complete);
        const auto drawn = copy_order(from, to);
        const Json now = to_json(to, Writing::complete);
        for (const auto& [key, member] : now.members) {
            INFO(key);
            CHECK(member == *(of_the_order.count(key) ? order : own).find(key));
        }
        // describe_asked says what an order decides: a group added there has to be copied as well
        Writer asked(Writing::complete);
        FootDesign any;
        describe_asked(asked, any);
        for (const auto& member : asked.take().members) CHECK(of_the_order.count(member.first) == 1);
        const auto outlined = std::count_if(from.covers.begin(), from.covers.end(),
                                            [](const Cover& cover) { return !cover.outline.empty(); });
        CHECK(drawn.size() == static_cast<std::size_t>(outlined) + from.dress.smooth.size() +
                                  from.dress.keep.size() + from.wall.regions.size() +
                                  (from.trim.controls.empty() ? 0 : 1) + (from.posts.forefoot.on ? 1 : 0));
        for (const WallRegion& region : from.wall.regions)
            CHECK(std::count(drawn.begin(), drawn.end(), "wall region \"" + region.name + "\"") == 1);
    }
}
