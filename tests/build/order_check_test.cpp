// Contradictions of an order: each found where it is, none where it is not, all of them in one go.
#include "engine/build/order_check.hpp"

#include <catch2/catch.hpp>
#include <functional>
#include <random>
#include <set>

#include "engine/base/text.hpp"
#include "engine/build/workbench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using Catch::Contains;
using design::Job;

namespace {

design::Materials materials() {
    auto all = design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    REQUIRE(all.ok());
    return *all;
}

/// A laboratory that keeps limits of body mass for the default material.
design::Materials with_limits() {
    auto all = materials().all();
    all.at("pp_homopolymer").mass_limits = {{3.0, 80, "our own devices", design::Evidence::practice},
                                            {4.0, 100, "our own devices", design::Evidence::practice}};
    return design::Materials(all);
}

/// The check of this id; a passing one of no id when it was not told.
Check told(const std::vector<Check>& checks, const std::string& id) {
    for (const Check& check : checks)
        if (check.id == id) return check;
    return {};
}
Check told(const Job& job, const std::string& id) {
    return told(build::first_checks(job, Side::right, with_limits()), id);
}

void put_head(Job& job, foot::LandmarkId id, const Vec3& at) {
    job.right->landmarks[id].position = at;
}

design::WallRegion region(double wall, double blend) {
    return {
        {design::WallZone::Kind::wall, wall, 1, 1, blend, 0}, "arch", {{40, 0}, {90, 0}, {90, 30}, {40, 30}}};
}

/// One way of contradicting oneself: what makes it, what mends it, and what the message says.
struct Contradiction {
    std::string id;
    std::function<void(Job&)> make, mend;
    double figure, limit;
    std::vector<std::string> says;
};

std::vector<Contradiction> contradictions() {
    using design::Order;
    using foot::Balance;
    return {
        {"order.deep_cup",
         [](Job& j) {
             j.order.footwear = Order::Footwear::dress;
             j.right->trim.cup_posterior_mm = 16;
         },
         [](Job& j) { j.right->trim.cup_posterior_mm = 15.5; },
         16,
         16,
         {"dress shoe", "16 mm"}},
        {"order.deep_cup",
         [](Job& j) {
             j.order.footwear = Order::Footwear::sandal;
             j.right->trim.cup_lateral_mm = 18;
         },
         [](Job& j) { j.order.footwear = Order::Footwear::walking; },
         18,
         16,
         {"sandal", "18 mm"}},
        {"order.shell_over_insole",
         [](Job& j) {
             put_head(j, foot::LandmarkId::first_head_border, {100, 300, 2});
             put_head(j, foot::LandmarkId::fifth_head_border, {100 + 60, 300 + 80, 2});  // 100 mm apart
             put_head(j, foot::LandmarkId::heel_centre, {10, 430, 2});                   // square to it
             j.right->cast.unit.by = design::StatedBy::proposed;
             j.right->trim.width_allowance_mm = -2;
             j.order.insole_ball_mm = 95.5;
         },
         [](Job& j) { j.right->trim.width_allowance_mm = -2.5; },
         96,
         95.5,
         {"100.0 mm apart", "0.5 mm more"}},
        {"order.skive_cup",
         [](Job& j) {
             j.right->dress.medial_skive.depth_mm = 2;
             j.right->trim.cup_medial_mm = 13.5;
         },
         [](Job& j) { j.right->trim.cup_medial_mm = 14; },
         13.5,
         14,
         {"medial skive of 2 mm", "13.5 mm"}},
        {"order.skive_cup",
         [](Job& j) {
             j.right->dress.lateral_skive.depth_mm = 3;
             j.right->trim.cup_lateral_mm = 10;
         },
         [](Job& j) { j.right->dress.lateral_skive.depth_mm = 0; },
         10,
         14,
         {"lateral skive of 3 mm"}},
        {"order.strong_skive_cup",
         [](Job& j) {
             j.right->dress.medial_skive.depth_mm = 3;
             j.right->balance.method = Balance::Method::heel_bisection;
             j.right->balance.heel_deg = 2.5;
         },
         [](Job& j) { j.right->balance.heel_deg = 2; },
         14,
         20,
         {"2.5 degrees inverted", "20 mm and more"}},
        {"order.pour_arch_fill",
         [](Job& j) {
             j.right->balance.method = Balance::Method::inverted_pour;
             j.right->balance.pour_deg = 25;
         },
         [](Job& j) { j.right->dress.arch_fill_mm = 3; },
         0,
         0,
         {"25 degrees", "dress.arch_fill_mm"}},
        {"order.balance_unused",
         [](Job& j) { j.right->balance.heel_deg = -4; },
         [](Job& j) { j.right->balance.method = Balance::Method::heel_bisection; },
         -4,
         0,
         {"balance.heel_deg is -4", "balance.method = heel_bisection"}},
        {"order.balance_unused",
         [](Job& j) { j.right->balance.intrinsic_deg = 3; },
         [](Job& j) { j.right->balance.forefoot = Balance::Forefoot::platform; },
         3,
         0,
         {"balance.intrinsic_deg is 3"}},
        {"order.distal_past_heads",
         [](Job& j) {
             j.right->trim.distal_first_mm = 1;
             j.right->trim.distal_fifth_mm = 3;
         },
         [](Job& j) { j.right->trim.distal_bow_mm = 2; },
         -1,
         0,
         {"1.0 mm in front"}},
        {"order.border_rises",
         [](Job& j) { j.right->trim.distal_height_mm = 10; },
         [](Job& j) { j.right->trim.lateral_border_mm = 10; },
         10,
         9,
         {"lateral border of 9 mm"}},
        {"order.insensate_edges",
         [](Job& j) {
             j.order.insensate_foot = true;
             j.right->rim.kind = surface::Rim::Kind::square;
         },
         [](Job& j) { j.right->rim.kind = surface::Rim::Kind::bevelled; },
         0,
         5,
         {"square rim", "prescriber"}},
        {"order.insensate_edges",
         [](Job& j) {
             j.order.insensate_foot = true;
             j.right->wall.regions = {region(3, 4.5)};
             j.right->dress.lateral_skive.depth_mm = 2;
             j.right->dress.lateral_skive.blend_mm = 3;
         },
         [](Job& j) { j.order.insensate_foot = false; },
         3,
         5,
         {"\"arch\"", "lateral skive"}},
        {"order.body_mass_wall",
         [](Job& j) {
             j.order.body_mass_kg = 81;
             j.right->wall.regions = {region(3.9, 15)};
             j.right->wall.base_mm = 4;
         },
         [](Job& j) { j.right->wall.regions.clear(); },
         3.9,
         4,
         {"\"arch\"", "81 kg", "our own devices"}},
        {"order.body_mass_wall",
         [](Job& j) { j.order.body_mass_kg = 101; },
         [](Job& j) { j.order.body_mass_kg = 80; },
         101,
         100,
         {"end at 100 kg with 4 mm"}},
        {"order.body_mass_wall",
         [](Job& j) { j.order.body_mass_kg.reset(); },
         [](Job& j) { j.order.body_mass_kg = 60; },
         3.2,
         4,
         {"the order states none"}},
        {"order.material",
         [](Job& j) { j.right->material = "pp_homopolimer"; },
         [](Job& j) { j.right->material = "pp_homopolymer"; },
         0,
         0,
         {"did you mean \"pp_homopolymer\"?"}},
        {"wall.material",
         [](Job& j) {
             j.right->wall.base_mm = 1.2;
             j.right->wall.regions = {region(9, 15)};
         },
         [](Job& j) {
             j.right->wall.base_mm = 3.2;
             j.right->wall.regions.clear();
         },
         1.2,
         1.5,
         {"wall.base_mm is 1.2 mm", "\"arch\" is 9 mm"}},
    };
}

Job sensible() {
    Job job = tests::plain_job();
    job.order.body_mass_kg = 70;
    return job;
}

}  // namespace

