// Planes that cut plaster off the heel (skives) or bring it under the heads (the platform).
#pragma once

#include <optional>

#include "engine/surface/dress.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::surface {

/// A skive laid on a surface. The plane is z = offset + slope y.
struct SkivePlane {
    double offset = 0.0, slope = 0.0;
    double end_x = 0.0, fade_mm = 1.0;  ///< in full up to end_x, to nothing over fade_mm
    double soft_mm = 0.0;               ///< half height of the rounding at the plane's edge

    /// Vertical removal at a point of the surface, mm.
    double removal(const Vec3& p) const;
};
/// Lays the plane so that the largest vertical removal within the full extent is the depth. Fault when the
/// surface has no heel there.
Outcome<SkivePlane> lay_skive(const std::vector<Vec3>& surface, const Skive& skive, bool medial,
                              const DressSite& site);

/// The platform laid under the heads. The plane is z = offset + slope y.
struct PlatformPlane {
    double offset = 0.0, slope = 0.0;
    DressSite site;
    double length_mm = 0.0, blend_mm = 1.0;
    bool through_first = false;  ///< through the plantar point of the 1st head, else of the 5th

    double height(double y) const { return offset + slope * y; }
    /// Vertical addition (downward) at a point of the surface, mm. Beside the plantar heads it is what is
    /// added under their lines y = const, fading to the borders: the walls begin there.
    double addition(const SplineSurface& surface, const Vec2& uv) const;
};
PlatformPlane lay_platform(const Platform& platform, const DressSite& site);

}  // namespace archwright::surface
