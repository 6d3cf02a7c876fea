// Examines a standing cast for faults.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/examine/anatomy.hpp"
#include "engine/examine/calls.hpp"
#include "engine/examine/finding.hpp"
#include "engine/examine/relief.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::examine {

/// Looks for the faults that show in the relief of the sole: dents, bumps, creases, a seam, a flattened heel
/// or border, roughness. What cannot be told from anatomy is a question at most. Faults (stage "examine"):
/// no sole to look at, cancelled.
Outcome<Examination> examine(const foot::Standing& standing, Progress* progress = nullptr);

/// The same of a relief that is laid already: the findings alone, worst first. `measured` gives dimples and
/// domes their height; without it that of the detector stands, which swallows a part. Fault: cancelled.
Outcome<std::vector<Finding>> find_faults(const Relief& relief, const Anatomy& anatomy,
                                          const DomeHeight& measured = {}, Progress* progress = nullptr);

}  // namespace archwright::examine
