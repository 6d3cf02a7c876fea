// The commands of a session: those of jobs, and those that open, save, undo, export, select and show.
#pragma once

#include "engine/design/command.hpp"

namespace archwright::editor::model {

/// Commands of the session alone, in the order of docs/script.md.
const design::CommandTable& own_commands();
/// These and the commands of jobs.
const design::CommandTable& session_commands();

/// What can be set of the views, and the words for it; the first is what a session begins with.
struct ViewSetting {
    std::string name;
    std::vector<std::string> words;
    std::string help;
};
const std::vector<ViewSetting>& view_settings();

/// Keys of the stages, in order: "receive" ... "make".
const std::vector<std::string>& stages();

}  // namespace archwright::editor::model
