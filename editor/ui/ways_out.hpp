// Ways out of what stops the work, as commands.
#pragma once

#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/design/job.hpp"

namespace archwright::editor::ui {

struct WayOut {
    std::string words;    ///< of its button: "Depth 2.6 mm"
    std::string command;  ///< docs/script.md; without its foot
    /// It changes the design, so that what becomes of the shell can be shown before it is done.
    bool can_be_shown() const { return command != "undo" && !command.starts_with("state "); }
};

/// At most two, the least change first; none where only a person knows. `over` names the relief that lies
/// over the check's place, empty when none does. `by` is the code for what goes on record; without it nothing
/// is proposed that does. Values are chosen so that what was asked is just kept, within the ranges of the
/// parameter table.
std::vector<WayOut> ways_out(const Check& check, const design::FootDesign& foot, const build::Device* device,
                             const std::string& over);

/// Out of a fault that asks what the cast is (FaultKind::ask): the statements it wants.
std::vector<WayOut> ways_out(const Fault& fault, const design::FootDesign& foot, const std::string& by);

}  // namespace archwright::editor::ui
