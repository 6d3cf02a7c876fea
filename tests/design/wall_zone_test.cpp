// Columns, scales, relative rigidity and bands of the wall map: closed forms and invariants on random maps.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "engine/base/text.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/wall_bands.hpp"
#include "engine/design/wall_map.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;
using Catch::Contains;

namespace {

using Engine = std::mt19937_64;

Material stuff(double low, double high) {
    Material m;
    m.name = "trial";
    m.wall_min_mm.value = low;
    m.wall_max_mm.value = high;
    return m;
}

/// 180 mm long, straight borders at +-35.
DevicePlan straight_plan() {
    return {-30, 150, std::vector<double>(12, 35.0), std::vector<double>(12, -35.0)};
}

/// A sole's borders, near enough: an ellipse that widens to the ball.
DevicePlan foot_like_plan(double turn = 1) {
    DevicePlan plan{-30, 150, {}, {}};
    for (int i = 0; i < 24; ++i) {
        const double t = (i + 0.5) / 24, wide = 42 * std::sqrt(1 - std::pow(2 * t - 1, 4)) * (0.7 + 0.4 * t);
        const double waist = 6 * std::sin(std::numbers::pi * t);
        plan.medial_y_mm.push_back(wide - waist);
        plan.lateral_y_mm.push_back(-0.9 * wide);
    }
    if (turn < 0) {
        std::swap(plan.medial_y_mm, plan.lateral_y_mm);
        for (double& y : plan.medial_y_mm) y = -y;
        for (double& y : plan.lateral_y_mm) y = -y;
    }
    return plan;
}

double step(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3 - 2 * t);
}

WallRegion round_region(const std::string& name, Vec2 middle, double radius) {
    WallRegion region;
    region.name = name;
    for (int i = 0; i < 16; ++i) {
        const double a = 2 * std::numbers::pi * i / 16;
        region.outline.emplace_back(middle.x() + radius * std::cos(a), middle.y() + radius * std::sin(a));
    }
    return region;
}

void draw(Engine& random, WallZone& zone, bool scales) {
    const double which = tests::uniform(random, 0, scales ? 3 : 2);
    zone.kind = which < 1   ? WallZone::Kind::wall
                : which < 2 ? WallZone::Kind::rigidity
                            : WallZone::Kind::scale;
    zone.wall_mm = tests::uniform(random, 1.5, 6);
    zone.rigidity = tests::uniform(random, 0.2, 6);
    zone.scale = tests::uniform(random, 0.5, 1.8);
    zone.blend_mm = tests::uniform(random, 2, 18);
    zone.priority = static_cast<int>(tests::uniform(random, -3, 4));
}

Wall random_wall(Engine& random, bool scales) {
    Wall wall;
    wall.base_mm = tests::uniform(random, 2, 4.5);
    if (tests::uniform(random, 0, 1) < 0.5)
        for (const double along : {0.0, 0.4, 0.8})
            wall.stations.push_back({along, tests::uniform(random, 2, 4.5)});
    for (WallColumn* column : {&wall.medial_column, &wall.lateral_column}) {
        column->on = tests::uniform(random, 0, 1) < 0.7;
        column->from = tests::uniform(random, 0, 0.5);
        column->to = tests::uniform(random, 0.55, 1);
        column->width_mm = tests::uniform(random, 5, 40);
        draw(random, *column, scales);
    }
    for (int i = static_cast<int>(tests::uniform(random, 0, 4)); i > 0; --i) {
        const Vec2 middle{tests::uniform(random, -20, 140), tests::uniform(random, -30, 30)};
        // half a blend stays well outside the medial axis of the curve, its middle
        WallRegion region = round_region("r" + std::to_string(i), middle, tests::uniform(random, 12, 40));
        draw(random, region, scales);
        wall.regions.push_back(region);
    }
    return wall;
}

struct Place {
    double x, y;
};
Place random_place(Engine& random) {
    const double x = tests::uniform(random, -40, 160);
    return {x, tests::uniform(random, -55, 55)};
}

}  // namespace

