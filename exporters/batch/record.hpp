// What became of one job of a batch, on disk.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::batch {

/// Kept as DIR/.batch/NAME.record; it is what a batch resumes from and what its table is made of.
struct Record {
    std::string name;       ///< ListedJob::name
    std::string made_from;  ///< SHA-256 of the job's and its casts' bytes and of the words it was made with
    std::string version;    ///< of the program
    std::string outcome;    ///< "made", "failed", "timed out", "crashed"
    int exit_code = -1;
    std::string verdict;  ///< worst of its feet: "pass", "look"; empty when not made
    double seconds = 0.0, peak_mb = 0.0;
    std::string message;                       ///< why it failed, or what to look at; one line
    std::map<std::string, std::string> files;  ///< delivered: names in DIR, and the SHA-256 of each

    bool made() const { return outcome == "made"; }
};

Outcome<Done> write_record(const Record& record, const std::filesystem::path& path);
/// Nothing when there is none, or none that can be read (it is then made anew).
std::optional<Record> read_record(const std::filesystem::path& path);

}  // namespace archwright::exporters::batch
