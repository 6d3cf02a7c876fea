#include "tests/outside/cgal_check.hpp"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>

#include <catch2/catch.hpp>
#include <iterator>
#include <vector>

namespace archwright::tests {

std::size_t cgal_self_intersections(const TriangleMesh& mesh) {
    using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
    using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
    Mesh copy;
    std::vector<Mesh::Vertex_index> points;
    for (const Vec3& p : mesh.points) points.push_back(copy.add_vertex({p.x(), p.y(), p.z()}));
    for (const Triangle& t : mesh.triangles) {
        const auto face =
            copy.add_face(points[static_cast<std::size_t>(t[0])], points[static_cast<std::size_t>(t[1])],
                          points[static_cast<std::size_t>(t[2])]);
        REQUIRE(face != Mesh::null_face());
    }
    std::vector<std::pair<Mesh::Face_index, Mesh::Face_index>> pairs;
    CGAL::Polygon_mesh_processing::self_intersections(copy, std::back_inserter(pairs));
    return pairs.size();
}

}  // namespace archwright::tests
