// Letters cut into, or raised from, the mesh of a shell's underside.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/lettering/place.hpp"

namespace archwright::lettering {

struct Cut {
    surface::ShellMesh mesh;          ///< as the shell's own, its underside meshed anew round the letters
    std::vector<std::int32_t> floor;  ///< points of the mesh on the letters' floors (raised: tops)
};

/// The underside is triangulated anew round the letters, with the borders of their flanks among its edges
/// (constrained Delaunay, CGAL), and what lies on a stroke's floor moved along the underside's normal: by
/// the depth inward, or outward when `raised`. Every other triangle stays as it is. The letters must have
/// room (room_at). Fault (stage "lettering"): a triangulation that fails, or a border that leaves the
/// triangles it was to be cut into.
Outcome<Cut> cut_letters(const surface::Shell& shell, const surface::ShellMesh& mesh, const Chart& chart,
                         const Layout& layout, const Style& style, bool raised);

}  // namespace archwright::lettering
