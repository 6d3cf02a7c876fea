// Binary STL, mm.
#pragma once

#include <filesystem>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::exporters {

/// Writes a closed mesh (export frame, mm) as binary STL: 80 bytes of header, then float32 facets. The text
/// is cut at 80 characters; non-ASCII becomes "_"; it must not begin with "solid" (readers take that for
/// ASCII). Points that coincide as floats are welded first (exporters/float_mesh.hpp), and what was written
/// is read back (facet count, box, volume, closedness) before it replaces the target.
Outcome<Done> write_stl(const TriangleMesh& export_frame_mesh, const std::string& header_text,
                        const std::filesystem::path& target);

}  // namespace archwright::exporters