TEST_CASE("wall columns: between straight borders the closed form", "[wall]") {
    for (const bool medial : {true, false}) {
        Wall wall{3.2, {}, {}};
        WallColumn& column = medial ? wall.medial_column : wall.lateral_column;
        column = {{WallZone::Kind::wall, 4.4, 1, 1, 12, 0}, true, 0.25, 0.75, 18};
        const WallMap map(wall, straight_plan());
        double worst = 0;
        for (double x = -30; x <= 150; x += 1.7)
            for (double y = -45; y <= 45; y += 1.3) {
                const double deep = medial ? 35 - y : y + 35;
                const double w =
                    step(0.5 + (18 - deep) / 12) * step(0.5 + (x - 15) / 12) * step(0.5 + (105 - x) / 12);
                worst = std::max(worst, std::abs(map.at(x, y) - (3.2 + 1.2 * w)));
            }
        CHECK(worst < 1e-12);
        // beyond the border it goes on: nothing thins where the flange leans out
        CHECK(map.at(60, medial ? 80 : -80) == Approx(4.4));
        // steepest on its edges: 1.5 times the step over the blend
        CHECK(map.steepest({-30, -35}, {150, 35}).mm_per_mm == Approx(1.5 * 1.2 / 12).epsilon(1e-9));
        column.from = 0;
        column.to = 1;
        const auto slope = WallMap(wall, straight_plan()).steepest({-30, -35}, {150, 35});
        CHECK(slope.mm_per_mm == Approx(1.5 * 1.2 / 12).epsilon(1e-9));
        CHECK(slope.where.y() == Approx(medial ? 17 : -17).margin(1e-9));
    }
}

TEST_CASE("wall columns: an end at the device's own has no transition", "[wall]") {
    Wall wall{3, {}, {}};
    wall.medial_column = {{WallZone::Kind::wall, 5, 1, 1, 20, 0}, true, 0, 1, 25};
    const WallMap map(wall, straight_plan());
    CHECK(map.at(-30, 34) == Approx(5));
    CHECK(map.at(150, 34) == Approx(5));
    wall.medial_column.from = 0.5;
    CHECK(WallMap(wall, straight_plan()).at(60, 34) == Approx(4));  // half way on the end itself
    // without borders there is nothing to lie along
    CHECK(WallMap(wall, {-30, 150}).at(60, 34) == 3);
    wall.medial_column.on = false;
    CHECK(WallMap(wall, straight_plan()).at(100, 34) == 3);
}

TEST_CASE("wall zones: a relative rigidity is the plate's D over the base's", "[wall]") {
    // D = E t^3 / (12 (1 - nu^2)) at E = 1400 MPa, nu = 0.42: 3824.7 N mm at 3 mm, 9065.9 at 4 mm
    const auto plate = [](double t) { return 1400 * t * t * t / (12 * (1 - 0.42 * 0.42)); };
    CHECK(plate(3) == Approx(3824.7).epsilon(1e-5));
    CHECK(wall_of_rigidity(3, 9065.9 / 3824.7) == Approx(4).epsilon(1e-5));
    CHECK(rigidity_of_wall(3.2, 6.4) == Approx(8));
    for (const double r : {0.2, 0.5, 1.0, 2.0, 8.0}) {
        WallRegion region = round_region("arch", {60, 0}, 30);
        region.kind = WallZone::Kind::rigidity;
        region.rigidity = r;
        const Wall wall{3, {{0, 3.6}, {1, 2.4}}, {region}};
        const WallMap map(wall, straight_plan());
        CHECK(plate(map.at(60, 0)) / plate(3) == Approx(r).epsilon(1e-12));  // the blend is over there
        CHECK(map.rigidity(66, 5) == Approx(r).epsilon(1e-12));
    }
}

