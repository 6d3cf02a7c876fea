// Rigid and flexible bands from heel to toes, as stations of wall.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/command.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"

namespace archwright::design {

/// A bending rigidity relative to the base's, at one place along the device.
struct RigidityStation {
    double along = 0;
    double rigidity = 1;
};

/// What the command "wall bands" asks for. Three bands end at the thirds of the device, as the arch index
/// divides a footprint without its toes (P. R. Cavanagh and M. M. Rodgers 1987, J Biomech 20:547), and change
/// over `blend` of the length about them. Fault (usage): no band named, places that do not rise, values out
/// of range.
Outcome<std::vector<RigidityStation>> rigidity_bands(const Command& command);

/// Writes them as stations of wall in place of those there are: base cbrt(rigidity), to 0.001 mm, held within
/// the material's least and greatest wall (when it is known) and said so. What was done, in sentences. Fault
/// (usage): a wall that no job may have.
Outcome<std::vector<std::string>> lay_bands(const std::vector<RigidityStation>& bands,
                                            const Material* material, Wall& wall);

}  // namespace archwright::design
