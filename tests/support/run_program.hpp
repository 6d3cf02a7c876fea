// The program itself, started as a technician starts it.
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <string>
#include <vector>

namespace archwright::tests {

std::string program_path();

struct Run {
    int code = -1;  ///< exit code; 256 and the signal when one ended it
    std::string out, error;
};

/// Runs `archwright` with these words in this folder, no standard input; `settings` go into its environment.
Run run(const std::filesystem::path& folder, const std::vector<std::string>& words,
        const std::vector<std::string>& settings = {});

/// The same without waiting for its end; output goes to stdout.txt and stderr.txt in the folder.
pid_t start(const std::filesystem::path& folder, const std::vector<std::string>& words,
            const std::vector<std::string>& settings = {});

/// What a shell command prints on standard output.
std::string shell(const std::string& command);

/// Bytes of a file; empty when there is none.
std::string content(const std::filesystem::path& path);

/// A left foot of 246 mm as PLY in inches, inside-out, lying on its side.
void put_cast(const std::filesystem::path& path);
/// The same as cast.ply of that folder, and case.json, a job of it with this code; side and unit stated.
void put_case(const std::filesystem::path& folder, const std::string& code);
/// `command case.json -o out` with these words ends with that exit code, says that on standard error and
/// leaves no folder `out`.
void check_refused(const std::filesystem::path& folder, const std::string& command,
                   const std::vector<std::string>& more, int code, const std::string& say);

}  // namespace archwright::tests
