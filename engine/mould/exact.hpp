// A mould as an exact solid: the trimmed foot side, walls with draft, a flat base.
#pragma once

#include "engine/mould/mould.hpp"
#include "engine/solid/solid.hpp"

namespace archwright::mould {

/// The plain body of `mould` in its own frame: the foot side's own spline surface inside the trim line (its
/// edge is the line to cut along), walls at the draft straight from that edge, the base. Without groove,
/// margin, marks and letters, which the mesh has. Faults of solid::build_block, and (stage "mould") where
/// what came out is not one closed, valid solid.
Outcome<solid::Solid> exact_mould(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                                  const Mould& mould, const MouldSetting& setting);

}  // namespace archwright::mould
