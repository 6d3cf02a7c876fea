// Proved devices become files, all together or not at all.
#pragma once

#include <filesystem>
#include <optional>
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
    bool flex = false;     ///< the virtual bench stands in the report
    bool replace = false;  ///< files of the same names may be of another design, and give way
    std::vector<std::filesystem::path> inputs;  ///< job and casts: never written over
};

/// The job and the files it names: what no delivery may write over.
std::vector<std::filesystem::path> inputs_of(const design::Job& job, const std::filesystem::path& path,
                                             bool allow_outside);

/// "LARK-2207-left-A": case, side and revision stand in every file name.
std::string file_stem(const build::Device& device);

/// The fault of a device with stops that no valid sign-off covers, each with its place; nothing when there is
/// none.
std::optional<Fault> stopped(const build::Device& device);

struct Delivered {
    std::vector<DeliveredFile> files;  ///< geometry, then report JSON and text
};

/// Writes the asked formats and the report (JSON and text) of every device. Everything is first written and
/// read back in a folder of its own beside the targets; only when all of it is sound does it move into place,
/// reports last, so that a report never stands beside files it does not tell of. Faults: a stop that no valid
/// sign-off covers (check, listing each with its place); files of that case, side and revision that are of
/// another design and `replace` is not set (output); a target that is one of `inputs` (usage).
Outcome<std::vector<Delivered>> deliver(const design::Job& job, const std::vector<build::Device>& devices,
                                        const DeliverySetting& setting, Progress& progress);

}  // namespace archwright::exporters
