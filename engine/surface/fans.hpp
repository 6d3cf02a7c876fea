// Points where several fans of triangles meet.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mesh/topology.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::surface {

/// Number of points whose triangles form more than one fan, and, when `split` is set, the mesh with each
/// further fan given a point of its own (`origin` grows with the points: whose copy each is). Only neighbours
/// that agree in winding count.
struct Fans {
    std::vector<char> pinched;  ///< per point (of the mesh as it came)
    std::size_t count = 0;
};
Fans find_pinched(const TriangleMesh& mesh, const Topology& topology);
/// Splits them; returns for every added point the point it copies.
std::vector<std::int32_t> split_pinched(TriangleMesh& mesh, const Topology& topology);

/// Drops triangles at edges where more than two meet or two disagree in winding, and what names a point
/// twice, until none is left. Keeps `topology` true. Returns the number dropped.
std::size_t drop_disputed(TriangleMesh& mesh, Topology& topology);

/// The triangles flagged, with the points they use; `origin` is carried along (one entry a point).
TriangleMesh keep_triangles(const TriangleMesh& mesh, const std::vector<char>& keep,
                            std::vector<std::int32_t>& origin);

}  // namespace archwright::surface
