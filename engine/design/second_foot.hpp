// The other foot of a pair, made to the same order.
#pragma once

#include <string>
#include <vector>

#include "engine/design/job.hpp"

namespace archwright::design {

/// Takes over one foot's order for the other: balance, dressing, trim, wall, rim, material, and the record of
/// the presets they came from. Never side, cast, calipers, landmarks, marks, sign-offs or approvals: those
/// belong to one foot. The design frame makes both feet look like a right foot (engine/foot/frame.hpp), so
/// angles keep their sign and plan coordinates are copied as they are; on the finished devices they are
/// mirror images.
///
/// Returns in words what had been drawn for the other foot's cast (zones, wall regions, trim controls): it
/// lies where that foot had it, and a person has to look whether this foot has it there too.
std::vector<std::string> copy_order(const FootDesign& from, FootDesign& to);

}  // namespace archwright::design
