// The relief of a cast: its heights over a stiff base, as an image.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/examine/height_map.hpp"
#include "engine/examine/image.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::examine {

/// What every detector looks at. All images have the nodes of `map`.
struct Relief {
    HeightMap map;
    Image height;           ///< as the map's; beyond the cast the nearest height goes on
    Image smooth;           ///< the height blurred by 0.8 mm: where a place is said to be
    Mask seen;              ///< as the map's `valid`
    Mask sole;              ///< seen, faces the ground, and far enough from the cast's border to be judged
    Image inside;           ///< distance to the border of the seen part, mm
    double noise_mm = 0.0;  ///< standard deviation of the points' white noise
    double edge_mm = 1.0;   ///< usual edge of the cast's triangles

    double step() const { return map.step_mm; }
    /// The cast's point at a node, without the noise; and between nodes.
    Vec3 place(int i, int j) const {
        const std::size_t k = map.index(i, j);
        return map.position[k] + static_cast<double>(smooth.a[k] - map.height[k]) * map.away[k];
    }
    Vec3 place(double i, double j) const;
};

/// Spacing of the image's nodes, mm.
inline constexpr double relief_step_mm = 0.5;

/// Lays the base: the cast's plantar patch (surface::select_patch, out to the toe roots) is flattened, and a
/// spline with knots 11 mm apart is fitted to it stiffly; heights are taken along its normals. Pinholes of
/// the scanner up to 2 mm are closed, lone spikes over 1.2 mm replaced by what lies round them.
/// Faults (stage "examine"): heads not found, no sole, cancelled.
Outcome<Relief> lay_relief(const foot::Standing& standing, Progress* progress = nullptr);

}  // namespace archwright::examine
