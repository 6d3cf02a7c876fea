// PLY (Stanford Polygon File Format, G. Turk 1994): ASCII, little and big endian.
#pragma once

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

/// True when the bytes begin as a PLY does.
bool begins_as_ply(std::string_view bytes);
Outcome<Reading> read_ply(const Source& source);

}  // namespace archwright::scan
