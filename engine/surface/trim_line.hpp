// The trim line on a carpet.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::surface {

/// One place where the rule was followed outward on the surface.
struct TrimStation {
    Vec2 uv = Vec2::Zero();
    Vec3 p = Vec3::Zero();
    Vec2 unmoved_uv = Vec2::Zero();  ///< before controls, width allowance and scallop moved it
    double height_mm = 0.0;          ///< above the datum of its rule
    double wanted_mm = 0.0;          ///< the rule's height there
    bool reached = false;            ///< height and wall were both found
    double station = 0.0;            ///< 0 back of the heel .. 1 distal
    bool medial = false;
    std::string kind;  ///< "medial", "heel" or "lateral"
};

/// The trim line: simple, smooth, counter-clockwise in (u,v).
struct TrimLine {
    PeriodicCurve curve;
    std::vector<TrimStation> stations;  ///< counter-clockwise from the medial distal end to the lateral one
    double least_radius_mm = 0.0;       ///< least radius of curvature in (u,v)
    Vec3 least_radius_at = Vec3::Zero();
    double datum_z = 0.0;        ///< the height cup depths are measured from
    double cup_medial_mm = 0.0;  ///< measured on the finished curve
    double cup_posterior_mm = 0.0;
    double cup_lateral_mm = 0.0;
    double arch_medial_mm = 0.0;  ///< height above the section's lowest point at arch_station
    double arch_lateral_mm = 0.0;
    double flange_mm = 0.0;          ///< greatest medial height above its section's lowest point
    double lateral_flange_mm = 0.0;  ///< height of a lateral flange in its middle; 0: none asked
    double cutout_mm = 0.0;          ///< how far a first-ray cut-out lies behind the distal edge; 0: none
    double cutout_radius_mm = 0.0;   ///< least radius of its fillets
    double scallop_mm = 0.0;         ///< depth of a lateral scallop in its middle, along the surface
    double corner_radius_mm = 0.0;   ///< least radius of the distal corners
    double length_mm = 0.0;          ///< along the curve in space
    double margin_mm = 0.0;          ///< least distance in (u,v) from the curve to the end of the domain
    std::vector<std::string> notes;  ///< for people: stations the surface did not reach, ...
};

/// Follows the rule outward on the surface at every station (sections across the axis, a fan round the heel,
/// the plan line distally) and stops where the height is reached AND the surface is wall there: normal tilted
/// (n.z < 0.77) or radius over 0.93 of the section's largest. A pure height rule would stop under the roof of
/// the arch; a plan curve dropped onto the wall would turn 1 mm in plan into 20 mm in height. Faults (stage
/// "trim") when the rule cannot be followed: the surface is not under the heel or the heads, the line crosses
/// itself, or it comes nearer than tolerance::trim_margin_mm to the end of the surface.
Outcome<TrimLine> find_trim(const SplineSurface& carpet, const TrimRule& rule);

}  // namespace archwright::surface
