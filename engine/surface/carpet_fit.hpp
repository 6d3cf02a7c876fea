// From a patch to a carpet: a start, then the fit.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/surface/carpet.hpp"
#include "engine/surface/patch.hpp"

namespace archwright::surface {

/// A coarse surface, the mesh to fit, and a first (u,v) of every point of it: all a fit needs to start.
struct Start {
    TriangleMesh mesh;
    SplineSurface coarse;
    std::vector<Vec2> uv;
    int flips = 0;
};

/// The start by flattening the patch, with so many smoothing steps (FlattenSettings::smoothing).
Outcome<Start> start_flattened(const Patch& patch, const CarpetSettings& settings, int smoothing);
/// The start by a gutter (gutter.hpp); the patch may be in pieces.
Outcome<Start> start_gutter(const Patch& patch, const TrimRule& rule, const CarpetSettings& settings);

/// From a start to the finished surface with its evidence: every sample to its nearest point, fit, and again
/// without the spikes, with the fairness that suits the noise. The report is still empty.
Carpet fit_carpet(Start start, const CarpetSettings& settings, Progress* progress);

}  // namespace archwright::surface
