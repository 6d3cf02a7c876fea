// A scan made fit for work: nothing degenerate, nothing twice, no debris, one winding.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::scan {

/// What clean() did, and what is left.
struct Cleaning {
    TriangleMesh mesh;                   ///< same unit as given; colours kept
    std::size_t degenerate_removed = 0;  ///< triangles of no area
    std::size_t duplicate_removed = 0;   ///< triangles on the same three points as an earlier one
    std::size_t stray_removed = 0;       ///< triangles with a corner far off everything else
    std::size_t debris_parts = 0;        ///< loose parts removed
    std::size_t debris_triangles = 0;    ///< triangles of these
    double debris_area_share = 0.0;      ///< their part of the whole area, 0..1
    std::size_t kept_parts = 0;          ///< parts that stay
    std::size_t non_manifold_edges = 0;  ///< left in `mesh`: edges of more than two triangles
    std::size_t flipped_to_agree = 0;    ///< triangles turned over so that winding agrees
    bool cancelled = false;              ///< ended early through `progress`; `mesh` is then empty
    std::vector<std::string> notes;      ///< sentences for a person, one a finding
};

/// Removes triangles of no area (area below tolerance::degenerate of the longest edge squared) and
/// duplicates, triangles with a corner further than tolerance::stray_reach sizes of the cast outside the box
/// of all but a hundredth of its points at either end, drops parts whose area is below
/// tolerance::debris_area_share of the largest part's, makes winding agree within each part (inside-out is
/// judged elsewhere) and drops unused points. Holes are left as they are.
Cleaning clean(const TriangleMesh& mesh, Progress* progress = nullptr);

/// Evidence that a cast was scanned on both of its faces.
struct DoubleWall {
    double share = 0.0;  ///< of the area that has a second layer close by, 0..1
    double gap = 0.0;    ///< median distance between the layers, mm
};

/// Looks for a second surface parallel to the first, 0.3 to 8 mm away, over a large share of the area: a
/// plaster negative scanned inside and outside, whether the two layers are joined at the rim or not and
/// whichever way they face. Thin toes, webs between toes and rims are a small share and do not count.
/// The mesh in mm, cleaned. Nothing when there is no such wall. Which layer lay against the foot is told
/// later, by inner_layer() (receive_layers.hpp), when it is known where the hollow is.
std::optional<DoubleWall> find_double_wall(const TriangleMesh& mm_mesh);

}  // namespace archwright::scan
