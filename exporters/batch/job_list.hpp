// The jobs of a batch: a folder of them, or a list.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::batch {

struct ListedJob {
    std::filesystem::path path;
    /// Names the job's record and log: its path from the folder (or list) with '/' as "+" and odd bytes as
    /// %XX, at most 200 bytes; unique in the list and the same for every process that reads the same list.
    std::string name;
};

struct JobList {
    std::vector<ListedJob> jobs;
    /// JSON files of the folder that do not say they are jobs, and are no reports or records of ours: perhaps
    /// a job with a slip in its first line.
    std::vector<std::string> not_taken;
};

/// Every job below a folder, by path: each JSON file that says in its first 400 bytes that it is one, and
/// each empty or unreadable one, and each folder that cannot be read (jobs lost: they will fail and say so).
/// Or the jobs a text file names, one a line, relative to the file's folder, in its order ('#' at the
/// beginning or after a blank begins a comment). Faults name the lines: not there, named twice,
/// nothing at all, more than `most`.
Outcome<JobList> list_jobs(const std::filesystem::path& folder_or_list, std::size_t most = 1'000'000);

}  // namespace archwright::exporters::batch
