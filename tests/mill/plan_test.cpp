// Paths planned and simulated on small bodies: nothing cut into, nothing left, cusps as the formula says.
#include "engine/mill/plan.hpp"

#include <catch2/catch.hpp>
#include <numbers>

#include "engine/mill/passes.hpp"
#include "engine/mill/simulate.hpp"
#include "tests/mill/random.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::mill;
using tests::Draw;

namespace {

PlanSetting small_setting() {
    PlanSetting s;
    s.rough.name = "flat 8";
    s.rough.diameter = s.rough.shank_diameter = 8.0;
    s.rough.corner_radius = 0.0;
    s.rough.stick_out = 45.0;
    s.rough.flute_length = 30.0;
    s.finish.name = "ball 6";
    s.finish.stick_out = 45.0;
    s.finish.flute_length = 30.0;
    s.scallop_mm = 0.02;
    return s;
}

std::vector<Needle> needles_on(const TriangleMesh& mesh) {
    std::vector<Needle> needles;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Vec3 n = mesh.normal2(t);
        if (!(n.norm() > 1e-9)) continue;
        const Triangle& c = mesh.triangles[t];
        needles.push_back(
            {(mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]) / 3.0, n.normalized()});
    }
    return needles;
}

/// A curved sheet with walls that lean outward by nothing: what a shell is, small.
TriangleMesh little_shell(double bend, double wall) {
    return tests::slab(
        16.0, 9.0, 40, 24, [=](double x, double y) { return wall + bend * (0.01 * x * x + 0.02 * y * y); },
        [=](double x, double y) { return bend * (0.01 * x * x + 0.02 * y * y); });
}

}  // namespace

TEST_CASE("a path follows a slope, a hollow and an edge within its chord") {
    Cutter ball;  // 6 mm
    const TriangleMesh mesh = tests::slab(
        20.0, 8.0, 80, 8, [](double x, double) { return 0.3 * std::abs(x); },
        [](double, double) { return -5.0; });
    const DropGrid drop(mesh, ball);
    std::vector<Vec3> path{{-26.0, 0.3, drop.z(-26.0, 0.3, -9.0)}};
    follow(drop, {-26.0, 0.3, -9.0}, {26.0, 0.3, -9.0}, 0.004, path);
    const std::size_t dense = path.size();
    thin_out(path, 0.002);
    CHECK(path.size() < dense);
    CHECK(path.back().x() == 26.0);
    double worst = 0.0;
    for (std::size_t i = 1; i < path.size(); ++i) {
        const Vec3 &a = path[i - 1], &b = path[i];
        CHECK(b.x() >= a.x() - 1e-9);
        for (int k = 0; k <= 10; ++k) {
            const Vec3 p = a + (b - a) * (k / 10.0);
            const double under = drop.z(p.x(), p.y(), -9.0) - p.z();
            worst = std::max(worst, under);
        }
    }
    CHECK(worst < 0.012);  // along z, also where the path falls off the end, steep as a wall
    // at the hollow the ball rests on both slopes
    double lowest = 1e9;
    for (const Vec3& p : path)
        if (std::abs(p.x()) < 3.0) lowest = std::min(lowest, p.z());
    const double rests = 3.0 * (std::sqrt(1.0 + 0.09) - 1.0);
    CHECK(lowest == Approx(rests).margin(0.005));
}

