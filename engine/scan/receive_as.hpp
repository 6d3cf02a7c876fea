// Receiving with the side known: the mirror image of a foot is received as the mirror image.
#pragma once

#include "engine/scan/receive.hpp"

namespace archwright::scan {

/// receive() for a foot of this side: a left one is examined as the right foot that its mirror image is, and
/// what was found is mirrored back. So a foot and its mirror image stated with the other side give exactly
/// mirrored receptions, whatever the order of directions tried and samples taken.
Outcome<Reception> receive_as(Side side, const TriangleMesh& cleaned,
                              const std::optional<LengthUnit>& declared, const Stated& stated,
                              Progress* progress = nullptr);

}  // namespace archwright::scan
