// The cast in hand: read, cleaned, received.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/design/job.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/read.hpp"
#include "engine/scan/receive.hpp"

namespace archwright::build {

/// A cast file after reading and cleaning, before anything about it was stated.
struct CastFile {
    std::string name;    ///< file name without its folder
    std::string format;  ///< "STL binary", ...
    std::string sha256;
    std::optional<LengthUnit> declared_unit;
    std::size_t triangles_read = 0;
    scan::Cleaning cleaning;         ///< its mesh is the cast, file units and coordinates
    std::vector<std::string> notes;  ///< of reader and cleaning, sentences
};

/// Reads and cleans. Faults: those of scan::read_cast; cancelled.
Outcome<std::shared_ptr<const CastFile>> open_cast(const std::filesystem::path& path,
                                                   const scan::ReadLimits& limits, Progress& progress);

/// The same for the cast a job names; a file of another SHA-256 is another cast (FaultKind::check).
Outcome<std::shared_ptr<const CastFile>> open_cast_of(const design::CastRef& named,
                                                      const std::filesystem::path& path,
                                                      const scan::ReadLimits& limits, Progress& progress);

}  // namespace archwright::build
