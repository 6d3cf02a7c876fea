// STL, binary and ASCII (3D Systems, StereoLithography Interface Specification, 1989).
#pragma once

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

/// Bytes a binary STL of this many triangles has.
inline constexpr std::size_t stl_header = 84;
inline constexpr std::size_t stl_triangle = 50;

/// True when the size is exactly what the count in a binary STL's header asks for.
bool is_exact_binary_stl(std::string_view bytes);
/// The count of a binary STL's header; 0 when there is none.
std::size_t binary_stl_count(std::string_view bytes);

Outcome<Reading> read_stl_binary(const Source& source);
Outcome<Reading> read_stl_ascii(const Source& source);

}  // namespace archwright::scan
