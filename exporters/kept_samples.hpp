// Samples of a device in its record, and what a later version of the program makes of that device.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "engine/compare/samples.hpp"
#include "engine/design/job.hpp"

namespace archwright::exporters {

/// As a record keeps them: mm, to 1e-5.
nlohmann::ordered_json samples_json(const compare::Samples& samples);

/// The device as built now against the record of the same design (`stem`.record.json) in the folder: a
/// sentence where it lies more than compare::unannounced_mm from what was recorded. Nothing where there is no
/// such record, it is of another design, or it keeps no samples that can be read.
std::optional<std::string> changed_by_version(const std::filesystem::path& folder, const std::string& stem,
                                              const design::Job& job, const build::Device& device);

}  // namespace archwright::exporters
