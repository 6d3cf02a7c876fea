// Which layer of a cast scanned on both faces lay against the foot.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mesh/topology.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/receive_plan.hpp"

namespace archwright::scan {

/// One byte a triangle: 1 on the layer nearer to the foot. Rays along both normals find the other layer;
/// which of the two is nearer to the foot is told by the middle of the hollow at that station, so that
/// winding, and whether the layers are joined at the rim, do not matter. `plan` may hold samples of both
/// layers.
std::vector<std::uint8_t> inner_layer(const TriangleMesh& mesh, const Topology& topology, const Plan& plan,
                                      double mm_per_unit);

}  // namespace archwright::scan
