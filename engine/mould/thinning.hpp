// How much thinner a sheet is where a mould has stretched it.
#pragma once

#include <vector>

#include "engine/mould/mould.hpp"

namespace archwright::mould {

/// The estimate: volume is kept, and what lies over a disc of the plan came straight down from the disc. So
/// thickness = sheet x area of the disc / area of the surface over it. It knows no temperature, no friction,
/// and no stretch that comes from beyond the disc: for comparison, and for seeing where to measure.
struct Thinning {
    std::vector<double>
        thickness_mm;  ///< one a point of the mould's mesh; the sheet's own where it was not asked
    double least_mm = 0.0, mean_mm = 0.0;   ///< inside the trim line; the mean by volume over area
    Vec3 least_where = Vec3::Zero();        ///< frame of the mould
    double area_mm2 = 0.0, plan_mm2 = 0.0;  ///< of the foot side and of its shadow
};

/// Radius of the disc: about the breadth over which a soft sheet shares its stretch (our choice, no source).
inline constexpr double thinning_radius_mm = 15.0;

/// Over the foot side and the margin, for a sheet of this thickness.
Thinning estimate_thinning(const Mould& mould, double sheet_mm, double radius_mm = thinning_radius_mm);

/// The same over any surface that is to be seen from +z: triangles [0, inside) are told of, those up to
/// `formed` stretch the sheet.
Thinning estimate_thinning(const TriangleMesh& mesh, std::size_t inside, std::size_t formed, double sheet_mm,
                           double radius_mm);

}  // namespace archwright::mould
