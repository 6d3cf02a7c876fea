// Triangles as a graphics card takes them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::editor::view {

struct Skin {
    std::vector<float> points, normals;
    /// Of its triangles; one and the same object in skins of the same triangles, points moved. Never null.
    std::shared_ptr<const std::vector<std::uint32_t>> corners =
        std::make_shared<const std::vector<std::uint32_t>>();
    /// Of a coarser surface on some of the same points, about `most_moving` triangles, closed where the mesh
    /// is: for while something moves. Null where the mesh has no more itself. Shared as `corners`.
    std::shared_ptr<const std::vector<std::uint32_t>> coarse;
    std::size_t first_point = 0;  ///< of the mesh it was taken from
    std::size_t count() const { return points.size() / 3; }
    std::size_t triangles() const { return corners->size() / 3; }
    static constexpr std::size_t most_moving = 40'000;
};

/// Triangles [first, last) of a mesh, on the stretch of its points that they use.
std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh, std::size_t first, std::size_t last);
std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh);
/// The same for a mesh with the triangles of `before`, whose skin `like` is; that itself where none of its
/// points has moved. Only what has moved is worked out: the same to the last bit as without.
std::shared_ptr<const Skin> skin_of(const TriangleMesh& mesh, std::size_t first, std::size_t last,
                                    const TriangleMesh& before, const std::shared_ptr<const Skin>& like);

/// Whether a point of triangles [first, last), the same in both meshes, lies elsewhere.
bool any_moved(const TriangleMesh& before, const TriangleMesh& now, std::size_t first, std::size_t last);

}  // namespace archwright::editor::view
