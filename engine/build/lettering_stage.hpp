// Letters on the underside of one device (docs/lettering.md).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"
#include "engine/foot/rest.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::build {

/// The letters of one device, as they were made and measured.
struct Lettered {
    std::vector<std::string> lines;          ///< as they stand on the underside
    std::optional<surface::ShellMesh> mesh;  ///< the shell's with the letters; none where they have no place
    Vec3 place = Vec3::Zero();               ///< middle of the text on the underside, design frame, mm
    bool found = false;                      ///< the program chose the place, or part of it
    Vec2 size = Vec2::Zero();                ///< along and across the lines, mm
    double clearance_mm = 0.0;               ///< to the nearest edge
    /// Measured on the mesh: nearest distance from the letters' floors (raised: tops) to the plain underside.
    double least_depth_mm = 0.0, most_depth_mm = 0.0;
    double least_wall_mm = 0.0;  ///< nearest distance from those floors to the foot side
    Vec3 least_wall_where = Vec3::Zero();
    double volume_mm3 = 0.0;  ///< of the letters, between them and the plain underside
    std::vector<Check> checks;
};

/// What the order asks to be written, in parts that are kept whole: the case code in capitals; then side,
/// revision and text.
std::vector<std::string> letter_words(const design::Job& job, Side side);

/// Places, makes and measures the letters. `around` is the shell with the posts that are stuck on as posts of
/// its own: no letter stands under one. `ground` is what the plain device rests on; raised letters that reach
/// below it are a look. In one line; in a line for each word where one line finds no room.
/// Letters without a place are a check that stops, not a fault. Faults: those of lettering::cut_letters.
Outcome<Lettered> letter_stage(const surface::Shell& around, const surface::ShellMesh& mesh,
                               const std::optional<foot::Rest>& ground, const design::Material& material,
                               const design::Lettering& asked, const std::vector<std::string>& words,
                               Side side, Progress& progress);

}  // namespace archwright::build
