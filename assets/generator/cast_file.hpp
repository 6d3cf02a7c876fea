// Casts as files: PLY, STL and OBJ as scanners write them.
#pragma once

#include <filesystem>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::generator {

enum class CastFormat { ply_binary, ply_big_endian, ply_ascii, stl_binary, stl_ascii, obj };

/// The whole file as bytes. Coordinates as float32 (binary) or the shortest decimal that reads back as the
/// same float32 (text). Colours go into PLY (uchar red green blue) and OBJ (v x y z r g b, 0..1). `title`
/// becomes the comment, the STL header, the object's name.
std::string encode(const TriangleMesh& mesh, CastFormat format, const std::string& title);

/// Format by extension: .ply .stl .obj (binary where there is a choice).
Outcome<CastFormat> format_of(const std::filesystem::path& path);

Outcome<Done> write_cast(const std::filesystem::path& path, const TriangleMesh& mesh, CastFormat format,
                         const std::string& title);

}  // namespace archwright::generator
