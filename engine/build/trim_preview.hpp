// One foot's shell while its trim line is edited, before the stages are done again.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// A shell along another trim line, coarser than the finished one.
struct TrimmedPreview {
    surface::Shell shell;
    surface::ShellMesh mesh;
};

/// The trim line of `foot`, which differs from the design `device` was shaped from in its trim line alone,
/// followed on the carpet that is there, and the shell inside it: both sides no finer than the carpet
/// (surface::UndersideSettings::halvings 0), triangles to preview_chord_mm. Apertures, posts and stuck-on
/// parts stay where they are. Checks are none of it. Faults: those of find_trim, roll_underside and
/// mesh_shell; where the line leaves the carpet the stages lay another.
Outcome<TrimmedPreview> preview_trim(const Device& device, const design::FootDesign& foot);

/// Greatest distance of its chords from its surfaces, mm: what a picture of the whole shell does not show.
inline constexpr double preview_chord_mm = 0.12;

}  // namespace archwright::build
