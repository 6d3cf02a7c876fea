// What is left of a closed mesh once its coordinates are rounded to float32.
#pragma once

#include <string>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::exporters {

/// The mesh as a float32 file holds it: every coordinate exactly a float, points that coincide welded,
/// triangles that collapsed dropped, triangles without area (three points in line) swapped away with their
/// neighbour across the longest edge. The result is closed, two triangles an edge, no two points equal,
/// no two triangles crossing (exact test). Fault "output" when the mesh given is not closed, holds a number
/// that is not finite, or is no longer so once rounded.
Outcome<TriangleMesh> as_floats(const TriangleMesh& mesh);

/// The mesh with points of equal coordinates made one (the first of them) and collapsed triangles dropped.
TriangleMesh weld_equal(TriangleMesh mesh);

/// Empty when every edge has two triangles that agree in winding; else what and where, in words.
std::string open_edge(const TriangleMesh& mesh);

}  // namespace archwright::exporters
