// From the job's trim to the rule the trim line follows on the surface.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::design {

/// The rule in the design frame. `landmarks` are those of the standing foot (design frame, mm): heel centre,
/// and of the 1st and 5th metatarsal heads the border points, else the plantar ones. Fault (ask) names a
/// missing landmark.
Outcome<surface::TrimRule> trim_rule(const Trim& trim, const foot::Landmarks& landmarks);

}  // namespace archwright::design
