// What was made and why it may be trusted: for programs (JSON) and for people (text).
#pragma once

#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/mark/ink_mark.hpp"
#include "exporters/flex_told.hpp"

namespace archwright::exporters {

/// A file that was delivered.
struct DeliveredFile {
    std::string name;    ///< without its folder
    std::string format;  ///< "STL", "STEP AP242", "3MF"
    std::string sha256;
    std::size_t bytes = 0;
};

/// The report of one device. Holds no clock, path, timing or thread count: same job, same bytes.
/// `bench`: on the virtual bench, where that was asked for.
std::string report_json(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files, const std::vector<FlexLoad>& bench = {});
std::string report_text(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files, const std::vector<FlexLoad>& bench = {});

/// What was received and what was found on it. Null `job`: before there is one.
struct CastReport {
    const build::Received& received;
    const build::Examined& examined;
    const std::vector<mark::InkMark>& ink;  ///< found drawn on the cast
    const design::Job* job = nullptr;
    Side side = Side::right;   ///< foot of the job
    std::vector<Check> order;  ///< what the job's order tells beside it
};
std::string cast_json(const CastReport& report);
std::string cast_text(const CastReport& report);

}  // namespace archwright::exporters
