// A program run on the side, with limits.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::batch {

struct ChildLimits {
    double seconds = 600.0;     ///< of the clock; then it is ended
    std::size_t megabytes = 0;  ///< of address space; 0: unbounded
};

struct ChildEnd {
    int exit_code = -1;  ///< when it ended by itself
    int signal = 0;      ///< when a signal ended it
    bool timed_out = false, cancelled = false;
    double seconds = 0.0;
    double peak_mb = 0.0;  ///< resident
};

/// Runs `words` (words[0] is the program's path) with standard output and error written to two files, no
/// standard input. It ends with this process, whatever ends this one. `cancelled` is asked now and then; the
/// child is then interrupted, and killed when it does not end within five seconds. Fault (internal) when it
/// cannot be started.
Outcome<ChildEnd> run_child(const std::vector<std::string>& words, const std::filesystem::path& out,
                            const std::filesystem::path& error, const ChildLimits& limits,
                            const std::function<bool()>& cancelled);

/// The path of the program that runs now.
std::string this_program();

}  // namespace archwright::exporters::batch
