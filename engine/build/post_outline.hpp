// The outlines of posts in plan.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/build/device.hpp"

namespace archwright::build {

/// Closed polygon in plan, a point every 2.5 mm: round behind the heel centre, straight forward.
std::vector<Vec2> rearfoot_outline(const feature::RearfootPost& post, const surface::TrimRule& rule);

/// The same behind the distal edge, as broad as the underside is flat there. Fault (stage "posts") where it
/// is flat over less than 20 mm.
Outcome<std::vector<Vec2>> forefoot_outline(const feature::ForefootPost& post, const Surfaced& surfaced,
                                            const surface::SplineSurface& underside);

}  // namespace archwright::build
