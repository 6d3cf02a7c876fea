// The jobs of a batch: a folder of them, or a list.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::batch {

struct ListedJob {
    std::filesystem::path path;
    /// Names the job's record and log: its path from the folder (or list) with '/' as "+", unique in the list
    /// and the same for every process that reads the same list.
    std::string name;
};

/// Every job (a JSON file that says it is one) below a folder, by path; or the jobs a text file names, one a
/// line, relative to the file's folder, in its order ('#' begins a comment). Faults name the line: not there,
/// named twice, nothing at all, more than `most`.
Outcome<std::vector<ListedJob>> list_jobs(const std::filesystem::path& folder_or_list,
                                          std::size_t most = 1'000'000);

}  // namespace archwright::exporters::batch
