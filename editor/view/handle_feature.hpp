// Handles of reliefs, pads and apertures: their points, their sizes, their turn.
#pragma once

#include "editor/view/handle.hpp"

namespace archwright::editor::view {

/// Of a relief, pad or aperture. What lies on a mark or a landmark is moved from there; what has points has
/// them as handles. Dome and bar are placed by their leading edge behind the heads.
Handles feature_handles(const design::FootDesign& foot, const feature::Feature& feature,
                        const std::shared_ptr<const Sole>& sole);

}  // namespace archwright::editor::view
