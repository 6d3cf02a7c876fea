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

TEST_CASE("carry: to and fro nothing more is changed, and parts change nothing but themselves", "[second]") {
    std::mt19937_64 random(tests::seed());
    const auto text = [](const FootDesign& foot) { return print(to_json(foot, Writing::complete)); };
    // as mirrored casts in one file frame lie on one another, with the rounding of a turn to and fro
    const Mat3 turn = Eigen::AngleAxisd(0.3, Vec3(1, 2, 3).normalized()).toRotationMatrix();
    const auto over = [&](const Vec3& p) -> Vec3 {
        const Vec3 q = turn * p;
        return turn.transpose() * Vec3(q.x(), -q.y(), q.z());
    };
    for (int i = tests::cases(500, 60, "orders carried"); i > 0; --i) {
        const Job one = tests::random_job(random), two = tests::random_job(random);
        FootDesign from = one.right ? *one.right : *one.left;
        FootDesign to = two.right ? *two.right : *two.left;
        if (!from.marks.empty())
            for (feature::Feature& f : from.features)
                if (f.anchor.empty() && random() % 2 == 0) {
                    f.anchor = from.marks.front().name;
                    f.points.clear();
                }
        const std::string at_first = text(from);
        carry_order(from, to, order_parts(), over);
        const std::string there = text(to);
        carry_order(to, from, order_parts(), over);
        CHECK(text(from) == at_first);
        carry_order(from, to, order_parts(), over);
        CHECK(text(to) == there);
        // whatever lies on a mark has it there
        for (const feature::Feature& f : from.features)
            if (std::any_of(from.marks.begin(), from.marks.end(),
                            [&](const Mark& mark) { return mark.name == f.anchor; }))
                CHECK(std::any_of(to.marks.begin(), to.marks.end(),
                                  [&](const Mark& mark) { return mark.name == f.anchor; }));

        FootDesign other = two.right ? *two.right : *two.left;
        const Json own = to_json(other, Writing::complete), order = to_json(from, Writing::complete);
        const std::string part = order_parts()[random() % order_parts().size()];
        carry_order(from, other, {part}, {});
        for (const auto& [key, member] : to_json(other, Writing::complete).members) {
            INFO(part << ": " << key);
            if (key != "features" || part != "features")
                CHECK(member == *(key == part ? order : own).find(key));
        }
    }
    CHECK(parse_order_parts("")->size() == order_parts().size());
    CHECK(*parse_order_parts("wall,trim,wall") == std::vector<std::string>{"wall", "trim"});
    for (const char* wrong : {"walls", "trim,", ",", "trim wall"}) CHECK_FALSE(parse_order_parts(wrong).ok());
    // the parts are what an order decides
    Writer asked(Writing::complete);
    FootDesign any;
    describe_asked(asked, any);
    std::set<std::string> keys;
    for (const auto& member : asked.take().members) keys.insert(member.first);
    CHECK(keys == std::set<std::string>(order_parts().begin(), order_parts().end()));
}