TEST_CASE("cusps between parallel lines are what the formula says, on planes and on spheres") {
    for (const double slope : {0.0, 0.2, 0.4}) {
        const double step = 0.8, r = 3.0;
        Cutter ball;
        const TriangleMesh plane = tests::slab(
            12.0, 12.0, 2, 2, [=](double, double y) { return slope * y; },
            [](double, double) { return -20.0; });
        const DropGrid drop(plane, ball);
        // height of what stays midway between two lines, along the normal
        const double y0 = 0.0, y1 = step;
        const double x = 0.3, tilt = std::atan(slope);
        Needle needle{Vec3(x, 0.5 * step, slope * 0.5 * step), Vec3(0, -std::sin(tilt), std::cos(tilt))};
        // lines touch the plane off their own place by r sin(tilt): look where the cusp is
        for (const double y : {y0 - 2.0 * step, y0 - step, y0, y1, y1 + step, y1 + 2.0 * step}) {
            const Vec3 a(-5.0, y, drop.z(-5.0, y, -30.0)), b(5.0, y, drop.z(5.0, y, -30.0));
            needle.meet(ball, a, b);
        }
        double highest = 0.0;
        for (int i = 0; i < 100; ++i) {
            const double at = step * i / 100.0;
            Needle one{Vec3(x, at, slope * at), Vec3(0, -std::sin(tilt), std::cos(tilt))};
            for (int k = -4; k <= 6; ++k) {
                const double y = k * step;
                one.meet(ball, {-5.0, y, drop.z(-5.0, y, -30.0)}, {5.0, y, drop.z(5.0, y, -30.0)});
            }
            highest = std::max(highest, one.left);
            CHECK(one.cut < 1e-3);
        }
        // the step measured along the slope
        CHECK(highest == Approx(scallop(r, step / std::cos(tilt))).epsilon(0.05));
        CHECK(scallop(r, step_over(r, 0.03)) == Approx(0.03).epsilon(1e-9));
    }
    // a sphere of radius 40: centres of passes on a sphere of 43, the chord between them from the ball's own
    const double rho = 40.0, r = 3.0, angle = 0.02;
    const double height =
        (rho + r) * std::cos(angle) - std::sqrt(r * r - std::pow((rho + r) * std::sin(angle), 2)) - rho;
    Cutter ball;
    double highest = 0.0;
    for (int i = -20; i <= 20; ++i) {
        const double at = angle * i / 20.0;
        Needle one{Vec3(0, rho * std::sin(at), rho * std::cos(at)), Vec3(0, std::sin(at), std::cos(at))};
        for (int k = -3; k <= 3; k += 2) {
            const Vec3 tip(0.0, (rho + r) * std::sin(k * angle), (rho + r) * std::cos(k * angle) - r);
            one.meet(ball, tip - Vec3(4, 0, 0), tip + Vec3(4, 0, 0));
        }
        highest = std::max(highest, one.left);
    }
    CHECK(highest == Approx(height).epsilon(0.05));
}

TEST_CASE("small shells are milled from both sides: clean, whole, held by their tabs alone") {
    Draw draw(tests::seed());
    const int count = tests::cases(20, 2, "small shells milled");
    for (int i = 0; i < count; ++i) {
        PlanSetting setting = small_setting();
        if (i % 2 == 1) setting.direction = Direction::conventional;
        if (i % 3 == 1) setting.one_way = true;
        const double bend = draw.between(0.2, 1.2), wall = draw.between(2.5, 4.0);
        NestSetting laying;
        laying.block = Vec3(80, 62, 18);
        laying.channel_mm = channel_for(setting);
        laying.flip = i % 2 == 0 ? Flip::about_x : Flip::about_y;
        laying.tabs.thickness_mm = 1.0;
        laying.tabs.at = {0.5};
        auto nest = lay({little_shell(bend, wall)}, laying);
        INFO("bend " << bend << " wall " << wall);
        REQUIRE(nest.ok());
        CHECK(nest->tabs.size() == 2);
        const TriangleMesh device = nest->devices[0];
        auto needles = needles_on(device);
        const auto places = needles;
        double seconds = 0.0;
        HeightGrid tops[2];
        for (int side = 0; side < 2; ++side) {
            const auto plan = plan_side(*nest, side, setting, nullptr);
            REQUIRE(plan.ok());
            for (std::size_t k = 0; k < needles.size(); ++k) {
                needles[k].place = nest->in_set_up(side, places[k].place);
                needles[k].normal = nest->turned(side, places[k].normal);
            }
            const auto done =
                simulate(plan->operations, nest->block, 0.25, MachineLimits{}, needles, nullptr);
            REQUIRE(done.ok());
            for (const Trouble& trouble : done->troubles)
                FAIL_CHECK(words(trouble.kind) << " " << trouble.depth_mm);
            seconds += done->seconds;
            tops[side] = done->top;
            CHECK(plan->floor_mm >= -nest->block.z());
        }
        CHECK(seconds > 30.0);
        int left = 0, beside = 0;
        double gouge = 0.0;
        for (std::size_t k = 0; k < needles.size(); ++k) {
            gouge = std::max(gouge, needles[k].cut);
            bool tab = false;
            for (const Tab& one : nest->tabs)
                tab = tab || (places[k].place - one.root).head<2>().norm() < 0.5 * one.width_mm + 4.0;
            beside += tab ? 1 : 0;
            if (!tab && needles[k].left > setting.scallop_mm + 0.05 && ++left < 6)
                UNSCOPED_INFO("left " << needles[k].left << " at " << places[k].place.transpose() << " n "
                                      << places[k].normal.transpose());
        }
        CHECK(gouge < 0.02);
        CHECK(left == 0);
        CHECK(beside < static_cast<int>(needles.size()) / 3);
        // outside the device nothing is left in the channel but the tabs: columns that still stand there
        double standing = 0.0;
        const Area channel =
            without(grown(nest->outline, laying.channel_mm - 1.0), grown(nest->outline, 1.5));
        const HeightGrid &a = tops[0], &b = tops[1];
        for (int k = 0; k < a.ny; ++k)
            for (int j = 0; j < a.nx; ++j) {
                if (!contains(channel, {a.x(j), a.y(k)})) continue;
                const int tk = nest->flip == Flip::about_x ? a.ny - 1 - k : k;
                const int tj = nest->flip == Flip::about_x ? j : a.nx - 1 - j;
                const double thick = a.at(j, k) + nest->block.z() + b.at(tj, tk);
                if (thick > 0.0) standing += thick * a.step * a.step;
            }
        const double tabs = 2.0 * laying.tabs.width_mm * laying.tabs.thickness_mm * (laying.channel_mm - 2.5);
        CHECK(standing > 0.5 * tabs);
        CHECK(standing < 4.0 * tabs + 20.0);  // and what the round cutter leaves beside them
    }
}

