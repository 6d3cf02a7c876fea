// What features came to on the finished foot side.
#pragma once

#include <string>
#include <vector>

#include "engine/feature/map.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::feature {

constexpr double felt_mm = 0.02;  ///< less than this of a feature is not there

struct Figure {
    std::string name;
    Feature::Kind kind = Feature::Kind::cavity;
    double asked_mm = 0.0;     ///< greatest depth or height, unsigned
    double measured_mm = 0.0;  ///< greatest, of the finished foot side from the dressed carpet, unsigned
    Vec3 where = Vec3::Zero();
    double volume_mm3 = 0.0;  ///< of its own shape between carpet and foot side, inside the trim line
    double flank_deg = 0.0;   ///< steepest slope of its own shape against the carpet
    double fit_mm = 0.0;  ///< greatest distance of the foot side from what all features ask for, in its box
    Vec3 fit_where = Vec3::Zero();
    double inside_share = 0.0;          ///< of its area that lies inside the trim line
    double beyond_mm = 0.0;             ///< how far its middle lies outside the trim line; 0: inside
    std::vector<std::string> overlaps;  ///< names of features it overlaps
};

/// Measures on a lattice of 0.6 mm. Volume: integral of f - (k1 + k2) f^2 / 2 + k1 k2 f^3 / 3 over the
/// carpet, k positive towards the normal (the volume between a surface and its normal offset by f).
std::vector<Figure> figures(const FeatureMap& map, const surface::SplineSurface& carpet,
                            const surface::SplineSurface& foot_side, const surface::TrimRegion& inside);

}  // namespace archwright::feature
