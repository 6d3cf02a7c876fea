// The flat base with its line of letters.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::mould {

/// A flat piece with letters let into it. Points [0, outline's size) are the outline's.
struct EngravedBase {
    std::vector<Vec2> points;
    std::vector<char> floor;          ///< one a point: it lies on a letter's floor
    std::vector<Triangle> triangles;  ///< counter-clockwise
    std::string text;                 ///< as it stands there; empty: it has no room
    double height_mm = 0.0, depth_mm = 0.0;
};

/// Triangles of a simple, counter-clockwise outline's inside, round the letters of a line (lettering's stroke
/// font) that runs along x and is read from +z, from -z when `mirrored`. Letters are as high as there is room
/// for, 10 mm at most; where the whole line has none at 5 mm, the first part alone. Fault (internal, stage
/// "mould"): the triangulation fails.
Outcome<EngravedBase> engrave_base(const std::vector<Vec2>& outline, const std::vector<std::string>& parts,
                                   bool mirrored);

}  // namespace archwright::mould
