#include "exporters/nc/mould_program.hpp"

#include "engine/base/text.hpp"
#include "engine/mill/tip_check.hpp"
#include "exporters/nc/proving.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr double mould_margin_mm = 6.0;  // of block round the channel, for clamps
constexpr double above_mould_mm = 1.0;   // of block over it at least
constexpr double mould_told_mm = 0.05, shadow_step_mm = 0.5;

Fault mould_wrong(const std::string& message) {
    return {FaultKind::usage, "mill", message, {}};
}

Head mould_head(const MilledDevice& mould, const MillingSetting& s, const mill::Nest& nest,
                const mill::SidePlan& plan) {
    Head head;
    head.lines = {
        "ARCHWRIGHT MOULD " + mould.name + " " + word(mould.side),
        std::string("SIDE ") + (mould.side == Side::left ? "LEFT" : "RIGHT") + ": " + mould.name,
        "SET-UP 1 of 1: base on the table, sole up",
        "Machine: " + s.machine.name,
        "Block: " + s.block.name + ", " + exact(nest.block.x()) + " x " + exact(nest.block.y()) + " x " +
            exact(nest.block.z()) + " mm, measured before it is clamped",
        "Zero: middle of the block's upper face, X along it, Z up. Lowest Z " + rounded(plan.floor_mm, 2) +
            " mm",
        exact(mould_skin_mm) + " mm of block stay round the base: cut free by hand",
        "Clearance plane: Z" + exact(mill::PlanSetting{}.clearance_mm) +
            " mm; clamps and screws stay below it and outside the channel",
        "The mould's height is the block's: a block lower than its figure is cut through to the table",
        "Path: exact (G61), or a tolerance of 0.01 mm, is to be set in the control"};
    head.melts = s.cutting.melts;
    head.clearance_mm = mill::PlanSetting{}.clearance_mm;
    return head;
}

void judge_mould(MouldMilling& made, const std::vector<mill::Needle>& needles,
                 const std::vector<double>& must_stay, double scallop_mm) {
    for (std::size_t i = 0; i < needles.size(); ++i) {
        if (needles[i].cut > made.gouge_mm) {
            made.gouge_mm = needles[i].cut;
            made.gouge_where = needles[i].place;
        }
        if (must_stay[i] >= mill::Needle::length_mm) continue;
        if (const double left = needles[i].left - must_stay[i]; left > made.left_mm) {
            made.left_mm = left;
            made.left_where = needles[i].place;
        }
        if (const double stays = std::min(must_stay[i], needles[i].left); stays > made.unreached_most_mm) {
            made.unreached_most_mm = stays;
            made.unreached_where = needles[i].place;
        }
    }
    if (made.gouge_mm > gouge_limit_mm)
        made.stops.push_back("The program cuts " + rounded(made.gouge_mm, 3) + " mm into the mould at " +
                             coordinates(made.gouge_where) + " of the set-up; up to " +
                             exact(gouge_limit_mm) + " mm may be.");
    const double allowed = scallop_mm + leftover_limit_mm;
    if (made.left_mm > allowed)
        made.stops.push_back("The program leaves " + rounded(made.left_mm, 2) + " mm at " +
                             coordinates(made.left_where) +
                             " of the set-up that the cutter could have reached; up to " +
                             rounded(allowed, 3) + " mm may be (cusps and 0.05 mm).");
}

}  // namespace

