// An insole's outline out of a drawing: SVG or DXF, told by content.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/shoe/outline.hpp"

namespace archwright::shoe {

/// Most bytes of a drawing that are read.
inline constexpr std::size_t most_drawing_bytes = std::size_t{16} << 20U;

/// What a file holds.
struct Drawing {
    Outline outline;                 ///< mm, y up, as it is seen
    std::string format;              ///< "SVG" or "DXF"
    std::string unit;                ///< what a unit of the file is, in words
    std::string sha256;              ///< of the file's bytes
    std::vector<std::string> notes;  ///< what else the file holds and was left out, sentences
};

/// Faults (input) name the file, the line and what to do: no drawing, no unit, no closed outline, more than
/// one, one that crosses itself, more bytes or points than the limits.
Outcome<Drawing> read_drawing(const std::filesystem::path& path);
/// The same from memory; `name` stands for the file in messages.
Outcome<Drawing> read_drawing_bytes(std::span<const std::byte> bytes, const std::string& name);

}  // namespace archwright::shoe
