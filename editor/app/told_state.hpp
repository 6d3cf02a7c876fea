// What the editor tells on standard output when it is asked to (--tell): for programs that work it by keys.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "editor/model/session.hpp"
#include "editor/ui/screen.hpp"

namespace archwright::editor::app {

/// One line, "is stage=trim step=2 of=3 saved=no idle=yes open=none field=none tool=none": the stage; how
/// many steps stand of how many; whether the job is saved; whether nothing is under way and the screen shows
/// all of it; what lies over the screen (list, files, question, none); the field that is typed in; what the
/// mouse has in hand (measure, section, brush). Without a job
/// "stage=none".
std::string state_line(const model::Session& session, ui::Screen& screen);

/// Where the things of the screen are, as they come, move and go.
class ToldPlaces {
  public:
    /// What changed since the last time, a line each: "at example 953 447", the middle of a button, a box, a
    /// row, a handle in pixels of the window, and "gone example" where it is not there any more.
    std::vector<std::string> news(const ui::Screen& screen, double scale);

  private:
    std::map<std::string, std::string> told_;
};

}  // namespace archwright::editor::app