TEST_CASE("wall zones: a rigidity the material cannot give is held, and said", "[wall][checks]") {
    WallRegion soft = round_region("soft", {20, 0}, 25), stiff = round_region("stiff", {100, 0}, 25),
               fine = round_region("fine", {60, 0}, 5);
    for (WallRegion* region : {&soft, &stiff, &fine}) region->kind = WallZone::Kind::rigidity;
    soft.rigidity = 0.1;
    stiff.rigidity = 12;
    fine.rigidity = 1.5;
    const Wall wall{3, {}, {soft, stiff, fine}};
    const Material material = stuff(2, 6);
    const WallMap map(wall, straight_plan(), WallLimits::of(material));
    CHECK(map.at(20, 0) == Approx(2));  // 3 cbrt(0.1) = 1.39
    CHECK(map.at(100, 0) == Approx(6));
    CHECK(map.min() == 2);
    CHECK(map.max() == 6);
    const auto checks = check_wall(wall, material);
    REQUIRE(checks.size() == 3);
    CHECK(checks[0].verdict == Verdict::pass);  // what is held lies within the material
    CHECK(checks[2].id == "wall.rigidity");
    CHECK(checks[2].verdict == Verdict::look);
    CHECK_THAT(checks[2].message, Contains("\"soft\"") && Contains("1.39 mm") && Contains("0.30 x") &&
                                      Contains("\"stiff\"") && Contains("8.00 x") && !Contains("\"fine\""));
    const Wall good{3, {}, {fine}};
    CHECK(check_wall(good, material)[2].verdict == Verdict::pass);
    CHECK_THAT(check_wall(good, material)[2].message, Contains("3.43 mm"));
    CHECK(check_wall(Wall{}, material).size() == 2);  // nothing more is said of a wall without
}

TEST_CASE("wall zones: a scale multiplies what lies below it, and 1 is nothing", "[wall]") {
    WallRegion region = round_region("arch", {60, 0}, 30);
    region.kind = WallZone::Kind::scale;
    region.scale = 1.25;
    region.priority = 1;
    Wall wall{3, {{0, 3.6}, {1, 2.4}}, {region}};
    wall.medial_column = {{WallZone::Kind::wall, 5, 1, 1, 10, 0}, true, 0, 1, 25};
    Wall below = wall;
    below.regions.clear();
    const WallMap scaled(wall, straight_plan()), plain(below, straight_plan());
    for (const Vec2& p : {Vec2(60, 0), Vec2(66, 8), Vec2(52, -9), Vec2(60, 18)})
        CHECK(scaled.at(p.x(), p.y()) == Approx(1.25 * plain.at(p.x(), p.y())).epsilon(1e-12));
    wall.regions[0].scale = 1;
    const WallMap one(wall, straight_plan());
    Engine random(tests::seed());
    for (int i = tests::cases(5000, 500, "places under a scale of 1"); i > 0; --i) {
        const Place p = random_place(random);
        CHECK(one.at(p.x, p.y) == plain.at(p.x, p.y));  // to the last bit
    }
}

TEST_CASE("wall zones: scales on scales stay a wall", "[wall]") {
    Wall wall{3, {}, {}};
    for (int i = 0; i < 200; ++i) {
        wall.regions.push_back(round_region("r" + std::to_string(i), {60, 0}, 30));
        wall.regions.back().kind = WallZone::Kind::scale;
        wall.regions.back().scale = 3;
    }
    CHECK(WallMap(wall, straight_plan()).at(60, 0) == WallMap::greatest_wall_mm);
    for (WallRegion& region : wall.regions) region.scale = 0.1;
    const WallMap thin(wall, straight_plan());
    CHECK(thin.at(60, 0) == WallMap::least_wall_mm);
    CHECK(thin.min() == WallMap::least_wall_mm);
    const auto check = check_scaled_wall(wall, thin, stuff(2, 6));
    REQUIRE(check);
    CHECK(check->verdict == Verdict::stop);
    CHECK_FALSE(check->signable);
    CHECK((check->where->head<2>() - Vec2(60, 0)).norm() < 30 + 0.5 * 15);
    CHECK_FALSE(check_scaled_wall(Wall{}, WallMap(Wall{}, straight_plan()), stuff(2, 6)));
    wall.regions.resize(1);
    wall.regions[0].scale = 2.5;
    CHECK(check_scaled_wall(wall, WallMap(wall, straight_plan()), stuff(2, 6))->verdict == Verdict::look);
    wall.regions[0].scale = 1.5;
    CHECK(check_scaled_wall(wall, WallMap(wall, straight_plan()), stuff(2, 6))->verdict == Verdict::pass);
}

