// A fixed number of area-weighted samples stands for a scan of any size.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::scan {

/// Points spread over a surface, each standing for the same area.
struct Samples {
    std::vector<Vec3> position;
    std::vector<Vec3> normal;  ///< unit, by the triangle's winding
    double area_each = 0.0;    ///< square of the mesh's unit

    std::size_t size() const { return position.size(); }
};

/// Takes `count` samples at equal steps of accumulated area in the order of the triangles (systematic
/// sampling), spread within a triangle that holds several. `usable` is empty or one byte a triangle; 0 is
/// left out. Deterministic; one pass over the triangles.
Samples take_samples(const TriangleMesh& mesh, std::size_t count,
                     const std::vector<std::uint8_t>& usable = {});

}  // namespace archwright::scan
