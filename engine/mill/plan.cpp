#include "engine/mill/plan.hpp"

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double plan_step_mm = 0.5;  // of the grids that level curves come from
constexpr double stock_step_mm = 0.5;
constexpr double rough_clear_mm = 0.35;   // level curves of that grid err by less
constexpr double finish_beyond_mm = 0.3;  // lines go on this far past where the cutter leaves the rim
constexpr double contour_below_mm =
    6.0;  // past the lower edge of any rim: the side of the cutter makes a square one
constexpr double detail_step_mm = 0.2, detail_told_mm = 0.03;
constexpr double through_mm = 0.3;       // side 1 meets the channel of side 0
constexpr double channel_free_mm = 1.0;  // breadth of a channel beyond its cutter

Fault plan_fault(const std::string& message) {
    return {FaultKind::usage, "mill", message, {}};
}

Outcome<Done> check_setting(const PlanSetting& s, const Nest& nest) {
    for (const Cutter* cutter : {&s.rough, &s.finish, s.detail ? &*s.detail : &s.finish}) {
        if (const auto good = check(*cutter); !good) return good.fault();
        if (cutter->drill())
            return plan_fault("\"" + cutter->name + "\" is a drill: it does not cut sideways. Take a mill.");
    }
    const auto within = [](double value, double low, double high) { return value >= low && value <= high; };
    if (!within(s.level_mm, 0.2, 30.0))
        return plan_fault("Levels " + exact(s.level_mm) + " mm deep; write 0.2 to 30.");
    if (!within(s.step_share, 0.05, 0.5))
        return plan_fault("Roughing passes over " + exact(s.step_share) +
                          " of the cutter's diameter; write 0.05 to 0.5.");
    if (!within(s.stock_mm, 0.4, 5.0))
        return plan_fault("Roughing leaves " + exact(s.stock_mm) + " mm; write 0.4 to 5.");
    if (!within(s.scallop_mm, 1e-4, 1.0))
        return plan_fault("Cusps of " + exact(s.scallop_mm) + " mm; write 0.0001 to 1.");
    if (!within(s.ramp_deg, 0.5, 30.0))
        return plan_fault("A ramp of " + exact(s.ramp_deg) + " degrees; write 0.5 to 30.");
    if (!within(s.clearance_mm, 1.0, 100.0))
        return plan_fault("A clearance plane " + exact(s.clearance_mm) +
                          " mm above the block; write 1 to 100.");
    if (!within(s.steep_deg, 20.0, 80.0))
        return plan_fault("Waterlines from " + exact(s.steep_deg) + " degrees; write 20 to 80.");
    if (!within(s.arcs_within_mm, 0.0, 0.01))
        return plan_fault("Arcs within " + exact(s.arcs_within_mm) + " mm; write 0 (none) to 0.01.");
    if (s.finish.corner_radius < 0.25)
        return plan_fault("Parallel lines and waterlines want a ball or bull nose; \"" + s.finish.name +
                          "\" has a corner radius of " + exact(s.finish.corner_radius) + " mm.");
    if (s.detail && s.detail->corner_radius < 0.25)
        return plan_fault("The cutter for details, \"" + s.detail->name + "\", has a corner radius of " +
                          exact(s.detail->corner_radius) + " mm; take a ball or bull nose of 0.25 or more.");
    if (s.detail && s.detail->corner_radius >= s.finish.corner_radius)
        return plan_fault("The cutter for details, \"" + s.detail->name + "\", is no finer than \"" +
                          s.finish.name + "\"; take a smaller one, or none.");
    if (s.drill) {
        if (const auto good = check(*s.drill); !good) return good.fault();
        if (!s.drill->drill())
            return plan_fault("\"" + s.drill->name + "\" has no point: it is no drill. Write its point_deg.");
        const double most = std::min(s.drill->flute_length, nest.block.z() - 1.0);
        if (!within(s.pin_depth_mm, 2.0, most))
            return plan_fault("Pin holes " + exact(s.pin_depth_mm) + " mm deep; write 2 to " + exact(most) +
                              " (the drill's flutes, and 1 mm of block).");
        if (!within(s.peck_mm, 0.5, 50.0))
            return plan_fault("Pecks of " + exact(s.peck_mm) + " mm; write 0.5 to 50.");
    }
    for (const Speeds* speeds : {&s.rough_speeds, &s.finish_speeds, &s.detail_speeds, &s.drill_speeds})
        if (!within(speeds->turns, 100.0, 100'000.0) || !within(speeds->feed, 1.0, 50'000.0) ||
            !within(speeds->plunge, 1.0, 50'000.0))
            return plan_fault("Speeds of " + exact(speeds->turns) + " turns, " + exact(speeds->feed) +
                              " and " + exact(speeds->plunge) + " mm/min cannot be.");
    if (nest.channel_mm + 1e-9 < channel_for(s))
        return plan_fault("The channel round the device is " + exact(nest.channel_mm) +
                          " mm wide; these cutters need " + exact(channel_for(s)) + " mm.");
    return Done{};
}

Outcome<Done> check_depth(const Cutter& cutter, double depth, double clearance) {
    // clamps may stand up to the clearance plane beside the channel
    if (cutter.stick_out < depth + clearance + 1.0)
        return plan_fault("The cutter \"" + cutter.name + "\" stands " + exact(cutter.stick_out) +
                          " mm out of its holder; this side is " + rounded(depth, 1) +
                          " mm deep and clamps may stand " + rounded(clearance, 1) +
                          " mm over the block, so the holder would meet them. Take a longer one.");
    if (cutter.shank_diameter > cutter.diameter && depth > cutter.flute_length)
        return plan_fault(
            "The shank of \"" + cutter.name + "\" is thicker than its cutting end and would rub " + "from " +
            exact(cutter.flute_length) + " mm depth on; this side is " + rounded(depth, 1) + " mm deep.");
    return Done{};
}

/// How far off the outline the roughing cutter's axis goes in set-up 1 below what set-up 0 opened: as far as
/// the finishing one needs it.
double rough_near(const PlanSetting& s) {
    return std::max(0.3 * s.rough.radius(),
                    2.0 * s.finish.radius() + finish_beyond_mm + 3.0 * rough_clear_mm - s.rough.radius());
}

void rough(Operation& operation, const Nest& nest, int side, const PlanSetting& s, const TriangleMesh& keep,
           double floor, StockTop& stock) {
    const DropGrid drop(keep, grown(s.rough, s.stock_mm));
    auto tips = grid_over(keep.box(), nest.channel_mm + 1.0, plan_step_mm);
    tip_heights(*tips, drop, floor - s.stock_mm);
    for (double& z : tips->z) z += s.stock_mm;
    const Area outline = nest.outline_in(side);
    const double r = s.rough.radius();
    const Area wide = grown(outline, nest.channel_mm - r),
               near = grown(outline, std::min(rough_near(s), nest.channel_mm - r));
    // side 1 finds the channel of side 0 open below its skin
    const double open = side == 0 ? floor : -nest.block.z() - floor_of(nest, 0, s) - through_mm;
    std::vector<double> levels;
    for (double z = -s.level_mm; z > floor + 0.1; z -= s.level_mm) levels.push_back(z);
    levels.push_back(floor);
    if (side == 1 && open > floor) levels.push_back(open);
    std::sort(levels.rbegin(), levels.rend());
    Emitter emit(operation, s.rough_speeds, s, drop, s.stock_mm, stock);
    double open_above = 0.0;  // what the level before has cleared, wherever this one goes
    for (const double level : levels) {
        const Area where = grown(common(at_or_below(*tips, level + 1e-6), level >= open - 1e-9 ? wide : near),
                                 -rough_clear_mm);
        for (auto& loop :
             level_loops(where, level, s.step_share * s.rough.diameter, drop, s.stock_mm, s.direction))
            emit.ramp_in(std::move(loop), 1.2 * s.rough.diameter, open_above);
        open_above = level;
    }
    emit.retract();
}

/// The finer cutter where the finishing one has left something.
Outcome<Operation> detail(const TriangleMesh& keep, const TriangleMesh& devices, const PlanSetting& s,
                          const DropGrid& finishing, double lowest, StockTop& stock) {
    const Cutter& cutter = *s.detail;
    Operation operation{"details", cutter, s.detail_speeds.turns, {}};
    const DropGrid drop(keep, cutter);
    // no deeper than its holder, and a shank thicker than itself, stay above the block
    const double longest = cutter.shank_diameter > cutter.diameter ? cutter.flute_length
                                                                   : cutter.stick_out - s.clearance_mm - 1.0;
    const double floor = std::max(lowest, -longest);
    const auto where = left_for(devices, finishing, drop, floor, detail_step_mm, detail_told_mm);
    if (!where) return where.fault();
    if (where->empty()) return operation;
    Emitter emit(operation, s.detail_speeds, s, drop, 0.0, stock);
    LineSetting lines;
    lines.step = step_over(cutter.corner_radius, s.scallop_mm) * std::cos(radians(25.0));
    lines.floor = floor;
    lines.chord = s.chord_mm;
    lines.steep_deg = s.steep_deg;
    lines.direction = s.direction;
    const double near = 2.0 * s.finish.radius();
    auto runs = parallel_lines(*where, drop, lines);
    shorten_ways(runs);
    for (const auto& run : runs) emit.cut(run, near);
    auto tips = grid_over(keep.box(), cutter.radius() + 2.0, plan_step_mm);
    tip_heights(*tips, drop, floor);
    const double down = step_over(cutter.corner_radius, s.scallop_mm) * std::sin(radians(s.steep_deg));
    auto steep =
        parts_over(waterlines(*tips, drop, down, floor, s.steep_deg, s.chord_mm, s.direction), *where);
    shorten_ways(steep);
    for (const auto& run : steep) emit.cut(run, near);
    for (const auto& run : valleys(*where, drop, lines.step, floor, s.chord_mm)) emit.cut(run, near);
    emit.retract();
    return operation;
}

}  // namespace

double channel_for(const PlanSetting& s) {
    // the finishing ball follows the rim with its axis beyond the outline by its radius
    // roughing keeps off the device by its stock and by what its level curves may err
    return std::max(s.rough.diameter + s.stock_mm + 2.0 * rough_clear_mm,
                    s.finish.diameter + finish_beyond_mm) +
           channel_free_mm;
}

double floor_of(const Nest& nest, int side, const PlanSetting& s) {
    if (side == 0) return nest.low(0) - s.overlap_mm;
    // its lowest rim, and a ball that goes round it
    return std::max(nest.low(1) - s.overlap_mm, -nest.block.z() + 0.5);
}

Outcome<SidePlan> plan_side(const Nest& nest, int side, const PlanSetting& s, Progress* progress) {
    if (const auto good = check_setting(s, nest); !good) return good.fault();
    const auto gone_on = [&](const char* what, double share) {
        return progress == nullptr || progress->report(what, share);
    };
    const Fault given_up{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
    SidePlan plan;
    plan.side = side;
    plan.floor_mm = floor_of(nest, side, s);
    if (plan.floor_mm < -nest.block.z() + 0.2)
        return plan_fault(
            "The block is too thin below the device: its channel would be cut through to the table.");
    for (const Cutter* cutter : {&s.rough, &s.finish})
        if (const auto good = check_depth(*cutter, -plan.floor_mm, s.clearance_mm); !good)
            return good.fault();
    const TriangleMesh keep = nest.keep(side);
    StockTop stock(nest.block, stock_step_mm);

    if (!gone_on("Roughing", 0.05)) return given_up;
    Operation roughing{"roughing", s.rough, s.rough_speeds.turns, {}};
    rough(roughing, nest, side, s, keep, plan.floor_mm, stock);
    plan.operations.push_back(std::move(roughing));

    if (!gone_on("Finishing lines", 0.35)) return given_up;
    const DropGrid drop(keep, s.finish);
    Operation finishing{"finishing", s.finish, s.finish_speeds.turns, {}};
    Emitter emit(finishing, s.finish_speeds, s, drop, 0.0, stock);
    const double round = s.finish.corner_radius;
    const Area where = grown(nest.outline_in(side), s.finish.radius() + finish_beyond_mm);
    // as far apart as the cusp lets them be on the slope up to which no line is put midway
    plan.step_mm = step_over(round, s.scallop_mm) * std::cos(radians(25.0));
    LineSetting lines;
    lines.step = plan.step_mm;
    lines.floor = plan.floor_mm;
    lines.chord = s.chord_mm;
    lines.steep_deg = s.steep_deg;
    lines.one_way = s.one_way;
    lines.direction = s.direction;
    for (const auto& run : parallel_lines(where, drop, lines))
        emit.cut(run, s.one_way ? 0.0 : 3.0 * plan.step_mm);

    if (!gone_on("Waterlines", 0.6)) return given_up;
    auto tips = grid_over(keep.box(), s.finish.radius() + 2.0, plan_step_mm);
    tip_heights(*tips, drop, plan.floor_mm);
    const double down = step_over(round, s.scallop_mm) * std::sin(radians(s.steep_deg));
    // Tabs go on into the block: they are followed no farther than the roughing cutter cleared beside them,
    // and beyond it stay as they are. Where a tab comes to the channel's wall that cutter leaves a round of
    // its own radius.
    const double follow_tabs =
        side == 0 ? nest.channel_mm - s.rough.radius() : rough_near(s) + s.rough.radius() - s.finish.radius();
    const Area open = grown(nest.outline_in(side), follow_tabs - 2.0 * rough_clear_mm);
    auto steep =
        parts_over(waterlines(*tips, drop, down, plan.floor_mm, s.steep_deg, s.chord_mm, s.direction), open);
    shorten_ways(steep);
    for (const auto& run : steep) emit.cut(run, 2.0 * s.finish.radius(), Emitter::Run::curve);
    if (!gone_on("Hollows", 0.85)) return given_up;
    for (const auto& run : valleys(where, drop, plan.step_mm, plan.floor_mm, s.chord_mm))
        emit.cut(run, 2.0 * s.finish.radius());
    if (!gone_on("Contours", 0.9)) return given_up;
    for (const auto& run :
         parts_over(contours(*tips, drop, plan.floor_mm, contour_below_mm, s.chord_mm, s.direction), open))
        emit.cut(run, 2.0 * s.finish.radius(), Emitter::Run::curve);
    emit.retract();
    plan.operations.push_back(std::move(finishing));
    if (s.detail) {
        if (!gone_on("Details", 0.95)) return given_up;
        Nest bare = nest;  // tabs are cut away: nothing of theirs wants details
        bare.tabs.clear();
        auto fine = detail(keep, bare.keep(side), s, drop, plan.floor_mm, stock);
        if (!fine) return fine.fault();
        if (!fine->moves.empty()) plan.operations.push_back(std::move(*fine));
    }
    if (side == 0 && s.drill && !nest.pins.empty()) {
        std::vector<Vec2> holes = nest.pins;
        plan.operations.push_back(
            drill_holes(holes, *s.drill, s.drill_speeds, s.pin_depth_mm, s.peck_mm, s.clearance_mm));
    }
    for (const Operation& operation : plan.operations)
        for (const Move& move : operation.moves) plan.longest_mm = std::max(plan.longest_mm, -move.to.z());
    return plan;
}

}  // namespace archwright::mill
