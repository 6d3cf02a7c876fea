// Commands as the screen says them.
#pragma once

#include <string>
#include <string_view>

namespace archwright::editor::ui {

/// A word of a command, in quotes with the escapes of JSON (docs/script.md).
std::string in_quotes(std::string_view text);
/// The command that opens a file: a job by its ending .json, else a cast for a new one.
std::string open_line(std::string_view file);

/// For reading: hyphens before figures are true minus signs.
std::string with_minus(std::string words);

}  // namespace archwright::editor::ui