TEST_CASE("order: a plain one does not contradict itself", "[order]") {
    const auto checks = build::first_checks(sensible(), Side::right, with_limits());
    for (const Check& check : checks) {
        INFO(check.id << ": " << check.message);
        CHECK(check.verdict == Verdict::pass);
    }
    CHECK(told(checks, "order.contradictions").verdict == Verdict::pass);
    CHECK_FALSE(told(checks, "order.contradictions").message.empty());
    // and a laboratory that keeps no limits is not asked for a body mass
    CHECK(told(build::first_checks(tests::plain_job(), Side::right, materials()), "order.body_mass_wall")
              .id.empty());
    CHECK(build::check_order(sensible(), Side::left, {}).empty());
}

TEST_CASE("order: every contradiction is told with its numbers, and not once it is mended", "[order]") {
    for (const Contradiction& c : contradictions()) {
        Job job = sensible();
        c.make(job);
        const Check check = told(job, c.id);
        INFO(c.id << ": " << check.message);
        REQUIRE(check.id == c.id);
        const bool stop = c.id == "order.material" || c.id == "wall.material";
        CHECK(check.verdict == (stop ? Verdict::stop : Verdict::look));
        CHECK_FALSE(check.title.empty());
        if (c.id != "order.material") {
            REQUIRE(check.figure);
            REQUIRE(check.limit);
            CHECK(*check.figure == Approx(c.figure));
            CHECK(*check.limit == Approx(c.limit));
            CHECK_FALSE(check.unit.empty());
        }
        for (const std::string& words : c.says) CHECK_THAT(check.message, Contains(words));
        c.mend(job);
        const Check mended = told(job, c.id);
        INFO(mended.message);
        CHECK(mended.verdict == Verdict::pass);
    }
}

