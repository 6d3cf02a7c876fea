// The relief of a cast's sole as a surface that can be drawn and asked.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "engine/examine/height_map.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::picture {

/// The height map as triangles in the design frame, with the local relief (local_relief.hpp) at its points.
class SoleRelief {
  public:
    explicit SoleRelief(const examine::HeightMap& map);
    SoleRelief(const SoleRelief&) = delete;
    SoleRelief& operator=(const SoleRelief&) = delete;

    const examine::HeightMap& map() const { return map_; }
    const TriangleMesh& mesh() const { return mesh_; }
    /// Local relief at every point of the mesh, mm.
    const std::vector<double>& values() const { return values_; }

    /// What of the sole lies nearest to a place, no further than `within` mm.
    struct Place {
        Vec3 point = Vec3::Zero();
        Vec3 away = Vec3::UnitZ();  ///< unit normal of the smooth base, away from the foot
        double value = 0.0;         ///< local relief, mm
    };
    std::optional<Place> nearest(const Vec3& p, double within) const;
    /// Whether the print of the sole shows a place: it lies on the sole within this, where the sole faces the
    /// ground.
    bool shows(const Vec3& p, double within) const;

  private:
    const examine::HeightMap& map_;
    TriangleMesh mesh_;
    std::vector<double> values_;
    std::unique_ptr<Bvh> tree_;  ///< null without triangles
};

/// How far from the drawn sole a finding's place may lie to be marked on it, mm: findings are placed on the
/// cast without its noise, or in the middle of a gap.
inline constexpr double on_sole_mm = 4.0;

}  // namespace archwright::picture
