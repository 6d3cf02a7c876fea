// The constrained triangulation of the plane that this folder builds on; for .cpp files alone.
#pragma once

// The library checks its own promises in every build that keeps `assert`; ours are tested instead (2x
// slower).
#define CGAL_NO_ASSERTIONS
#define CGAL_NO_PRECONDITIONS
#define CGAL_NO_POSTCONDITIONS
#define CGAL_NO_WARNINGS
#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Triangulation_face_base_with_info_2.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>

#include <cstdint>

namespace archwright::surface {

using DelaunayKernel = CGAL::Exact_predicates_inexact_constructions_kernel;
/// Vertices carry the number of their point, faces where they lie.
using Delaunay = CGAL::Constrained_Delaunay_triangulation_2<
    DelaunayKernel,
    CGAL::Triangulation_data_structure_2<
        CGAL::Triangulation_vertex_base_with_info_2<std::int32_t, DelaunayKernel>,
        CGAL::Triangulation_face_base_with_info_2<
            int, DelaunayKernel, CGAL::Constrained_triangulation_face_base_2<DelaunayKernel>>>,
    CGAL::No_constraint_intersection_tag>;

}  // namespace archwright::surface
