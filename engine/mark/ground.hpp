// The plaster under ink: what colour the cast has round each point, and how far the point itself is from it.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mark/skin.hpp"

namespace archwright::mark {

/// Ink against the plaster round it, one entry a point.
struct InkField {
    /// Distance of the smoothed colour from the local plaster's, in standard deviations of plaster
    /// (Mahalanobis); 0 where it is not darker.
    std::vector<double> strength;
    /// The colour as read less the plaster's, as a share of the plaster's lightness (CIELAB): 1 is as far as
    /// from white plaster to black.
    std::vector<Vec3> off;
};

/// Colours of the mesh must be there, one a point. The plaster's colour is a local linear fit of CIELAB over
/// place and normal under a Gaussian window, in four passes of which each leaves out what the one before told
/// from plaster and from shade broader than a stroke: uneven light passes, ink does not pull it. Fault:
/// cancelled.
Outcome<InkField> ink_field(const Skin& skin, Progress* progress);

}  // namespace archwright::mark
