// The commands that edit lists of a foot: marks, reliefs and pads, wall regions and stations, any other.
#pragma once

#include <string>

#include "engine/base/outcome.hpp"
#include "engine/design/command.hpp"
#include "engine/design/job.hpp"

namespace archwright::design {

/// Does one of them; the command has passed `check`. What was done, for a person. The foot may be half
/// changed on a fault: the caller works on a copy.
Outcome<std::string> edit_lists(const Command& command, FootDesign& foot);

}  // namespace archwright::design
