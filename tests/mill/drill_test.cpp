// Pin holes and cutters for details.
#include <catch2/catch.hpp>
#include <numbers>

#include "engine/mill/passes.hpp"
#include "engine/mill/simulate.hpp"
#include "tests/mill/shapes.hpp"

using namespace archwright;
using namespace archwright::mill;

namespace {

Cutter twist_drill() {
    Cutter drill;
    drill.name = "drill 6";
    drill.corner_radius = 0.0;
    drill.flute_length = 40.0;
    drill.stick_out = 60.0;
    drill.point_deg = 118.0;
    return drill;
}

NestSetting nest_setting() {
    NestSetting laying;
    laying.block = Vec3(110, 62, 18);
    laying.channel_mm = 13.0;
    laying.tabs.at = {0.5};
    return laying;
}

TriangleMesh sheet() {
    return tests::block(16.0, 9.0, -2.0, 2.0);
}

}  // namespace

TEST_CASE("a drilled hole is a cylinder with a cone, and nothing besides") {
    const Cutter drill = twist_drill();
    REQUIRE(check(drill).ok());
    const Speeds speeds;
    const double depth = 10.0;
    const Operation holes = drill_holes({{-40.0, 0.0}, {40.0, 0.0}}, drill, speeds, depth, 3.0, 5.0);
    std::vector<Needle> needles;
    const auto done = simulate({holes}, Vec3(110, 62, 18), 0.2, {}, needles, nullptr);
    REQUIRE(done.ok());
    for (const Trouble& trouble : done->troubles) FAIL_CHECK(words(trouble.kind));
    const double cone = 3.0 / std::tan(59.0 * std::numbers::pi / 180.0);
    for (int k = 0; k < done->top.ny; ++k)
        for (int i = 0; i < done->top.nx; ++i) {
            const double x = done->top.x(i), y = done->top.y(k);
            const double away = std::min(std::hypot(x - 40.0, y), std::hypot(x + 40.0, y));
            if (std::abs(away - 3.0) < 1e-9) continue;
            const double stands = away < 3.0 ? -depth + away * cone / 3.0 : 0.0;
            CHECK(done->top.at(i, k) == Approx(stands).margin(1e-9));
        }
    // two holes of a cylinder and a cone's share: pi r^2 (depth - 2/3 of the cone's height)
    const double volume = 2.0 * std::numbers::pi * 9.0 * (depth - cone * 2.0 / 3.0);
    CHECK(done->cut_mm3 == Approx(volume).epsilon(0.02));
    // each peck no deeper than asked, and the drill out of the hole between them
    double lowest = 0.0;
    for (const Move& move : holes.moves) {
        if (!move.rapid) {
            CHECK(lowest - move.to.z() <= 4.5 + 1e-9);
            lowest = move.to.z();
        }
        if (move.to.z() >= 0.0 && lowest <= -depth + 1e-9) lowest = 0.0;
    }
    // a drill that is fed sideways is seen
    Operation sideways = holes;
    sideways.moves = {{{0, 0, 5}, true, 0}, {{0, 0, -1}, false, 100}, {{5, 0, -1}, false, 100}};
    const auto bad = simulate({sideways}, Vec3(110, 62, 18), 0.5, {}, needles, nullptr);
    REQUIRE(bad->troubles.size() == 1);
    CHECK(bad->troubles[0].kind == Trouble::Kind::drill_sideways);
}

TEST_CASE("pins stand on the line of the flip, outside the channels, where both set-ups find them") {
    for (const Flip flip : {Flip::about_x, Flip::about_y}) {
        NestSetting laying = nest_setting();
        laying.flip = flip;
        if (flip == Flip::about_y) laying.block = Vec3(80, 92, 18);
        auto nest = lay({sheet()}, laying);
        REQUIRE(nest.ok());
        const auto placed = place_pins(*nest, 6.0);
        if (!placed.ok()) FAIL(placed.fault().message);
        REQUIRE(nest->pins.size() == 2);
        for (const Vec2& pin : nest->pins) {
            // the turn about the line leaves it where it is
            const Vec3 turned = nest->turned(1, Vec3(pin.x(), pin.y(), 0.0));
            CHECK((turned.head<2>() - pin).norm() < 1e-12);
            CHECK_FALSE(contains(grown(nest->outline, nest->channel_mm + 3.0), pin));
            CHECK((Vec2(0.5 * nest->block.x(), 0.5 * nest->block.y()) - pin.cwiseAbs()).minCoeff() >
                  3.0 + 1.9);
        }
        // whole millimetres, and unequally far: a block turned any other way does not go on
        CHECK((nest->pins[0] + nest->pins[1]).norm() >= 1.0);
        for (const Vec2& pin : nest->pins) CHECK((pin - pin.array().round().matrix()).norm() == 0.0);
        const auto wide = place_pins(*nest, 40.0);
        REQUIRE_FALSE(wide.ok());
        CHECK(wide.fault().message.find("thinner drill") != std::string::npos);
    }
}

