// A mould milled from one side: its program planned, written, read back, simulated, judged.
#pragma once

#include "exporters/nc/milling.hpp"

namespace archwright::exporters::nc {

struct MouldMilling {
    ProvedSide side;
    mill::Nest nest;
    double gouge_mm = 0.0, left_mm = 0.0;
    Vec3 gouge_where = Vec3::Zero(), left_where = Vec3::Zero();
    std::size_t needles = 0;
    double unreached_area_mm2 = 0.0, unreached_most_mm = 0.0;  ///< as of Milling
    Vec3 unreached_where = Vec3::Zero();
    std::vector<std::string> stops, warnings;
};

/// The mould stands in the middle of its block with its base on the block's lower face, sole up; the channel
/// round it ends `mould_skin_mm` above the table, so that nothing is loose. Of `setting` tabs, pins, flip and
/// tilt have no meaning. Faults: the block is too small (usage, saying by how much), mill::plan_side's.
Outcome<MouldMilling> mill_mould(const MilledDevice& mould, const MillingSetting& setting,
                                 Progress* progress);

inline constexpr double mould_skin_mm = 0.5;

}  // namespace archwright::exporters::nc
