// What the editor tells on standard output when it is asked to (--tell): for programs that work it by keys.
#pragma once

#include <string>

#include "editor/model/session.hpp"
#include "editor/ui/screen.hpp"

namespace archwright::editor::app {

/// One line, "is stage=trim step=2 of=3 saved=no idle=yes open=none field=none": the stage; how many steps
/// stand of how many; whether the job is saved; whether nothing is under way and the screen shows all of it;
/// what lies over the screen (list, files, question, none); the field that is typed in. Without a job
/// "stage=none".
std::string state_line(const model::Session& session, ui::Screen& screen);

/// The middle of a button of the first screen, as "at example 953 447", in pixels of the window; empty while
/// it is not there.
std::string place_line(const ui::Screen& screen, const std::string& button, double scale);

}  // namespace archwright::editor::app
