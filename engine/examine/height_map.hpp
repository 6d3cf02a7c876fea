// The cast's relief as a picture: heights over a stiff smooth surface, on a regular grid.
#pragma once

#include <cstddef>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::examine {

/// Heights of the cast over its stiff base surface, along the base's normals, at the nodes of a grid that
/// lies flat over the sole. Node (i, j) is at index i * nv + j; i runs heel to toes (+x), j lateral to
/// medial (+y). A height is positive away from the foot (a dent is negative). mm, design frame.
struct HeightMap {
    int nu = 0, nv = 0;
    double step_mm = 0.5;        ///< spacing of the nodes in the flat domain
    std::vector<char> valid;     ///< 1 where the cast was seen; pinholes of the scanner are filled
    std::vector<float> height;   ///< mm; 0 where not valid
    std::vector<Vec3> position;  ///< on the cast where valid, else on the base
    std::vector<Vec3> away;      ///< unit normal of the base, away from the foot

    std::size_t size() const { return static_cast<std::size_t>(nu) * static_cast<std::size_t>(nv); }
    std::size_t index(int i, int j) const { return static_cast<std::size_t>(i) * nv + j; }
    bool empty() const { return size() == 0; }
};

}  // namespace archwright::examine