TEST_CASE("wall zones: the higher priority wins, columns lie below regions", "[wall]") {
    Wall wall{3, {}, {round_region("r", {60, 20}, 14)}};
    wall.regions[0].wall_mm = 2;
    wall.regions[0].blend_mm = 4;
    wall.medial_column = {{WallZone::Kind::wall, 5, 1, 1, 4, 0}, true, 0, 1, 40};
    wall.lateral_column = {{WallZone::Kind::wall, 4, 1, 1, 4, 0}, true, 0, 1, 60};
    CHECK(WallMap(wall, straight_plan()).at(60, 20) == Approx(2));
    CHECK(WallMap(wall, straight_plan()).at(60, 2) == Approx(4));  // both columns: the lateral is the later
    wall.medial_column.priority = 1;
    CHECK(WallMap(wall, straight_plan()).at(60, 20) == Approx(5));
    CHECK(WallMap(wall, straight_plan()).at(60, 2) == Approx(5));
    wall.regions[0].priority = 2;
    CHECK(WallMap(wall, straight_plan()).at(60, 20) == Approx(2));
}

TEST_CASE("wall zones: random maps stay within the values used", "[wall]") {
    Engine random(tests::seed());
    for (int n = tests::cases(400, 60, "bounds of random walls"); n > 0; --n) {
        const Wall wall = random_wall(random, false);
        const WallLimits limits{2.1, 5};
        const WallMap map(wall, foot_like_plan(), limits);
        double low = 1e9, high = 0;
        for (const auto& [name, value] : asked_walls(wall, limits)) {
            low = std::min(low, value);
            high = std::max(high, value);
        }
        CHECK(map.min() == low);
        CHECK(map.max() == high);
        for (int i = 0; i < 100; ++i) {
            const Place p = random_place(random);
            const double here = map.at(p.x, p.y);
            CHECK(here >= low - 1e-12);
            CHECK(here <= high + 1e-12);
        }
        const auto reached = map.reached();
        REQUIRE(reached);
        CHECK(reached->least_mm >= low - 1e-12);
        CHECK(reached->greatest_mm <= high + 1e-12);
        CHECK(map.at(reached->least_at.x(), reached->least_at.y()) == reached->least_mm);
    }
}

TEST_CASE("wall zones: random maps with scales stay within their bounds", "[wall]") {
    Engine random(tests::seed() + 1);
    for (int n = tests::cases(400, 60, "bounds of random walls with scales"); n > 0; --n) {
        const WallMap map(random_wall(random, true), foot_like_plan(), {2.1, 5});
        for (int i = 0; i < 100; ++i) {
            const Place p = random_place(random);
            CHECK(map.at(p.x, p.y) >= map.min() - 1e-12);
            CHECK(map.at(p.x, p.y) <= map.max() + 1e-12);
        }
    }
}

TEST_CASE("wall zones: random maps are smooth, and the gradient is that of the wall", "[wall]") {
    Engine random(tests::seed() + 2);
    const double h = 1e-5;
    int tried = 0, all = 0;
    double worst = 0;
    for (int n = tests::cases(400, 60, "gradients of random walls"); n > 0; --n) {
        const Wall wall = random_wall(random, true);
        const WallMap map(wall, foot_like_plan(), {2.1, 5});
        for (int i = 0; i < 60; ++i) {
            const Place p = random_place(random);
            ++all;
            // near the middle of a round region its nearest points change over
            bool middle = false;
            for (const WallRegion& region : wall.regions) {
                Vec2 mean = Vec2::Zero();
                for (const Vec2& q : region.outline) mean += q / 16;
                middle = middle || (Vec2(p.x, p.y) - mean).norm() < 3;
            }
            if (middle) continue;
            const WallMap::Sample s = map.sample(p.x, p.y);
            const Vec2 d((map.at(p.x + h, p.y) - map.at(p.x - h, p.y)) / (2 * h),
                         (map.at(p.x, p.y + h) - map.at(p.x, p.y - h)) / (2 * h));
            // a blend's second derivative jumps at its ends, by 6 x difference / blend^2: 6 x 5 / 2^2 for
            // the sharpest here, times the border's own slope and h / 2
            worst = std::max(worst, (s.gradient - d).norm());
            ++tried;
        }
    }
    CHECK(worst < 1e-3);
    CHECK(2 * tried > all);
}

