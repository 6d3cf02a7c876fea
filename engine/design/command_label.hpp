// What a step of undo is called: a command on a job in the words of the trade.
#pragma once

#include <string>
#include <string_view>

#include "engine/design/command.hpp"

namespace archwright::design {

/// One entry of a list of the foot, and the thing the list belongs to: "features[fascia].stations" and "2"
/// is "Station 3 of fascia". `entry` is its name, or its place from 0 (a person counts from 1); empty: any.
std::string entry_words(std::string_view list, std::string_view entry);

/// The label of a command of `job_commands()` as its step is read: landmarks by their titles, entries by what
/// they are, figures with their units. `set` and `reset` keep the parameter's name and the value as given:
/// who shows them knows the table.
std::string step_label(const Command& command);

}  // namespace archwright::design
