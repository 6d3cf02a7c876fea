// The shell as one closed mesh.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::surface {

struct MeshSettings {
    double chord_mm = tolerance::chord_mm;  ///< greatest distance between a chord and the exact surface
};

/// A shell that is nothing but `top` above this one post, so that the post's border can be had by itself: its
/// trim is the post's own curve. Not for meshing.
Shell shell_over(const SplineSurface& top, const Post& post);

/// Meshes both sides over one set of (u,v) triangles and stitches the rims between their common boundaries,
/// and the posts' walls between the underside's inner edges and their floors: watertight and outward by
/// construction. Faults as check_loops, mesh_region and check_rim.
Outcome<ShellMesh> mesh_shell(const Shell& shell, const MeshSettings& settings = {});

/// One post alone as a closed mesh: its top (the part of the underside within its curve, as foot side), its
/// walls and its floor. `top` stands in for the shell's underside. Faults as check_post and mesh_region.
Outcome<ShellMesh> mesh_post(const SplineSurface& top, const Post& post, const MeshSettings& settings = {});

/// Moves the points onto a changed shell of the same trim line and loops, keeping the triangles: for previews
/// while a field is being edited (the chord tolerance is that of the shell it was meshed for).
void reevaluate(ShellMesh& mesh, const Shell& shell);

}  // namespace archwright::surface
