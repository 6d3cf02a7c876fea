// The feet nobody here made, beside the project (../shared/scans); their README is the truth.
#pragma once

#include <string>
#include <vector>

#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/base/vec.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

struct RealFoot {
    std::string file;
    Side side;
    LengthUnit unit;
    Vec3 up;
    Vec3 toes;  ///< roughly, where the README or the plan of the file tells it
};

/// The twelve with a sole.
const std::vector<RealFoot>& real_feet();
/// The one without.
const RealFoot& foot_without_sole();
/// Read and cleaned, file units. Empty where the folder is absent: say skipped.
TriangleMesh real_foot(const RealFoot& foot);

/// A proper rotation drawn evenly.
Mat3 random_rotation(std::uint64_t seed);

}  // namespace archwright::tests
