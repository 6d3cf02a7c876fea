// The words of a command line, and the rules of quoting (docs/script.md).
//
// Words stand apart by blanks. A word holds anything but blanks and control characters; a part in double
// quotes may hold those too, with the escapes of JSON (\" \\ \n \t \u00e9). A value that begins with [ or {
// is JSON and runs to its closing bracket, blanks and quotes included. A word that begins with # begins a
// comment. `name=value` is a named argument as long as the name is not in quotes.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::design {

/// Most bytes of one command: a curve of 2,000 points takes some 120 KB.
inline constexpr std::size_t longest_command = 1'000'000;

struct CommandWord {
    std::string text;           ///< unquoted
    std::size_t name_size = 0;  ///< of the name before the first bare "="; 0: no such
    std::string name() const { return text.substr(0, name_size); }
    std::string value() const { return name_size == 0 ? text : text.substr(name_size + 1); }

    bool operator==(const CommandWord&) const = default;
};

/// The words of one line. Fault (usage) names the column and what to write instead.
Outcome<std::vector<CommandWord>> command_words(std::string_view line);

/// The text as one word that reads back as it is, and never as a named argument or a comment; in quotes where
/// it must be.
std::string as_word(std::string_view text);
/// `name=value` as one word.
std::string as_named(std::string_view name, std::string_view value);

}  // namespace archwright::design