TEST_CASE("order: all contradictions are told in one go, each once", "[order]") {
    Job job = sensible();
    std::set<std::string> wanted;
    for (const Contradiction& c : contradictions()) {
        if (c.id == "order.material") continue;          // takes the material's own away
        if (c.id == "order.strong_skive_cup") continue;  // is about a cup the shallow one has not
        c.make(job);
        wanted.insert(c.id);
    }
    job.order.insensate_foot = job.order.open_wound = true;
    job.order.body_mass_kg = 90;
    job.right->dress.arch_fill_mm = 0;
    std::multiset<std::string> ids;
    for (const Check& check : build::first_checks(job, Side::right, with_limits()))
        if (check.verdict != Verdict::pass) ids.insert(check.id);
    for (const std::string& id : wanted) {
        INFO(id);
        CHECK(ids.count(id) == 1);
    }
    CHECK(ids.count("order.open_wound") == 1);
    CHECK(ids.count("order.insensate_foot") == 1);
    CHECK(ids.count("order.contradictions") == 0);
    // both skives shallow: one look that names both
    job.right->dress.medial_skive.depth_mm = 2;
    CHECK_THAT(told(job, "order.skive_cup").message, Contains("medial skive") && Contains("lateral skive"));
    CHECK(*told(job, "order.skive_cup").figure == 10);
}

TEST_CASE("order: the shell's width at the ball follows the unit of the cast", "[order]") {
    Job job = sensible();
    put_head(job, foot::LandmarkId::first_head_border, {0, 0, 0});
    put_head(job, foot::LandmarkId::fifth_head_border, {0, 4, 0});
    put_head(job, foot::LandmarkId::heel_centre, {-6, 2, 0});
    job.order.insole_ball_mm = 101;
    job.right->cast.unit.value = LengthUnit::inch;
    CHECK(told(job, "order.shell_over_insole").id.empty());  // nobody knows the unit yet
    job.right->cast.unit.by = design::StatedBy::person;
    CHECK(*told(job, "order.shell_over_insole").figure == Approx(4 * 25.4));
    // the 5th head lies behind the 1st: that is no breadth
    put_head(job, foot::LandmarkId::first_head_border, {1, 0, 0});
    put_head(job, foot::LandmarkId::fifth_head_border, {-1, 4, 0});
    CHECK(*told(job, "order.shell_over_insole").figure == Approx(4 * 25.4));
    job.order.insole_outline = "insole.svg";  // the drawing goes first
    CHECK(told(job, "order.shell_over_insole").id.empty());
    job.order.insole_outline.clear();
    job.right->landmarks.erase(foot::LandmarkId::fifth_head_border);
    CHECK(told(job, "order.shell_over_insole").id.empty());
}

TEST_CASE("order: whatever a job asks, the checks answer", "[order]") {
    std::mt19937_64 random(tests::seed());
    std::map<std::string, int> counts;
    const design::Materials laboratory = with_limits();
    int feet = 0, contradicted = 0;
    for (int i = tests::cases(5000, 300, "orders checked"); i > 0; --i) {
        const Job job = tests::random_job(random);
        for (const Side side : {Side::left, Side::right}) {
            const auto checks = build::first_checks(job, side, laboratory);
            std::set<std::string> seen;
            for (const Check& check : checks) {
                INFO(check.id);
                CHECK(seen.insert(check.id).second);
                CHECK_FALSE(check.message.empty());
                CHECK_FALSE((check.figure && !std::isfinite(*check.figure)));
                if (check.verdict != Verdict::pass) ++counts[check.id];
            }
            if (job.foot(side)) {
                ++feet;
                // either the one pass, or contradictions alone, by the same material
                const auto material = laboratory.find(job.foot(side)->material);
                REQUIRE(material.ok());
                const auto own = build::check_order(job, side, *material);
                const bool none = own.size() == 1 && own[0].id == "order.contradictions";
                for (const Check& check : own) CHECK(check.verdict == (none ? Verdict::pass : Verdict::look));
                for (const Check& check : own) CHECK(seen.count(check.id) == 1);
                contradicted += none ? 0 : 1;
            }
        }
    }
    for (const char* id : {"order.deep_cup", "order.skive_cup", "order.balance_unused",
                           "order.distal_past_heads", "order.border_rises", "order.insensate_edges"}) {
        INFO(id);  // some have it, some have not
        CHECK(tests::share_holds(counts[id], feet, 0.005));
        CHECK(counts[id] < feet);
    }
    CHECK(contradicted > 0);
}
