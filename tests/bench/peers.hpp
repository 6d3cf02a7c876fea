// What else could make a shell or a mesh: other libraries, and the simplest way by hand, in the same run.
#pragma once

#include "engine/surface/shell.hpp"
#include "tests/bench/runner.hpp"

namespace archwright::bench {

/// Offsets of the carpet by a constant wall (OCCT's, along vertex normals, OpenVDB's at 0.5 mm) against ours:
/// time, and the wall measured by nearest distance; meshing of our solid by OCCT against ours.
void run_peers(const surface::Shell& shell, double wall_mm, std::vector<Figure>& figures);

}  // namespace archwright::bench
