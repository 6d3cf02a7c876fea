// A tree of boxes over the triangles of a mesh: what is nearest, what a ray hits, which boxes touch.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright {

/// The triangle of a mesh nearest to a point.
struct Near {
    double distance = 0.0;
    std::int32_t triangle = -1;
    Vec3 point = Vec3::Zero();  ///< on that triangle
};

/// Where a ray meets a triangle: at origin + t * direction.
struct Hit {
    double t = 0.0;
    std::int32_t triangle = -1;
};

/// The point of the triangle a, b, c nearest to p. Degenerate triangles are treated as segments or points.
Vec3 nearest_on_triangle(const Vec3& p, const Vec3& a, const Vec3& b, const Vec3& c);

/// Bounding volume hierarchy. Keeps a reference to the mesh, which must outlive it unchanged; all queries are
/// safe from several threads at once. The tree, and so every answer, is the same for any number of threads.
class Bvh {
  public:
    explicit Bvh(const TriangleMesh& mesh);
    explicit Bvh(TriangleMesh&&) = delete;
    /// A mesh of the same triangles as that of `like`, its points moved: the tree keeps its form and its
    /// boxes are found anew, in a small part of the time. Answers are those of a tree built anew.
    Bvh(const TriangleMesh& mesh, const Bvh& like);
    Bvh(TriangleMesh&&, const Bvh&) = delete;

    const TriangleMesh& mesh() const { return mesh_; }

    /// The nearest point of the mesh no farther than `within`, or nothing. Of triangles at the same distance
    /// (an edge or a point they share) the lowest index.
    std::optional<Near> nearest(const Vec3& p, double within) const;

    /// First hit with t in [t_low, t_high], front or back of the triangle alike; of equal t the lowest index.
    /// No ray slips through between triangles that share an edge. The direction need not be a unit vector;
    /// t counts in its length. A triangle seen exactly edge-on is not hit.
    std::optional<Hit> ray(const Vec3& origin, const Vec3& direction, double t_low, double t_high) const;

    /// Every hit, ordered by t, then by triangle. A ray through a shared edge or point hits each triangle
    /// that has it.
    std::vector<Hit> ray_all(const Vec3& origin, const Vec3& direction, double t_low, double t_high) const;

    /// Triangles whose boxes touch this box, ascending.
    std::vector<std::int32_t> touching(const Box3& box) const;

    /// Number of parts that overlapping_pairs divides its work into, the same for any number of threads.
    std::size_t pair_parts() const { return pair_tasks_.size(); }
    /// Calls body(part, a, b), a < b, once for every pair of triangles whose boxes touch. Calls for one part
    /// follow one another in a fixed order; different parts may run at once.
    void overlapping_pairs(
        const std::function<void(std::size_t part, std::int32_t a, std::int32_t b)>& body) const;

  private:
    /// 32 bytes: box in float rounded outward. count > 0: a leaf of order_[first .. first + count); else the
    /// children are nodes first and first + 1.
    struct Node {
        float low[3];
        float high[3];
        std::int32_t first;
        std::int32_t count;
    };
    struct Builder;
    struct RayFrame;
    void share_out_pairs();
    template <class Visit>
    void along(const RayFrame& ray, double t_low, double& t_high, Visit&& visit) const;
    template <class Body>
    void pairs_below(std::int32_t a, std::int32_t b, Body&& body) const;

    const TriangleMesh& mesh_;
    std::vector<Node> nodes_;
    std::vector<std::int32_t> order_;
    std::vector<std::pair<std::int32_t, std::int32_t>> pair_tasks_;
};

}  // namespace archwright
