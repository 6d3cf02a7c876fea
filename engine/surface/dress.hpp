// Dressing: what plaster would be added to the positive, and what would be cut from it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_region.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::surface {

/// A closed curve in plan (design frame, mm) through its points.
struct PlanZone {
    std::string name;
    std::vector<Vec2> outline;  ///< three points or more
};

/// Smoothing of a drawn zone: the fairest surface over it takes the place of the cast's, by `strength`.
struct SmoothZone : PlanZone {
    double strength = 1.0;  ///< 0 nothing, 1 the fairest surface itself
    double blend_mm = 8.0;  ///< inward from the curve
};

/// A zone no dressing may touch.
struct KeepZone : PlanZone {
    double margin_mm = 8.0;  ///< outward from the curve, over which dressing comes back
};

/// A plane cut of the heel: z = max(z, c + tan(angle) * y) medial, with -y lateral; c so that the largest
/// vertical removal is the depth, before blending.
struct Skive {
    double depth_mm = 0.0;  ///< 0: none
    double angle_deg = 15.0;
    double forward_mm = 5.0;  ///< in full this far in front of the heel centre
    double fade_mm = 25.0;    ///< and from there to nothing
    double blend_mm = 8.0;    ///< breadth of the rounding at the plane's edge, in plan on a flat base
};

struct Dress {
    double arch_fill_mm = 0.0;  ///< at the arch apex
    double arch_fill_length_mm = 100.0, arch_fill_breadth_mm = 60.0;
    double lateral_expansion_mm = 0.0;
    double heel_expansion_medial_mm = 0.0, heel_expansion_posterior_mm = 0.0, heel_expansion_lateral_mm = 0.0;
    double cover_mm = 0.0;  ///< room for a cover, everywhere
    std::vector<SmoothZone> smooth;
    std::vector<KeepZone> keep;
    Skive medial_skive, lateral_skive;
};

/// A platform under the metatarsal heads (it belongs to balance): a plane level in x, tilted about +x.
struct Platform {
    double tilt_deg = 0.0;
    double length_mm = 12.0, blend_mm = 35.0;
};

/// Where on the foot dressing is placed; design frame.
struct DressSite {
    TrimRule rule;  ///< heel centre, borders of the heads, breadth of the heel
    Vec3 first_plantar = Vec3::Zero(), fifth_plantar = Vec3::Zero();
    Vec3 arch_apex = Vec3::Zero();
    /// Places that are meant to be as they are (a marked lesion, a sore spot, a bone): no zone smooths them.
    struct Real {
        Vec3 place = Vec3::Zero();
        double reach_mm = 7.0;
    };
    std::vector<Real> real;
};

/// One thing that was done, as the surface before and after it.
struct DressStep {
    std::string id;     ///< "arch_fill", "medial_skive", ...
    std::string title;  ///< the trade's words
    SplineSurface before, after;
    std::vector<double> off;  ///< distance of `after` from what was asked, at the nodes of 4 to a knot span
};

struct Dressed {
    SplineSurface surface;          ///< over the carpet's (u,v)
    std::vector<DressStep> steps;   ///< in order; empty: the surface is the carpet
    std::optional<double> datum_z;  ///< of the lowest point of the heel before any skive, where there is one
};

/// Dresses the carpet: platform, arch fill, expansions, smoothing, cover, then the skives. Additions push the
/// foot side along its normal away from the foot (plaster on the positive); platform and skives move it
/// vertically. Every step is refitted over the carpet's own knots. Fault (stage "dress") for a zone whose
/// curve crosses itself.
Outcome<Dressed> dress(const SplineSurface& carpet, const Dress& asked,
                       const std::optional<Platform>& platform, const DressSite& site);

/// What a step added (volume > 0) or removed inside the trim line.
struct DressFigure {
    std::string id, title;
    double volume_mm3 = 0.0;  ///< between the two surfaces; positive: plaster added to the positive
    double largest_mm = 0.0;  ///< greatest movement of a point
    Vec3 where = Vec3::Zero();
    double least_cosine = 1.0;  ///< between the normals before and after
    Vec3 turned_at = Vec3::Zero();
    double fit_mm = 0.0;  ///< greatest distance of the surface from what was asked
    Vec3 fit_where = Vec3::Zero();
};
/// Volume by the exact integral of the hull between two surfaces over the same (u,v):
/// D . (Su x Sv + (Su x Dv + Du x Sv) / 2 + Du x Dv / 3), D the movement, summed over samples inside.
std::vector<DressFigure> figures(const Dressed& dressed, const TrimRegion& inside);

}  // namespace archwright::surface
