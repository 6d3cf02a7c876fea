// The jobs of a folder, and how far each is.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/design/job.hpp"

namespace archwright::exporters::worklist {

/// How far a foot's device is; docs/worklist.md has the rule. In order: a job is as far as the least of its
/// feet.
enum class State {
    received,   ///< the cast is there; nothing of its order was designed
    designing,  ///< something was
    waiting,    ///< a preview of the design as it is was written, and it is not approved
    approved,   ///< an approval of the design as it is holds
    made,       ///< a device record of the design as it is was written
};
inline constexpr State every_state[] = {State::received, State::designing, State::waiting, State::approved,
                                        State::made};
/// "received", "designing", "waiting", "approved", "made": for commands and programs.
const char* word(State state);
/// For people: "waiting for approval".
const char* title(State state);

/// What stands in a folder beside its jobs, by the design it is of.
struct Papers {
    std::map<std::string, bool> previews, records;  ///< by fingerprint
};

/// Reads it from the heads of "*.preview.html" and "*.record.json" below the folder, by no more than 4096
/// bytes of each; hidden folders, links to folders, what is no file and what says nothing are passed over.
/// Fault (cancelled) alone.
Outcome<Papers> papers_below(const std::filesystem::path& folder, Progress& progress);

/// How far one foot is.
State state_of(const design::Job& job, Side side, const Papers& papers);

struct WorkItem {
    std::filesystem::path path;
    std::string name;  ///< its path from the folder
    std::string case_code, revision, due, prescriber;
    State state = State::received;  ///< the least of its feet
    std::vector<std::pair<Side, State>> feet;
};

/// "left approved, right designing"; empty where all feet are as far as each other.
std::string feet_apart(const WorkItem& item);

struct Worklist {
    std::vector<WorkItem> items;                                  ///< by day due (none last), case, path
    std::vector<std::pair<std::string, std::string>> unreadable;  ///< path from the folder, and why, by path
    std::vector<std::string> not_taken;                           ///< as batch::JobList
};

/// Every job below the folder (batch::list_jobs). What cannot be read is named with its reason and stops
/// nothing; no cast is opened, nothing is written. The same for any number of threads. Faults: input (the
/// folder cannot be read), cancelled. A folder without jobs gives an empty list.
Outcome<Worklist> read_worklist(const std::filesystem::path& folder, Progress& progress);

}  // namespace archwright::exporters::worklist
