// What was made and why it may be trusted: for programs (JSON) and for people (text).
#pragma once

#include <string>
#include <vector>

#include "engine/build/device.hpp"

namespace archwright::exporters {

/// A file that was delivered.
struct DeliveredFile {
    std::string name;    ///< without its folder
    std::string format;  ///< "STL", "STEP AP242", "3MF"
    std::string sha256;
    std::size_t bytes = 0;
};

/// The report of one device. Holds no clock, path, timing or thread count: same job, same bytes.
std::string report_json(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files);
std::string report_text(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files);

/// What was received: the evidence for unit, side, axes, and what was found. `order`: what a job's order
/// tells beside it; none before there is a job.
std::string reception_json(const build::CastFile& cast, const build::Received& received,
                           const std::vector<Check>& order = {});
std::string reception_text(const build::CastFile& cast, const build::Received& received,
                           const std::vector<Check>& order = {});

}  // namespace archwright::exporters
