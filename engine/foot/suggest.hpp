// Landmarks suggested from the shape of a standing foot.
#pragma once

#include <map>
#include <string>

#include "engine/foot/landmarks.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::foot {

struct Suggestions {
    Landmarks landmarks;                        ///< design frame; only what the scan can show
    std::map<LandmarkId, std::string> reasons;  ///< how each was found, or why it was not
    double foot_length_mm = 0.0;
    bool length_estimated = false;
};

/// Suggests landmarks on a mesh in the design frame (mm, outward). `toes_cut`: the foot length is estimated
/// from the ball, whose length is 0.741 of the foot's (ANSUR: ball of foot length over foot length).
Suggestions suggest(const TriangleMesh& standing, bool toes_cut);

}  // namespace archwright::foot
