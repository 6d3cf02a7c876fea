// The carpet: one smooth surface over the plantar side of the cast.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/trim_line.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::surface {

/// A gap in the cast that the carpet bridges.
struct HoleFilled {
    Vec3 centre = Vec3::Zero();
    double diameter_mm = 0.0;  ///< of the circle of the same area
};

/// What is known of a carpet, inside the trim line.
struct CarpetReport {
    double fit_rms_mm = 0.0;  ///< distance of the scan's points from the carpet
    double fit_max_mm = 0.0;
    Vec3 fit_worst = Vec3::Zero();
    double stretch_low = 1.0;  ///< least and greatest principal stretch of the surface over (u,v)
    double stretch_high = 1.0;
    int flips = 0;  ///< samples where the surface is turned over, and triangles the flattening turned
    /// Greatest curvature away from the foot, 1/mm: the sense that folds an underside (roll_underside judges
    /// it with the wall of each place).
    double curvature_max = 0.0;
    double margin_mm = 0.0;  ///< least distance from the trim line to the end of the scanned patch
    Vec3 margin_at = Vec3::Zero();
    std::vector<HoleFilled> holes;   ///< inside the trim line or within the margin of it
    std::size_t points = 0;          ///< samples of the scan the fit used
    std::string method;              ///< "flattened" or "gutter"
    std::vector<std::string> notes;  ///< for people
};

/// What a carpet was fitted to; kept with it, so that it can be judged for any later trim line.
struct CarpetEvidence {
    std::vector<Vec2> uv;          ///< samples of the scan, at their nearest points of the carpet
    std::vector<Vec3> position;    ///< where they are, in the frame the carpet was laid in
    std::vector<double> distance;  ///< from the carpet, mm
    std::vector<Vec2> border;      ///< the outer border of the scanned patch, at most 1 mm apart
    std::vector<HoleFilled> holes;
    std::vector<Vec2> hole_places;  ///< middles of the holes
    int flattened_flips = 0;        ///< triangles turned over by the flattening (0 for the gutter)
};

struct Carpet {
    SplineSurface surface;  ///< normal towards the foot: n.z > 0 on the sole; u runs with +x, v with +y
    CarpetReport report;    ///< inside the rule's own trim line
    std::shared_ptr<const CarpetEvidence> evidence;
};

struct CarpetSettings {
    int count_u = 88, count_v = 50;  ///< control points of the carpet
    double fairness = 0.0;           ///< FitSettings::fairness; 0: from the noise of the scan, 0.1 to 2
    bool allow_gutter = true;        ///< fall back to the gutter when flattening fails its gates
    bool only_gutter = false;        ///< second opinion
};

/// Lays the carpet over the cast's plantar surface inside the trim rule and a margin. `cast` in the design
/// frame, mm, normals out of the foot; `usable` one flag a triangle or empty. Faults (stage "carpet") name
/// the place and what to do: no sole, the scan ends too near the trim line, no method passes its gates.
Outcome<Carpet> lay_carpet(const TriangleMesh& cast, const std::vector<char>& usable, const TrimRule& rule,
                           const CarpetSettings& settings = {}, Progress* progress = nullptr);

/// The report's figures for a trim line other than the rule's own (on a dressed carpet over the same (u,v),
/// say): distances, stretch, holes and margin inside `trim`. Fault (stage "carpet") when the scan ends
/// within tolerance::trim_margin_mm of the line.
Outcome<CarpetReport> assess(const Carpet& carpet, const TrimLine& trim);

}  // namespace archwright::surface
