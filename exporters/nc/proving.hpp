// What every milling does alike: from a setting to a plan's figures, from a plan to a program, and from the
// program's text back to what is judged.
#pragma once

#include "exporters/nc/milling.hpp"

namespace archwright::exporters::nc {

/// Cutters, speeds, levels, cusps and direction of a setting; drills and arcs are not in it.
mill::PlanSetting planning_of(const MillingSetting& setting);
/// A plan's floor, step and cutters with what they run at, as its set-up tells them.
void take_plan(ProvedSide& side, const mill::SidePlan& plan, const MillingSetting& setting);
/// Counts the lines of the side's text and reads it back: from here on the text alone speaks. Faults:
/// its checksum does not hold (internal); what the reader refuses.
Outcome<std::vector<mill::Operation>> read_back(ProvedSide& side);
/// The deepest the tip goes into `keep`, judged at every quarter of a millimetre: a ball of 6 mm goes 0.003
/// mm deeper between two such places.
inline constexpr double tip_apart_mm = 0.25;
/// How much must stay outward along each needle wherever the finishing cutter stands over `keep`, mm;
/// `square` as mill::unreached's.
Outcome<std::vector<double>> must_stay_on(const std::vector<mill::Needle>& needles, const TriangleMesh& keep,
                                          const mill::Cutter& finish, double floor_mm,
                                          std::vector<double>* square = nullptr);

}  // namespace archwright::exporters::nc
