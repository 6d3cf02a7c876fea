// The wall measured on the finished surfaces, not assumed.
#pragma once

#include <vector>

#include "engine/surface/shell.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::surface {

struct WallMeasureSettings {
    double spacing_mm = 0.7;   ///< between samples, in (u,v)
    double beside_trim = 1.5;  ///< walls beside the trim and loops left out (the rims have their own minimum)
    double seed_spacing_mm = 0.7;  ///< of the lattices that start the exact searches
    bool rays = true;              ///< also cast a ray from each foot-side sample (second opinion)
    /// Sheets of balls beyond the foot side's own (see BallLayer); their heights are over the carpet.
    std::vector<BallLayer> further;
};

struct WallSample {
    Vec2 uv;
    Vec3 p;        ///< on the foot side
    double wall;   ///< nearest distance to the underside, mm
    double asked;  ///< the map's wall there, mm
};

/// What the gates of definitions (Wall) look at.
struct WallGate {
    double underside_worst_mm = 0;  ///< from the underside: least (distance - radius) over all balls, of the
                                    ///< sample where its size is greatest; signed
    Vec3 underside_where = Vec3::Zero();
    double foot_worst_mm = 0;  ///< from the foot side: least of (nearest distance - asked)
    Vec3 foot_where = Vec3::Zero();
    double least_wall_mm = 0;
    Vec3 least_where = Vec3::Zero();
    /// Least nearest distance in the bands beside the trim and the apertures, which the rest leaves out.
    double rim_least_mm = 0;
    Vec3 rim_where = Vec3::Zero();
    double mean_mm = 0, most_mm = 0;
    Vec3 most_where = Vec3::Zero();
    /// Rays from the foot side, followed through a tree of the whole underside, that met it nearer than the
    /// nearest distance found: 0 unless a search has failed.
    std::size_t rays_disagree = 0;
    Vec3 rays_where = Vec3::Zero();  ///< the first of them
    std::size_t samples = 0;
    std::vector<WallSample> map;  ///< samples inside the trim, away from it and from loops, outside posts
    bool ok() const;              ///< both gates within tolerance::wall_mm, rays agreeing
};

/// Measures by nearest distance in space: from the foot side to the underside (kd-tree seed, then Newton on
/// the exact spline) and from the underside to the balls; cut-throughs by far parts are found. Holes of
/// apertures and what lies above posts are left out; the bands beside apertures count as rim like the trim's,
/// those beside posts count nowhere.
WallGate measure_wall(const Shell& shell, const WallFunction& wall, const Outline& trim,
                      const WallMeasureSettings& settings = {});

}  // namespace archwright::surface
