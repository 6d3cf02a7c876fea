// Where a cast ends: rim, toe cut, holes; and what becomes of a mesh there.
#pragma once

#include <functional>

#include "assets/generator/cast.hpp"
#include "assets/generator/waves.hpp"

namespace archwright::generator {

/// The part of the foot a scan still shows, as a level: negative where kept, about the distance in mm.
class Extent {
  public:
    /// Fault: a hole off the sole.
    static Outcome<Extent> lay(const Foot& foot, const CastSpec& spec);

    double level(const Vec3& p) const;
    /// Height of the plaster's rim at the azimuth of p; 1e9 where the kind has none.
    double rim_height(const Vec3& p) const;
    /// Moves a point of the rim where it is folded inward; `outward` is the foot's normal.
    Vec3 folded(const Vec3& p, const Vec3& outward) const;

  private:
    Extent(const Foot& foot, const CastSpec& spec);

    struct Round {
        Vec3 at;
        double radius;
    };
    CastSpec::Kind kind_;
    Rim rim_;
    double length_, rear_, front_;
    std::optional<double> toe_cut_x_;
    bool sole_missing_;
    std::vector<Round> holes_;
    std::vector<double> ragged_phase_;
    struct Tear {
        double azimuth, half_width;
    };
    std::vector<Tear> tears_;
    Waves waves_;
};

/// Which of a mesh's points survive a cut, with new ones on the cut edges.
struct Cut {
    struct Origin {
        std::int32_t a, b;  ///< the point lies between these two of the old mesh (a == b: it is one of them)
        double t;
    };
    std::vector<Origin> points;
    std::vector<Triangle> triangles;
};

/// Cuts along level 0. Points nearer to the cut than `snap` count as on it, so that no slivers arise.
Cut cut(const std::vector<Triangle>& triangles, const std::vector<double>& level, double snap);

/// Edges of one triangle, directed as that triangle runs them, in order of the triangles.
std::vector<std::pair<std::int32_t, std::int32_t>> open_edges(const std::vector<Triangle>& triangles);

}  // namespace archwright::generator
