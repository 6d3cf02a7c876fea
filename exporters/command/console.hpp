// What the commands say to a person or a program: progress, faults, exit codes.
#pragma once

#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"

namespace archwright::exporters::command {

/// Exit codes, documented in docs/commands.md.
enum class Exit : int {
    done = 0,
    internal = 1,
    usage = 2,       ///< the words of the command, or a key of the job
    input = 3,       ///< a file cannot be read or holds nonsense
    ask = 4,         ///< a person has to state something first
    check = 5,       ///< a check answered "stop"; nothing was written
    output = 6,      ///< a file could not be written
    elsewhere = 7,   ///< a batch: none failed, but another process still has some of its jobs
    cancelled = 130  ///< Ctrl-C
};

Exit exit_of(FaultKind kind);

/// The one console of a run. Progress goes to standard error: a bar on a terminal, plain lines otherwise,
/// nothing with `quiet`. With `json` results and faults are one JSON object on standard output.
class Console {
  public:
    Console(bool json, bool quiet);
    ~Console();
    Console(const Console&) = delete;
    Console& operator=(const Console&) = delete;

    bool json() const { return json_; }
    /// Progress whose reports are shown and which Ctrl-C cancels.
    Progress& progress() { return *progress_; }
    /// One line for a person; swallowed with --json.
    void say(const std::string& line);
    /// Standard output as it is (results).
    void print(const std::string& text);
    /// A result as JSON, indented by two; what is no UTF-8 in it is replaced.
    void print_json(const nlohmann::ordered_json& result);
    /// Tells the fault (text on standard error, or JSON on standard output) and gives its exit code.
    Exit fail(const Fault& fault);

  private:
    void show(std::string_view what, double fraction);
    void wipe();

    bool json_, quiet_, terminal_;
    std::string last_what_;
    int last_percent_ = -1;
    std::unique_ptr<Progress> progress_;
};

/// Ctrl-C, kill and hang-up cancel the work of `console` and leave no half file; a second Ctrl-C ends at
/// once.
void catch_signals(Console& console);

}  // namespace archwright::exporters::command