TEST_CASE("what cannot be milled is refused in words") {
    const PlanSetting setting = small_setting();
    NestSetting laying;
    laying.channel_mm = channel_for(setting);
    const TriangleMesh shell = little_shell(0.5, 3.0);
    const auto says = [&](const NestSetting& how) {
        const auto nest = lay({shell}, how);
        return nest.ok() ? std::string() : nest.fault().message;
    };
    laying.block = Vec3(80, 62, 18);
    CHECK(says(laying).empty());
    NestSetting small = laying;
    small.block = Vec3(80, 30, 18);
    CHECK(says(small).find("are needed") != std::string::npos);
    NestSetting heel = laying;
    heel.tabs.at = {0.05};
    CHECK(says(heel).find("heel") != std::string::npos);
    heel.tabs.anywhere = true;
    CHECK(says(heel).empty());
    const auto nest = lay({shell}, laying);
    const auto plans = [&](const PlanSetting& how) {
        const auto plan = plan_side(*nest, 0, how, nullptr);
        return plan.ok() ? std::string() : plan.fault().message;
    };
    PlanSetting shorter = setting;
    shorter.finish.flute_length = 4.0;
    shorter.finish.stick_out = 6.0;
    CHECK(plans(shorter).find("holder") != std::string::npos);
    PlanSetting sharp = setting;
    sharp.finish.corner_radius = 0.0;
    CHECK(plans(sharp).find("ball or bull") != std::string::npos);
    PlanSetting broad = setting;
    broad.rough.diameter = broad.rough.shank_diameter = 20.0;
    CHECK(plans(broad).find("channel") != std::string::npos);
    PlanSetting nothing = setting;
    nothing.scallop_mm = 0.0;
    CHECK(plans(nothing).find("Cusps") != std::string::npos);
    Progress given_up;
    given_up.cancel();
    const auto plan = plan_side(*nest, 0, setting, &given_up);
    REQUIRE_FALSE(plan.ok());
    CHECK(plan.fault().kind == FaultKind::cancelled);
}

TEST_CASE("the simulation sees rapids in the block, holders, travel, the bed") {
    Operation operation{"bad", small_setting().finish, 1000.0, {}};
    MachineLimits machine;
    machine.travel_high = Vec3(40, 40, 60);
    machine.travel_low = Vec3(-40, -40, -60);
    std::vector<Needle> needles;
    const Vec3 block(60, 40, 20);
    const auto kinds = [&](const std::vector<Move>& moves) {
        operation.moves = moves;
        const auto done = simulate({operation}, block, 0.5, machine, needles, nullptr);
        std::vector<Trouble::Kind> found;
        for (const Trouble& trouble : done->troubles) found.push_back(trouble.kind);
        return found;
    };
    using Kind = Trouble::Kind;
    CHECK(kinds({{{0, 0, 5}, true, 0},
                 {{0, 0, -5}, false, 100},
                 {{10, 0, -5}, false, 100},
                 {{10, 0, 5}, true, 0}})
              .empty());
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{0, 0, -5}, true, 0}}) == std::vector<Kind>{Kind::rapid_in_stock});
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{0, 0, -5}, false, 100}, {{10, 0, -5}, true, 0}}) ==
          std::vector<Kind>{Kind::rapid_in_stock});
    // along the cut that is open it may
    CHECK(kinds({{{0, 0, 5}, true, 0},
                 {{0, 0, -5}, false, 100},
                 {{10, 0, -5}, false, 100},
                 {{0, 0, -5}, true, 0}})
              .empty());
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{45, 0, 5}, true, 0}}) == std::vector<Kind>{Kind::outside_travel});
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{0, 0, -21}, false, 100}}) == std::vector<Kind>{Kind::into_the_bed});
    operation.cutter.stick_out = 12.0;
    operation.cutter.flute_length = 10.0;
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{0, 0, -14}, false, 100}}) ==
          std::vector<Kind>{Kind::holder_in_stock});
    operation.cutter.shank_diameter = 8.0;
    CHECK(kinds({{{0, 0, 5}, true, 0}, {{0, 0, -11}, false, 100}}) ==
          std::vector<Kind>{Kind::shank_in_stock});
}

