// A proved device becomes files.
#pragma once

#include <filesystem>
#include <set>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/build/device.hpp"
#include "engine/solid/step_file.hpp"
#include "exporters/report.hpp"

namespace archwright::exporters {

enum class Format { stl, step, three_mf };

struct DeliverySetting {
    std::filesystem::path folder;  ///< made when absent
    std::set<Format> formats = {Format::stl, Format::step, Format::three_mf};
    solid::StepSchema step_schema = solid::StepSchema::ap242;
};

/// "LARK-2207-left-A": case, side and revision stand in every file name.
std::string file_stem(const build::Device& device);

/// Writes the asked formats and the report (JSON and text) of one device. A device with a stop that no valid
/// sign-off covers writes nothing: Fault (check) listing each stop with its place. Every file is written
/// whole or not at all and read back before it counts.
Outcome<std::vector<DeliveredFile>> deliver(const design::Job& job, const build::Device& device,
                                            const DeliverySetting& setting, Progress& progress);

}  // namespace archwright::exporters
