// A mould for people and for programs: report, map of the sheet's thinning, files.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/mould/of_device.hpp"
#include "engine/picture/image.hpp"

namespace archwright::exporters {

/// Stands under every report of a mould.
extern const char* const forming_caution;

/// The name first, then figures and checks, two blanks in.
std::vector<std::string> mould_lines(const build::Device& device, const mould::DeviceMould& made);
/// Places of checks are in the design frame; the mould's own frame (base at z = 0, sole up) is that of its
/// files, mirrored for a left device.
nlohmann::ordered_json mould_json(const build::Device& device, const mould::DeviceMould& made);

/// The mould as its files have it: export frame of the device's side.
TriangleMesh mould_to_export(const mould::DeviceMould& made, Side side);

/// The estimated thickness of the formed sheet over the foot side, seen from the sole as the mould stands on
/// the table, with its legend. Fault (output): no font.
Outcome<picture::Image> thinning_map(const build::Device& device, const mould::DeviceMould& made);

}  // namespace archwright::exporters