TEST_CASE("a shank as thick as its cutter rubs where something stands above the flutes, and only there") {
    Operation operation{"deep", small_setting().finish, 1000.0, {}};
    operation.cutter.flute_length = 8.0;
    std::vector<Needle> needles;
    const Vec3 block(60, 40, 20);
    const auto rubs = [&](const std::vector<Move>& moves, const HeightGrid* below = nullptr) {
        operation.moves = moves;
        const auto done = simulate({operation}, block, 0.25, {}, needles, nullptr, below);
        REQUIRE(done.ok());
        double deepest = 0.0;
        for (const Trouble& trouble : done->troubles) {
            CHECK(trouble.kind == Trouble::Kind::shank_in_stock);
            deepest = std::max(deepest, trouble.depth_mm);
        }
        return deepest;
    };
    const Vec3 over(-20, 0, 5);
    // straight down deeper than the flutes: they have cut the hole before the shank comes
    CHECK(rubs({{over, true, 0}, {{-20, 0, -12}, false, 100}, {over, true, 0}}) == 0.0);
    // as deep as the flutes, along
    CHECK(rubs({{over, true, 0}, {{-20, 0, -8}, false, 100}, {{20, 0, -8}, false, 100}}) == 0.0);
    // deeper along: what stands ahead comes against the shank, by the depth less the flutes
    CHECK(rubs({{over, true, 0}, {{-20, 0, -12}, false, 100}, {{20, 0, -12}, false, 100}}) ==
          Approx(4.0).margin(1e-6));
    // a ramp from 6 to 11 mm: most at its end
    CHECK(rubs({{over, true, 0}, {{-20, 0, -6}, false, 100}, {{20, 0, -11}, false, 100}}) ==
          Approx(3.0).margin(0.4));
    // in two levels: the second goes in a slot of its own breadth
    CHECK(rubs({{over, true, 0},
                {{-20, 0, -7}, false, 100},
                {{20, 0, -7}, false, 100},
                {{20, 0, -12}, false, 100},
                {{-20, 0, -12}, false, 100}}) == 0.0);
    // a slimmer neck does not rub
    operation.cutter.shank_diameter = 5.0;
    CHECK(rubs({{over, true, 0},
                {{-20, 0, -7}, false, 100},
                {{20, 0, -7}, false, 100},
                {{20, 0, -12}, false, 100},
                {{-20, 0, -12}, false, 100}}) == 0.0);
    operation.cutter.shank_diameter = 6.0;
    // What the set-up before opened is gone once it is cut down to: a slot from below up to 4.5 mm under the
    // face, opened from above (the ball's flanks come down to 5 mm), then gone along deeper.
    Nest nest;
    nest.block = block;
    for (const Flip flip : {Flip::about_x, Flip::about_y}) {
        nest.flip = flip;
        Operation first{"from below", small_setting().rough, 1000.0, {}};
        first.moves = {{{-20, 0, 5}, true, 0}, {{-20, 0, -15.5}, false, 100}, {{20, 0, -15.5}, false, 100}};
        const auto before = simulate({first}, block, 0.25, {}, needles, nullptr);
        REQUIRE(before.ok());
        const HeightGrid below = lower_face(before->top, nest);
        const std::vector<Move> both{{over, true, 0},
                                     {{-20, 0, -8}, false, 100},
                                     {{20, 0, -8}, false, 100},
                                     {{20, 0, -16}, false, 100},
                                     {{-20, 0, -16}, false, 100}};
        CHECK(rubs(both, &below) == 0.0);
        // 3 mm beside it the slot of the cutter of 8 mm is open for 1 mm more, not for 3
        std::vector<Move> aside = both;
        for (std::size_t i = 3; i < aside.size(); ++i) aside[i].to.y() = 3.0;
        CHECK(rubs(aside, &below) > 5.0);
        HeightGrid other = below;
        --other.nx;
        const auto refused = simulate({operation}, block, 0.25, {}, needles, nullptr, &other);
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.fault().kind == FaultKind::internal);
    }
}

