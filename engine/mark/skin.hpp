// The cast as ink lies on it: its points, which are neighbours, how much surface each stands for.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::mark {

/// Points of a cast as a graph. Refers to the mesh, which must outlive it.
class Skin {
  public:
    explicit Skin(const TriangleMesh& mesh);

    const TriangleMesh& mesh() const { return mesh_; }
    std::size_t size() const { return area_.size(); }
    /// Neighbours along edges, ascending.
    std::span<const std::int32_t> neighbours(std::int32_t point) const;
    /// A third of the triangles round it, mm2.
    double area(std::int32_t point) const { return area_[static_cast<std::size_t>(point)]; }
    const Vec3& place(std::int32_t point) const { return mesh_.points[static_cast<std::size_t>(point)]; }
    /// Unit, outward; zero where a point has no area.
    const Vec3& normal(std::int32_t point) const { return normal_[static_cast<std::size_t>(point)]; }
    /// Way along edges to the nearest open edge of a hole or rim more than `rim_mm` round, mm; at most
    /// `far_mm`.
    double to_rim(std::int32_t point) const { return to_rim_[static_cast<std::size_t>(point)]; }
    /// Middle length of its edges, mm.
    double spacing() const { return spacing_; }

    static constexpr double far_mm = 30.0;
    static constexpr double rim_mm = 60.0;

  private:
    const TriangleMesh& mesh_;
    std::vector<std::size_t> first_;
    std::vector<std::int32_t> neighbours_;
    std::vector<double> area_;
    std::vector<Vec3> normal_;
    std::vector<double> to_rim_;
    double spacing_ = 1.0;
};

/// What is within reach of some points.
struct Reached {
    std::vector<std::int32_t> point;  ///< in the order they were reached
    std::vector<double> way;          ///< of each, mm
    std::vector<std::int32_t> from;   ///< of each: index into this list, or -1
};

/// Shortest ways along edges (Dijkstra 1959), again and again over one skin; each walk costs what it reaches.
class Walker {
  public:
    explicit Walker(const Skin& skin) : skin_(skin), done_(skin.size(), 0) {}

    /// Every point within `reach` of the seeds, which are at 0. `allowed`: not 0 for points that may be
    /// entered (empty: all). `cost` of a mm at each point (empty: 1); reach and ways count it.
    Reached from(std::span<const std::int32_t> seeds, double reach, const std::vector<std::uint8_t>& allowed,
                 const std::vector<double>& cost);

  private:
    const Skin& skin_;
    std::vector<std::uint8_t> done_;
};

}  // namespace archwright::mark
