// The middle line of the back of the heel.
#pragma once

#include <optional>

#include "engine/foot/survey.hpp"

namespace archwright::foot {

/// A straight line fitted through the middles of the heel's width at several heights, 0.06 of the length
/// ahead of the rearmost point of each height.
struct HeelMidline {
    Vec3 lower = Vec3::Zero();  ///< on the back of the heel, 0.05 of the length above the ground
    Vec3 upper = Vec3::Zero();  ///< at 0.15, or where the cast ends
    double rms_mm = 0.0;        ///< of the middles about the line
    int heights = 0;
};

/// Nothing when fewer than five heights show both sides of the heel.
std::optional<HeelMidline> heel_midline(const TriangleMesh& mesh, const Survey& survey);

}  // namespace archwright::foot