TEST_CASE("wall zones: a mirrored device has the mirrored wall", "[wall]") {
    Engine random(tests::seed() + 3);
    for (int n = tests::cases(300, 40, "mirrored walls"); n > 0; --n) {
        Wall wall = random_wall(random, true);
        // two columns of one priority are laid medial first, and that a mirror turns round
        if (wall.medial_column.priority == wall.lateral_column.priority) ++wall.medial_column.priority;
        Wall mirrored = wall;
        std::swap(mirrored.medial_column, mirrored.lateral_column);
        for (WallRegion& region : mirrored.regions)
            for (Vec2& p : region.outline) p.y() = -p.y();
        const WallMap a(wall, foot_like_plan()), b(mirrored, foot_like_plan(-1));
        for (int i = 0; i < 60; ++i) {
            const Place p = random_place(random);
            CHECK(b.at(p.x, -p.y) == Approx(a.at(p.x, p.y)).margin(1e-9));
        }
    }
}

TEST_CASE("wall columns: what cannot be is told", "[wall][checks]") {
    Wall wall;
    wall.medial_column.on = true;
    CHECK(check_wall(wall, stuff(1, 9))[2].verdict == Verdict::pass);
    wall.medial_column.from = 0.9;
    const Check empty = check_wall(wall, stuff(1, 9))[2];
    CHECK(empty.id == "wall.columns");
    CHECK(empty.verdict == Verdict::stop);
    CHECK_THAT(empty.message, Contains("medial") && Contains("0.9"));
    CHECK(WallMap(wall, straight_plan()).at(60, 34) == wall.base_mm);
    wall.medial_column.on = false;
    wall.lateral_column = {{WallZone::Kind::wall, 4, 1, 1, 60, 0}, true, 0.2, 0.8, 12};
    CHECK(check_wall(wall, stuff(1, 9))[2].verdict == Verdict::look);
    wall.lateral_column.blend_mm = 10;
    wall.lateral_column.wall_mm = 0.6;
    CHECK(check_wall(wall, stuff(1, 9))[0].verdict == Verdict::stop);
    CHECK_THAT(check_wall(wall, stuff(1, 9))[0].message, Contains("the lateral column"));
}

namespace {

Outcome<Applied> give_bands(Job& job, const std::string& line, const Materials* materials = nullptr) {
    const auto command = parse(line, job_commands());
    if (!command) return command.fault();
    Surroundings around;
    around.materials = materials;
    return apply(*command, job, around);
}

Job job_of_one_foot() {
    Job job;
    job.right.emplace();
    job.right->wall.base_mm = 3;
    return job;
}

}  // namespace

