// Faults of what a cast covers: holes, a torn or splayed edge, a cast that ends too soon, toes in the way.
#pragma once

#include <vector>

#include "engine/examine/finding.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::examine {

/// Sizes from which a call is certain, and from which it is asked (mm, degrees; our choices,
/// docs/examine.md).
namespace edge {
/// What lies higher above the ground concerns no device: the highest cup or flange that can be asked for
/// (engine/design/description.hpp).
inline constexpr double device_height_mm = 40.0;
inline constexpr double hole_asked_mm = 2.0, hole_certain_mm = 4.0, hole_again_mm = 15.0;
inline constexpr double tear_asked_mm = 7.0, tear_certain_mm = 10.0;
/// Half of the stretch of edge a notch is seen against, and the narrowest and widest notch.
inline constexpr double tear_window_mm = 40.0, tear_narrow_mm = 2.0, tear_wide_mm = 30.0;
inline constexpr double splay_asked_deg = 8.0, splay_certain_deg = 15.0;
/// The heel must be captured to the usual cup depth and what the trim line needs beyond itself.
inline constexpr double heel_captured_mm = 18.0;
/// The cast must go on beyond the plantar points of the heads by this: the distal edge and its margin.
inline constexpr double beyond_heads_mm = 6.0;
inline constexpr double toes_asked_deg = 20.0, toes_certain_deg = 30.0;
}  // namespace edge

/// Holes in the sole and its walls, as high as a device goes; notches of the edge; walls at the heel that
/// lean outward up to the edge; a heel or heads not captured; toes extended or dragged. The standing cast in
/// the design frame, mm.
std::vector<Finding> edge_faults(const foot::Standing& standing);

}  // namespace archwright::examine
