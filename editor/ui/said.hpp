// Commands as the screen says them.
#pragma once

#include <string>
#include <string_view>

#include "engine/base/vec.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

/// A word of a command, in quotes with the escapes of JSON (docs/script.md).
std::string in_quotes(std::string_view text);
/// The command that opens a file: a job by its ending .json, else a cast for a new one.
std::string open_line(std::string_view file);

/// For reading: hyphens before figures are true minus signs.
std::string with_minus(std::string words);

/// Whether a parameter is an inclination of a heel, a forefoot, a device: its sign is a word of the trade.
bool inclination(const design::Parameter& parameter);

/// A list of a job in brief: "3 points", "2 stations"; `name` as the parameter table has it.
std::string list_in_words(const std::string& name, const std::string& value);

/// A value of a parameter for reading: "3.8 mm", "2.0\u00b0 everted", "as it stands".
std::string value_in_words(const design::Parameter& parameter, const std::string& value);

/// A place of the plan: "41 forward, 7 medial", as the engine's sentences say places.
std::string place_in_words(const Vec3& place);

/// A sentence of the engine, which names keys for whoever types them, with the words of the rows instead:
/// "lettering.depth_mm" is "lettering depth".
std::string without_keys(const std::string& sentence);

/// A command as its step will be called: "Wall base 3.8 mm". The line itself where it is none of a job's.
std::string command_in_words(const std::string& line);

/// What a command that was done came to, for the status line: "Wall base 3.8 mm."; of one that is proposed,
/// "Proposed, not done: Wall base 3.8 mm.". Empty: the command's own answer says it.
std::string said_in_words(const std::string& line);

}  // namespace archwright::editor::ui