TEST_CASE("wall bands: one command writes stations whose rigidity is what was asked", "[wall][commands]") {
    Job job = job_of_one_foot();
    const auto done = give_bands(job, "wall bands heel=1.5 midfoot=2 forefoot=0.5");
    INFO((done ? std::string() : done.fault().message));
    REQUIRE(done.ok());
    const Wall& wall = job.right->wall;
    REQUIRE(wall.stations.size() == 6);
    CHECK(wall.base_mm == 3);
    const WallMap map(wall, {0, 300});
    const auto at = [&](double along) { return map.rigidity(300 * along, 0); };
    // on each plateau; 0.001 mm of wall is 0.1 % of the rigidity of the thinnest
    for (const double along : {0.0, 0.1, 0.25}) CHECK(at(along) == Approx(1.5).epsilon(1e-3));
    for (const double along : {0.42, 0.5, 0.58}) CHECK(at(along) == Approx(2).epsilon(1e-3));
    for (const double along : {0.75, 0.9, 1.0}) CHECK(at(along) == Approx(0.5).epsilon(1e-3));
    // monotone between two bands
    for (double along = 0.42, before = at(along); along < 0.75; along += 0.01) {
        CHECK(at(along) <= before + 1e-12);
        before = at(along);
    }
    // at a third it is half way in wall
    CHECK(map.at(100, 0) == Approx(0.5 * 3 * (std::cbrt(1.5) + std::cbrt(2))).margin(2e-3));
    CHECK_THAT(done->told.front(), Contains("6 stations") && Contains("comparison"));

    REQUIRE(give_bands(job, "wall bands stations=[[0,2],[0.6,2],[1,0.4]]").ok());
    REQUIRE(job.right->wall.stations.size() == 3);
    CHECK(job.right->wall.stations[2].wall_mm == Approx(3 * std::cbrt(0.4)).margin(5e-4));
    REQUIRE(give_bands(job, "wall bands forefoot=0.5").ok());
    CHECK(job.right->wall.stations.front().wall_mm == 3);
}

TEST_CASE("wall bands: what cannot be is refused or held, and said", "[wall][commands]") {
    Job job = job_of_one_foot();
    for (const auto& [line, words] : std::vector<std::pair<std::string, std::string>>{
             {"wall bands", "heel, midfoot or forefoot"},
             {"wall bands heel=2 stations=[[0,1]]", "not both"},
             {"wall bands heel=30", "0.05"},
             {"wall bands stations=[]", "[[along, rigidity], ...]"},
             {"wall bands stations=[[0.5,1],[0.2,1]]", "write them in order"},
             {"wall bands stations=[[0,1],[0.0001,2]]", "move them apart"},
             {"wall bands stations=[[0,99]]", "between 0.05 and 20"},
             {"wall bands stations=[[0,1,2]]", "stations[0] is no pair"},
             {"wall bands stations=[[2,1]]", "rear edge"}}) {
        INFO(line);
        const auto done = give_bands(job, line);
        REQUIRE_FALSE(done.ok());
        CHECK_THAT(done.fault().message, Contains(words));
        CHECK(job.right->wall.stations.empty());
    }
    std::map<std::string, Material> all;
    all["pp_homopolymer"] = stuff(2, 4);
    const Materials materials(all);
    const auto held = give_bands(job, "wall bands midfoot=10 forefoot=0.1", &materials);
    REQUIRE(held.ok());
    CHECK(job.right->wall.stations[2].wall_mm == 4);
    CHECK(job.right->wall.stations[5].wall_mm == 2);
    std::string told;
    for (const std::string& line : held->told) told += line + "\n";
    CHECK_THAT(told, Contains("6.46 mm") && Contains("ends at 4 mm") && Contains("begins at 2 mm"));
}

TEST_CASE("wall zones: commands set every key, and a script reads as the trade speaks", "[wall][commands]") {
    Job job = job_of_one_foot();
    for (const char* line : {"set wall.medial_column.on yes", "set wall.medial_column.kind rigidity",
                             "set wall.medial_column.rigidity 2.5", "set wall.lateral_column.width_mm 14mm",
                             "region add arch [[40,-10],[80,-10],[80,20],[40,20]] 3.4",
                             "set wall.regions[arch].kind scale", "set wall.regions[arch].scale 0.9"}) {
        const auto done = give_bands(job, line);
        INFO(line << ": " << (done ? std::string() : done.fault().message));
        REQUIRE(done.ok());
    }
    const Wall& wall = job.right->wall;
    CHECK(wall.medial_column.on);
    CHECK(wall.medial_column.kind == WallZone::Kind::rigidity);
    CHECK(wall.medial_column.rigidity == 2.5);
    CHECK(wall.lateral_column.width_mm == 14);
    CHECK(wall.regions[0].kind == WallZone::Kind::scale);
    CHECK(wall.regions[0].scale == 0.9);
    CHECK_FALSE(give_bands(job, "set wall.regions[arch].scale 4").ok());
    CHECK_FALSE(give_bands(job, "set wall.medial_column.kind hard").ok());
}
