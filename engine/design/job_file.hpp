// The job as a file: JSON, versioned, written whole or not at all.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "engine/base/outcome.hpp"
#include "engine/base/replace_file.hpp"
#include "engine/design/job.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

class Problems;

struct JobReading {
    bool allow_outside = false;  ///< files named by the job may lie outside its folder
    JsonLimits limits;
};

/// Reads a job of any version this program or an older one wrote. Every fault names the file, the key path
/// ("left.trim.cup_posterior_mm") and what to do; up to ten problems are listed, one a line. FaultKind::input
/// when the file or its JSON is unreadable, FaultKind::usage when a key or value is wrong.
/// `known`: takes what the file held, for save_job.
Outcome<Job> read_job(const std::filesystem::path& path, const JobReading& reading = {},
                      FileKnown* known = nullptr);

/// The same from text; `name` stands for the file in messages.
Outcome<Job> parse_job(std::string_view text, const std::string& name, const JobReading& reading = {});

/// The job as text: stable order, shortest numbers that read back the same, a trailing newline.
std::string write_job(const Job& job);

/// The same as a tree, with its format and version.
Json job_tree(const Job& job);

/// Every rule a job read from a file must obey, applied to one in memory.
Outcome<Done> check_job(const Job& job, const JobReading& reading = {});

/// What no single key of a foot shows: entries in order, names used once, statements with their code.
/// Problems begin with `path`.
void check_foot(const FootDesign& foot, const std::string& path, Problems& problems);

/// Checks, then writes atomically, and only over what is `known` to be there (engine/base/replace_file.hpp).
/// A fault leaves the file as it was.
Outcome<Done> save_job(const Job& job, const std::filesystem::path& path, const JobReading& reading = {},
                       const FileKnown& known = FileKnown::anything());

/// The full path of a file that the job at `job_path` names (cast, insole outline). Refuses absolute paths,
/// "..", and links that leave the job's folder, unless `allow_outside`. The file itself need not exist.
Outcome<std::filesystem::path> resolve(const std::filesystem::path& job_path, const std::string& named,
                                       bool allow_outside = false);

}  // namespace archwright::design