TEST_CASE("travel in z is counted from the longest cutter: a shorter one comes less deep") {
    std::vector<Needle> needles;
    MachineLimits machine;
    machine.travel_low = Vec3(-40, -40, -14);
    machine.travel_high = Vec3(40, 40, 30);
    machine.longest_mm = 60.0;
    Operation operation{"way", small_setting().finish, 1000.0, {}};
    operation.moves = {{{0, 0, 5}, true, 0}, {{0, 0, -12}, false, 100}, {{0, 0, 5}, true, 0}};
    for (const auto& [out, lacks] : {std::pair(60.0, 0.0), {58.0, 0.0}, {55.0, 3.0}}) {
        operation.cutter.stick_out = out;
        const auto done = simulate({operation}, Vec3(60, 40, 20), 0.5, machine, needles, nullptr);
        REQUIRE(done.ok());
        CHECK(done->troubles.size() == (lacks > 0.0 ? 1U : 0U));
        if (lacks > 0.0) {
            CHECK(done->troubles[0].kind == Trouble::Kind::outside_travel);
            CHECK(done->troubles[0].depth_mm == Approx(lacks));
        }
    }
}

TEST_CASE("runs are cut at the very borders of an area") {
    const Area ring{{{-10, -10}, {10, -10}, {10, 10}, {-10, 10}}, {{-4, -4}, {-4, 4}, {4, 4}, {4, -4}}};
    // one long line through ring and hole; one that only touches the outside; one within
    const auto parts =
        parts_over({{{-20, 0, 1}, {20, 0, 3}}, {{-20, 12, 0}, {20, 12, 0}}, {{5, 5, 0}, {6, 7, 0}}}, ring);
    REQUIRE(parts.size() == 3);
    CHECK((parts[0].front() - Vec3(-10, 0, 1.5)).norm() < 1e-12);
    CHECK((parts[0].back() - Vec3(-4, 0, 1.8)).norm() < 1e-12);
    CHECK((parts[1].front() - Vec3(4, 0, 2.2)).norm() < 1e-12);
    CHECK((parts[1].back() - Vec3(10, 0, 2.5)).norm() < 1e-12);
    CHECK(parts[2].size() == 2);
}

TEST_CASE("a simulation is given up while it cuts, at whatever moment it is asked to") {
    Operation operation{"lines", small_setting().finish, 1000.0, {}};
    operation.moves.push_back({{-25, -15, 5}, true, 0});
    for (int i = 0; i < 200; ++i)
        operation.moves.push_back({{i % 2 == 0 ? 25.0 : -25.0, -15.0 + 0.15 * i, -2.0}, false, 100});
    auto needles = needles_on(little_shell(1.0, 3.0));
    int reports = 0;
    for (int stop = 0;; ++stop) {
        int seen = 0;
        Progress* asked = nullptr;
        Progress progress([&](std::string_view, double) {
            if (seen++ == stop) asked->cancel();
        });
        asked = &progress;
        const auto done = simulate({operation}, Vec3(60, 40, 20), 0.5, {}, needles, &progress);
        if (done.ok()) break;
        CHECK(done.fault().kind == FaultKind::cancelled);
        ++reports;
    }
    CHECK(reports >= 3);
}

TEST_CASE("time: a straight way with its acceleration, and corners that cost it") {
    MachineLimits machine;
    machine.acceleration_mm_s2 = 100.0;
    Operation operation{"way", Cutter{}, 1000.0, {}};
    // 100 mm at 50 mm/s: 0.5 s up, 0.5 s down over 12.5 mm each, the rest at full speed
    operation.moves = {{{0, 0, 0}, true, 0}, {{100, 0, 0}, false, 3000}};
    CHECK(duration({operation}, machine) == Approx(1.0 + 75.0 / 50.0).epsilon(1e-9));
    // cut into pieces it is the same way
    operation.moves = {{{0, 0, 0}, true, 0}};
    for (int i = 1; i <= 50; ++i) operation.moves.push_back({{2.0 * i, 0, 0}, false, 3000});
    CHECK(duration({operation}, machine) == Approx(2.5).epsilon(1e-6));
    // too short to get to speed: 2 sqrt(s / a)
    operation.moves = {{{0, 0, 0}, true, 0}, {{1, 0, 0}, false, 3000}};
    CHECK(duration({operation}, machine) == Approx(2.0 * std::sqrt(1.0 / 100.0)).epsilon(1e-9));
    // there and back is twice there
    operation.moves = {{{0, 0, 0}, true, 0}, {{100, 0, 0}, false, 3000}, {{0, 0, 0}, false, 3000}};
    CHECK(duration({operation}, machine) == Approx(5.0).epsilon(1e-6));
}
