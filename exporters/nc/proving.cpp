#include "exporters/nc/proving.hpp"

#include <algorithm>

#include "engine/base/text.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr double unreached_step_mm = 0.25;

}  // namespace

mill::PlanSetting planning_of(const MillingSetting& s) {
    mill::PlanSetting planning;
    planning.rough = s.rough;
    planning.finish = s.finish;
    planning.rough_speeds = workshop::speeds(s.cutting, s.rough, s.machine);
    planning.finish_speeds = workshop::speeds(s.cutting, s.finish, s.machine);
    planning.detail = s.detail;
    if (s.detail) planning.detail_speeds = workshop::speeds(s.cutting, *s.detail, s.machine);
    planning.level_mm = std::max(0.5, s.cutting.level_share.value * s.rough.diameter);
    planning.step_share = s.cutting.step_share.value;
    planning.scallop_mm = s.scallop_mm;
    planning.stock_mm = s.stock_mm;
    planning.direction = s.direction;
    planning.one_way = s.one_way;
    return planning;
}

void take_plan(ProvedSide& side, const mill::SidePlan& plan, const MillingSetting& s) {
    side.floor_mm = plan.floor_mm;
    side.step_mm = plan.step_mm;
    for (const mill::Operation& operation : plan.operations) {
        side.tools.push_back(operation.cutter);
        side.cutters.push_back(operation.cutter.name);
        const mill::Speeds speeds = workshop::speeds(s.cutting, operation.cutter, s.machine);
        side.speeds.push_back(rounded(operation.turns, 0) + " turns a minute, feed " +
                              rounded(speeds.feed, 0) + " mm/min, plunge " + rounded(speeds.plunge, 0) +
                              " mm/min");
    }
}

Outcome<std::vector<mill::Operation>> read_back(ProvedSide& side) {
    side.lines = static_cast<std::size_t>(std::count(side.text.begin(), side.text.end(), '\n'));
    if (!checksum_holds(side.text))
        return Fault{FaultKind::internal, "mill", "The program's checksum does not agree with it.", {}};
    return read_program(side.text, side.tools);
}

Outcome<std::vector<double>> must_stay_on(const std::vector<mill::Needle>& needles, const TriangleMesh& keep,
                                          const mill::Cutter& finish, double floor_mm,
                                          std::vector<double>* square) {
    std::vector<Vec3> places, normals;
    for (const mill::Needle& needle : needles) {
        places.push_back(needle.place);
        normals.push_back(needle.normal);
    }
    const mill::DropGrid drop(keep, finish);
    auto tips = mill::grid_over(keep.box(), finish.radius() + 1.0, unreached_step_mm);
    if (!tips) return tips.fault();
    mill::tip_heights(*tips, drop, floor_mm);
    return mill::unreached(drop, *tips, places, normals, floor_mm, square);
}

}  // namespace archwright::exporters::nc
