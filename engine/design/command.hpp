// Commands: everything a person can change is one line of text, shared by fields and keys of the editor, the
// command line, scripts, the labels of undo and the record of a session.
//
// A table names each command with its arguments, help, key and label; parser, printer, checks and
// docs/script.md come from it. The commands of jobs stand in command_table.cpp, what they do in
// command_apply.cpp; a program that adds commands of its own adds its own table.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::design {

/// One argument of a command.
struct Argument {
    enum class Kind {
        text,    ///< any text that is not empty: a parameter's name, a path
        value,   ///< any text, empty too
        code,    ///< of a person or a preset (TextKind::code)
        name,    ///< of a mark, a feature, a check (TextKind::name)
        words,   ///< plain words (TextKind::words)
        day,     ///< YYYY-MM-DD
        choice,  ///< one of `words`
        number,  ///< from `low` to `high`, with or without its unit
        whole,   ///< a whole number from `low` to `high`
        flag,    ///< yes or no
        place,   ///< X,Y,Z
        way,     ///< a direction: +x ... -z, or X,Y,Z
        json,    ///< a list or a group of keys as JSON
    };

    std::string name;
    Kind kind = Kind::text;
    std::string help;
    bool named = false;  ///< written name=value, in any place; else by its place among the words
    bool required = true;
    std::vector<std::string> words{};  ///< of a choice
    double low = 0, high = 0;          ///< of numbers
    std::string unit{};                ///< of a number
};

/// One command of a table.
struct CommandKind {
    std::string name;   ///< one word or two: "set", "landmark confirm"
    std::string help;   ///< what it does, one sentence
    std::string label;  ///< of the undo step, with arguments in { }: "Set {name} to {value}"
    std::vector<Argument> arguments{};
    bool of_foot = false;  ///< takes foot=left|right where a job has both
    std::string key{};     ///< default key of the editor, "" for none

    const Argument* find(std::string_view argument) const;
};
using CommandTable = std::vector<CommandKind>;

/// One command as given: values by the names of its arguments, in the table's order.
struct Command {
    std::string name;
    std::vector<std::pair<std::string, std::string>> arguments;

    /// Value of an argument; null when it was not given.
    const std::string* find(std::string_view argument) const;
    /// The same, empty when it was not given.
    std::string value(std::string_view argument) const;
    /// Gives an argument; its place follows when the command is checked.
    Command& with(std::string argument, std::string value);

    bool operator==(const Command&) const = default;
};

/// Reads one line. Fault (usage): no such command or argument (with the nearest), one too many, one that is
/// missing, a value that is no such thing; says what to write. A line without words gives a command without a
/// name.
Outcome<Command> parse(std::string_view line, const CommandTable& table);

/// As one line that parses to the same command. The command must have passed `check`.
std::string print(const Command& command, const CommandTable& table);

/// What `parse` checks of values, for a command made in memory; puts its arguments in the table's order.
Outcome<Command> check(Command command, const CommandTable& table);

/// Null when the table has no such command.
const CommandKind* find_kind(const CommandTable& table, std::string_view name);

/// The label of the undo step, values shortened for reading.
std::string label_of(const Command& command, const CommandTable& table);

/// How a command is written, for help: "landmark set NAME PLACE by=CODE [foot=left|right]".
std::string form_of(const CommandKind& kind);

/// "1,2,3" as a place; also "+z" or "-x" as a unit vector along an axis.
std::optional<Vec3> parse_place(std::string_view text);

/// Tables as a page of docs (docs/script.md holds it between two marks; the tests compare).
std::string command_reference(const CommandTable& table);

}  // namespace archwright::design