TEST_CASE("a finer cutter clears what the finishing one leaves in a groove, and goes nowhere else") {
    // a groove 4 mm wide and 1.2 deep: a ball of 6 mm rests on its edges, one of 3 mm reaches its floor
    const TriangleMesh plate = tests::slab(
        16.0, 9.0, 8, 180, [](double, double y) { return std::abs(y) < 2.0 ? 0.8 : 2.0; },
        [](double, double) { return -2.0; });
    PlanSetting setting;
    setting.rough.diameter = setting.rough.shank_diameter = 8.0;
    setting.rough.corner_radius = 0.0;
    setting.scallop_mm = 0.03;
    setting.drill = twist_drill();
    setting.detail = setting.finish;
    setting.detail->name = "ball 3";
    setting.detail->diameter = setting.detail->shank_diameter = 3.0;
    setting.detail->corner_radius = 1.5;
    NestSetting laying = nest_setting();
    laying.channel_mm = channel_for(setting);
    auto nest = lay({plate}, laying);
    REQUIRE(nest.ok());
    REQUIRE(place_pins(*nest, 6.0).ok());
    const auto plan = plan_side(*nest, 0, setting, nullptr);
    if (!plan.ok()) FAIL(plan.fault().message);
    REQUIRE(plan->operations.size() == 4);
    CHECK(plan->operations[2].name == "details");
    CHECK(plan->operations[3].name == "pin holes");
    for (const Move& move : plan->operations[2].moves)
        if (!move.rapid && move.to.z() < -7.2) CHECK(std::abs(move.to.y()) < 2.0 + 1.5 + 1.0);
    std::vector<Needle> floor;
    for (double x = -12.0; x <= 12.0; x += 1.0)
        for (const double y : {-0.5, 0.0, 0.5})
            floor.push_back({nest->in_set_up(0, Vec3(x, y, 0.8)), Vec3::UnitZ()});
    auto after_finish = floor;
    std::vector<Operation> first(plan->operations.begin(), plan->operations.begin() + 2);
    const auto without = simulate(first, nest->block, 0.25, {}, after_finish, nullptr);
    REQUIRE(without.ok());
    const auto with = simulate(plan->operations, nest->block, 0.25, {}, floor, nullptr);
    REQUIRE(with.ok());
    for (const Trouble& trouble : with->troubles) FAIL_CHECK(words(trouble.kind));
    // the ball of radius 3 over edges 4 mm apart hangs 3 - sqrt(9 - 4) deep: the walls stand 0.1 mm aslant
    const double hangs = 3.0 - std::sqrt(9.0 - 4.0);
    CHECK(after_finish[1].left == Approx(1.2 - hangs).margin(0.06));
    for (const Needle& needle : floor) {
        CHECK(needle.left <= setting.scallop_mm + 0.05);
        CHECK(needle.cut < 0.02);
    }
    CHECK(plan_side(*nest, 1, setting, nullptr)->operations.size() == 2);  // nothing for them below
}

TEST_CASE("drills and details that cannot be are refused in words") {
    PlanSetting setting;
    setting.rough.diameter = setting.rough.shank_diameter = 8.0;
    setting.rough.corner_radius = 0.0;
    NestSetting laying = nest_setting();
    laying.channel_mm = channel_for(setting);
    const auto nest = lay({sheet()}, laying);
    REQUIRE(nest.ok());
    const auto says = [&](const PlanSetting& how) {
        const auto plan = plan_side(*nest, 0, how, nullptr);
        return plan.ok() ? std::string() : plan.fault().message;
    };
    PlanSetting by_drill = setting;
    by_drill.rough = twist_drill();
    CHECK(says(by_drill).find("is a drill") != std::string::npos);
    PlanSetting no_point = setting;
    no_point.drill = setting.rough;
    CHECK(says(no_point).find("no drill") != std::string::npos);
    PlanSetting deep = setting;
    deep.drill = twist_drill();
    deep.pin_depth_mm = 30.0;
    CHECK(says(deep).find("Pin holes") != std::string::npos);
    deep.pin_depth_mm = std::nan("");
    CHECK(says(deep).find("Pin holes") != std::string::npos);
    PlanSetting coarse = setting;
    coarse.detail = setting.finish;
    CHECK(says(coarse).find("no finer") != std::string::npos);
    Cutter blunt = twist_drill();
    blunt.point_deg = 20.0;
    CHECK(check(blunt).fault().message.find("point") != std::string::npos);
}
