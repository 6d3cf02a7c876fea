// What is registered: a surface that stays, and samples of one that moves.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "engine/mesh/bvh.hpp"

namespace archwright::registration {

/// Points spread evenly over the area of a surface, with unit normals.
struct Samples {
    std::vector<Vec3> points, normals;

    /// Every so many of them, about `count`.
    Samples thinned(std::size_t count) const;
    /// Seen in the mirror of the plane y = 0, or made larger.
    Samples mirrored() const;
    Samples scaled(double factor) const;
    Vec3 centre() const;
};

/// About `count` samples of a mesh (at most one a triangle), the same for the same mesh; only where `wanted`
/// says so, when given.
Samples samples_of(const TriangleMesh& mesh, std::size_t count,
                   const std::function<bool(const Vec3& point, const Vec3& normal)>& wanted = {});

/// The surface that stays. Never changed; queries are safe from several threads at once.
class Fixed {
  public:
    explicit Fixed(TriangleMesh mesh);

    struct Foot {
        Vec3 point = Vec3::Zero(), normal = Vec3::Zero();  ///< of the points' normals, blended
        double distance = 0.0;
        std::int32_t triangle = -1;
        bool on_border = false;  ///< the surface ends there: what lies beyond has no counterpart
    };
    std::optional<Foot> nearest(const Vec3& p, double within) const;

    const TriangleMesh& mesh() const { return *mesh_; }
    const Bvh& tree() const { return *tree_; }
    const Samples& samples() const { return samples_; }  ///< of all of it

  private:
    std::unique_ptr<TriangleMesh> mesh_;  ///< the tree keeps a reference to it
    std::unique_ptr<Bvh> tree_;
    std::vector<Vec3> normals_;
    std::vector<char> border_;
    Samples samples_;
};

}  // namespace archwright::registration
