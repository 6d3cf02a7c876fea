// What the shape says about the side.
#pragma once

#include <vector>

#include "engine/scan/receive_plan.hpp"
#include "engine/scan/side.hpp"

namespace archwright::scan {

/// The cues of a scan laid on its sole, the arch first. `mm` is true mm per nominal mm, for the figures.
std::vector<Cue> side_cues(const Plan& plan, double mm);

/// True when the scan ends behind the lateral toes but not before the medial ones (allowed: many casts do).
/// `rim` in the working frame.
bool lateral_toes_missing(const Plan& plan, Side side, const std::vector<Vec3>& rim);

}  // namespace archwright::scan
