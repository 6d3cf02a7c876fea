// The part of the cast that the carpet is laid over.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::surface {

struct PatchSettings {
    double beyond_distal_mm = 9.0;  ///< margin in front of the distal edge
    /// Up the wall. The line itself may stand 6 mm above its rule to be on wall; much more than this rings
    /// the ankle and wrecks the flattening.
    double above_rule_mm = 13.0;

    double tallest_mm = 45.0;  ///< never higher than this, the roof of a high arch included
    bool connected = true;     ///< only the part with the most sole; false: every piece within the margins
};

/// An orientable manifold piece of the cast with boundary, turned over so that its normals point towards the
/// foot (up on the sole).
struct Patch {
    TriangleMesh mesh;
    std::vector<int> origin;   ///< per point: index in the cast
    std::size_t left_out = 0;  ///< triangles dropped because more than two met at an edge, or apart
};

/// Floods the cast's surface from the sole under the midfoot, as far as the trim rule plus the margins.
/// `usable` has one flag a triangle, or is empty: all. Fault (stage "carpet", kind input) when there is no
/// sole under the midfoot.
Outcome<Patch> select_patch(const TriangleMesh& cast, const std::vector<char>& usable, const TrimRule& rule,
                            const PatchSettings& settings = {});

}  // namespace archwright::surface
