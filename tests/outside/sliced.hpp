// A printable file in prusa-slicer's hands: looked at and sliced.
#pragma once

#include <filesystem>
#include <string>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::tests {

/// What prusa-slicer has against a STL or 3MF file of this mesh: empty when it calls it manifold, with the
/// mesh's volume and one part, repairs nothing (by --info: its slicing mends an open mesh without a word),
/// and slices it with layers up to the mesh's height. Its messages are read, not its exit code.
std::string slicing_trouble(const std::filesystem::path& folder, const std::string& file,
                            const TriangleMesh& mesh);

}  // namespace archwright::tests
