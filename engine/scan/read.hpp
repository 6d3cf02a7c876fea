// A cast file becomes one indexed triangle mesh, or a message that says what is wrong with it.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::scan {

/// What a reader accepts before it gives up; every one can be raised by the caller.
struct ReadLimits {
    std::size_t triangles = 20'000'000;  ///< some 40 times the finest foot scan in daily use
    std::size_t bytes = 4ull << 30;      ///< of the file, and of what a 3MF unpacks to
    std::size_t depth = 16;              ///< objects within objects of a 3MF
    std::size_t instances = 10'000;      ///< placed objects of a 3MF
};

/// Coordinates beyond this magnitude are refused: a foot in micrometres stays below 1e6.
inline constexpr double coordinate_limit = 1e9;

/// A cast as its file tells it. Points of identical coordinates are one point (the first one's colour is
/// kept); points no triangle uses are dropped; triangles are all there, in the file's order.
struct Reading {
    TriangleMesh mesh;                        ///< in the file's unit; never empty
    std::string format;                       ///< "STL binary", "STL ASCII", "PLY ASCII", "OBJ", "3MF", ...
    std::optional<LengthUnit> declared_unit;  ///< of 3MF; the other formats tell none
    std::string sha256;                       ///< of the file's bytes
    std::vector<std::string> notes;           ///< what a person should know, sentences
};

/// Reads STL (binary and ASCII), PLY (ASCII, little and big endian; vertex colours), OBJ (polygons, vertex
/// colours, several objects) or 3MF (several objects, components, unit). The content decides the format, then
/// the name. Polygons are cut into fans. Faults: FaultKind::input naming file, line or byte, and what to do;
/// FaultKind::cancelled. Memory is bounded by the bytes present, never by a count the file states.
Outcome<Reading> read_cast(const std::filesystem::path& path, const ReadLimits& limits = {},
                           Progress* progress = nullptr);

/// The same for bytes already in memory; `name` stands in messages and decides where the content does not.
Outcome<Reading> read_cast_bytes(std::span<const std::byte> bytes, const std::string& name,
                                 const ReadLimits& limits = {}, Progress* progress = nullptr);

}  // namespace archwright::scan