Outcome<MouldMilling> mill_mould(const MilledDevice& mould, const MillingSetting& s, Progress* progress) {
    mill::PlanSetting planning = planning_of(s);
    planning.drill_speeds = planning.finish_speeds;
    planning.overlap_mm = -mould_skin_mm;
    for (const mill::Cutter* cutter : {&s.rough, &s.finish})
        if (const auto good = mill::check(*cutter); !good) return good.fault();

    MouldMilling made;
    mill::Nest& nest = made.nest;
    nest.block = {s.block.length_mm, s.block.breadth_mm, s.block.height_mm};
    nest.channel_mm = mill::channel_for(planning);
    const Box3 box = mould.mesh.box();
    Vec3 needed = box.size() + 2.0 * Vec3::Constant(nest.channel_mm + mould_margin_mm);
    needed.z() = box.size().z() + above_mould_mm;
    for (int i = 0; i < 3; ++i)
        if (needed[i] > nest.block[i])
            return mould_wrong("The mould wants a block of " + rounded(needed.x(), 0) + " x " +
                               rounded(needed.y(), 0) + " x " + rounded(needed.z(), 0) + " mm; \"" +
                               s.block.name + "\" has " + exact(nest.block.x()) + " x " +
                               exact(nest.block.y()) + " x " + exact(nest.block.z()) +
                               ". Take a larger block, or a smaller base and margin.");
    TriangleMesh laid = mould.mesh;
    const Vec3 shift(-box.centre().x(), -box.centre().y(), -0.5 * nest.block.z() - box.low.z());
    for (Vec3& p : laid.points) p += shift;
    auto tops = mill::grid_over(laid.box(), 2.0 * shadow_step_mm, shadow_step_mm);
    if (!tops) return tops.fault();
    mill::top_heights(*tops, laid);
    nest.outline = mill::shadow(*tops);
    nest.devices.push_back(std::move(laid));

    auto plan = mill::plan_side(nest, 0, planning, progress);
    if (!plan) return plan.fault();
    ProvedSide& side = made.side;
    take_plan(side, *plan, s);
    side.text = write_program(plan->operations, mould_head(mould, s, nest, *plan), s.machine.post);
    const auto read = read_back(side);
    if (!read) return read.fault();
    std::size_t no_tabs = 0, on_tabs = 0;
    std::vector<mill::Needle> needles = needles_of(nest, no_tabs, on_tabs);
    made.needles = needles.size();
    auto simulated = mill::simulate(*read, nest.block, s.simulate_step_mm, limits_of(s.machine, side.tools),
                                    needles, progress);
    if (!simulated) return simulated.fault();
    side.simulated = std::move(*simulated);
    for (const mill::Trouble& trouble : side.simulated.troubles)
        made.stops.push_back(
            std::string(mill::words(trouble.kind)) + ", " + std::to_string(trouble.count) +
            " times, by up to " + rounded(trouble.depth_mm, 2) + " mm, first at " +
            coordinates(trouble.where) +
            " of the set-up. Take a longer or slimmer cutter, a lower block, or a machine with "
            "more travel.");
    const TriangleMesh keep = nest.keep(0);
    const auto tip = mill::deepest_tip(*read, keep, tip_apart_mm, progress);
    if (!tip) return tip.fault();
    if (tip->depth_mm > made.gouge_mm) {
        made.gouge_mm = tip->depth_mm;
        made.gouge_where = tip->where;
    }
    const auto stays = must_stay_on(needles, keep, s.finish, side.floor_mm);
    if (!stays) return stays.fault();
    const std::vector<double>& must_stay = *stays;
    judge_mould(made, needles, must_stay, s.scallop_mm);
    const TriangleMesh& device = nest.devices.front();
    std::size_t next = 0;
    for (std::size_t t = 0; t < device.triangles.size(); ++t) {
        const Vec3 n = device.normal2(t);
        if (!(n.norm() > 1e-9)) continue;
        if (n.z() > -0.5 * n.norm() && std::min(must_stay[next], needles[next].left) > mould_told_mm)
            made.unreached_area_mm2 += 0.5 * n.norm();
        ++next;
    }
    if (made.unreached_area_mm2 > 1.0)
        made.warnings.push_back("On " + rounded(made.unreached_area_mm2, 0) +
                                " mm2 more than 0.05 mm stays, since the finishing cutter does not come into "
                                "it (the scribed line, "
                                "marks, what leans over, the foot of the wall): scribe the line again by "
                                "hand, or add a finer cutter.");
    return made;
}

}  // namespace archwright::exporters::nc
