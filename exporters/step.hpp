// STEP AP242 or AP214, mm, curved faces.
#pragma once

#include <filesystem>

#include "engine/base/outcome.hpp"
#include "engine/solid/step_file.hpp"

namespace archwright::exporters {

/// Writes the solid (export frame) whole or not at all, after reading it back: one closed solid, valid, unit
/// mm, the product's name, and the volume and box the solid itself has (tolerance::step_volume_relative,
/// tolerance::edge_mm). `report` is examine(solid).
Outcome<Done> write_step(const solid::Solid& export_frame_solid, const solid::SolidReport& report,
                         const solid::StepWords& words, const std::filesystem::path& target,
                         solid::StepSchema schema = solid::StepSchema::ap242);

}  // namespace archwright::exporters
