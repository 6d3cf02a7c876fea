#include "engine/design/command.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/command_text.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

namespace {

constexpr std::size_t longest_in_label = 40;

Fault wrong_command(std::string message) {
    return Fault{FaultKind::usage, "command", std::move(message), {}};
}

std::string listed(const std::vector<std::string>& words) {
    std::string all;
    for (const std::string& word : words) all += (all.empty() ? "" : ", ") + word;
    return all;
}

std::string meant(std::string_view word, const std::vector<std::string>& known) {
    const std::string near = nearest_word(word.substr(0, longest_name), known);
    return near.empty() ? std::string() : "; did you mean \"" + near + "\"?";
}

/// The foot is an argument like any other of a command that works on one.
const Argument& foot_argument() {
    static const Argument foot{.name = "foot",
                               .kind = Argument::Kind::choice,
                               .help = "which foot, where the job has both",
                               .named = true,
                               .required = false,
                               .words = {"left", "right"}};
    return foot;
}

std::vector<const Argument*> arguments_of(const CommandKind& kind) {
    std::vector<const Argument*> all;
    for (const Argument& argument : kind.arguments) all.push_back(&argument);
    if (kind.of_foot) all.push_back(&foot_argument());
    return all;
}

std::string_view figure_of(const Argument& argument, std::string_view text) {
    if (!argument.unit.empty() && text.ends_with(argument.unit)) text.remove_suffix(argument.unit.size());
    while (text.ends_with(' ')) text.remove_suffix(1);
    return text;
}

/// Why the value is none of this kind, to follow the argument's name; empty when it is one.
std::string trouble(const Argument& argument, const std::string& text) {
    using Kind = Argument::Kind;
    const std::string shown = in_quotes(text);
    const auto of_kind = [&](TextKind kind) {
        const std::string why = text_trouble(text, kind);
        return why.empty() ? why : shown + ": " + why;
    };
    if (text.find('\0') != std::string::npos) return "holds a character with the number 0: leave it out";
    switch (argument.kind) {
        case Kind::value:
            return {};
        case Kind::text:
            return text.empty() ? "is empty: write " + argument.help : std::string();
        case Kind::code:
            return of_kind(TextKind::code);
        case Kind::name:
            return of_kind(TextKind::name);
        case Kind::words:
            return of_kind(TextKind::words);
        case Kind::day:
            return of_kind(TextKind::date);
        case Kind::choice:
            if (std::find(argument.words.begin(), argument.words.end(), text) != argument.words.end())
                return {};
            return shown + " is none of " + listed(argument.words) + meant(text, argument.words);
        case Kind::flag:
            return text == "yes" || text == "no" ? std::string() : shown + " is neither yes nor no";
        case Kind::number:
        case Kind::whole: {
            const auto number = parse_number(figure_of(argument, text));
            const bool whole = argument.kind == Kind::whole;
            if (number && *number >= argument.low && *number <= argument.high &&
                (!whole || *number == std::floor(*number)))
                return {};
            return shown + " is no " + (whole ? "whole " : "") + "number from " + exact(argument.low) +
                   " to " + exact(argument.high) + (argument.unit.empty() ? "" : " " + argument.unit);
        }
        case Kind::place:
            return parse_place(text) ? std::string() : shown + " is no place: write X,Y,Z";
        case Kind::way: {
            const auto way = parse_place(text);
            return way && way->norm() > 0 ? std::string() : shown + " is no direction: write +z, or 0,0,1";
        }
        case Kind::json: {
            const auto json = parse_json(text, argument.name);
            if (!json) return "is no JSON: " + json.fault().message;
            return json->kind == Json::Kind::list || json->kind == Json::Kind::object
                       ? std::string()
                       : shown + " is " + kind_word(*json) + ": write a list in [ ] or keys in { }";
        }
    }
    return {};
}

std::string word_of(const Argument& argument) {
    using Kind = Argument::Kind;
    switch (argument.kind) {
        case Kind::choice:
            return [&] {
                std::string all;
                for (const std::string& word : argument.words) all += (all.empty() ? "" : "|") + word;
                return all;
            }();
        case Kind::flag:
            return "yes|no";
        case Kind::code:
            return "CODE";
        case Kind::words:
            return "TEXT";
        case Kind::day:
            return "YYYY-MM-DD";
        case Kind::place:
            return "X,Y,Z";
        case Kind::way:
            return "DIRECTION";
        case Kind::json:
            if (argument.named) return "JSON";
            break;
        case Kind::number:
        case Kind::whole:
            if (argument.named) return "N";
            break;
        case Kind::text:
        case Kind::value:
        case Kind::name:
            break;
    }
    std::string upper;
    for (const char c : argument.name)
        upper += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c == '_' ? '-' : c;
    return upper;
}

/// The row a line begins with, and how many words its name takes.
std::pair<const CommandKind*, std::size_t> kind_and_words(const std::vector<CommandWord>& words,
                                                          const CommandTable& table) {
    if (words.size() > 1)
        if (const CommandKind* kind = find_kind(table, words[0].text + " " + words[1].text)) return {kind, 2};
    return {find_kind(table, words[0].text), 1};
}

Fault unknown(const std::vector<CommandWord>& words, const CommandTable& table) {
    std::vector<std::string> names, group;
    for (const CommandKind& kind : table) {
        names.push_back(kind.name);
        if (kind.name.starts_with(words[0].text + " ")) group.push_back(kind.name);
    }
    const std::string two = words[0].text + (words.size() > 1 ? " " + words[1].text : "");
    if (!group.empty()) return wrong_command(in_quotes(two) + " is no command: write " + listed(group));
    std::string near = meant(words[0].text, names);
    if (near.empty()) near = meant(two, names);
    return wrong_command(in_quotes(words[0].text) + " is no command" + near);
}

/// A figure with its unit, a choice in words.
std::string value_in_label(const Command& command, const Argument* argument) {
    if (argument == nullptr) return {};
    std::string text = command.value(argument->name);
    if (argument->kind == Argument::Kind::choice) std::replace(text.begin(), text.end(), '_', ' ');
    if (argument->kind == Argument::Kind::number && !argument->unit.empty() && parse_number(text))
        text += " " + argument->unit;
    return text;
}

}  // namespace

const Argument* CommandKind::find(std::string_view argument) const {
    for (const Argument* each : arguments_of(*this))
        if (each->name == argument) return each;
    return nullptr;
}

const std::string* Command::find(std::string_view argument) const {
    for (const auto& [key, text] : arguments)
        if (key == argument) return &text;
    return nullptr;
}
std::string Command::value(std::string_view argument) const {
    const std::string* found = find(argument);
    return found ? *found : std::string();
}
Command& Command::with(std::string argument, std::string text) {
    arguments.emplace_back(std::move(argument), std::move(text));
    return *this;
}

const CommandKind* find_kind(const CommandTable& table, std::string_view name) {
    const auto found =
        std::find_if(table.begin(), table.end(), [&](const CommandKind& kind) { return kind.name == name; });
    return found == table.end() ? nullptr : &*found;
}

Outcome<Command> check(Command command, const CommandTable& table) {
    const CommandKind* kind = find_kind(table, command.name);
    if (!kind) return unknown({CommandWord{command.name, 0}}, table);
    Command checked{command.name, {}};
    for (const Argument* argument : arguments_of(*kind)) {
        const std::string* text = command.find(argument->name);
        if (!text) {
            if (argument->required)
                return wrong_command(kind->name + ": " + argument->name + " is missing (" + argument->help +
                                     "); write " + form_of(*kind));
            continue;
        }
        if (const std::string why = trouble(*argument, *text); !why.empty())
            return wrong_command(kind->name + ": " + argument->name + " " + why);
        checked.arguments.emplace_back(argument->name, *text);
    }
    std::size_t known = 0;
    for (const auto& [name, text] : command.arguments) known += kind->find(name) ? 1 : 0;
    if (known != command.arguments.size() || known != checked.arguments.size())
        return wrong_command(kind->name + ": an argument it does not have, or one given twice; write " +
                             form_of(*kind));
    return checked;
}

Outcome<Command> parse(std::string_view line, const CommandTable& table) {
    const auto words = command_words(line);
    if (!words) return words.fault();
    if (words->empty()) return Command{};
    const auto [kind, taken] = kind_and_words(*words, table);
    if (!kind) return unknown(*words, table);
    Command command{kind->name, {}};
    std::vector<std::string> names;
    std::vector<const Argument*> in_place;
    for (const Argument* argument : arguments_of(*kind)) {
        if (argument->named)
            names.push_back(argument->name);
        else
            in_place.push_back(argument);
    }
    std::size_t next = 0;
    for (std::size_t i = taken; i < words->size(); ++i) {
        const CommandWord& word = (*words)[i];
        if (std::find(names.begin(), names.end(), word.name()) != names.end()) {
            if (command.find(word.name()))
                return wrong_command(kind->name + ": " + word.name() + "= is given twice");
            command.with(word.name(), word.value());
        } else if (next < in_place.size()) {
            command.with(in_place[next++]->name, word.text);
        } else {
            return wrong_command(
                kind->name + ": " + in_quotes(word.text) + " is one word too many" +
                (word.name_size > 0 ? meant(word.name(), names) : " (words with blanks stand in quotes)") +
                "; write " + form_of(*kind));
        }
    }
    return check(std::move(command), table);
}

std::string print(const Command& command, const CommandTable& table) {
    std::string line = command.name;
    const CommandKind* kind = find_kind(table, command.name);
    if (!kind) return line;
    for (const auto& [name, text] : command.arguments) {
        const Argument* argument = kind->find(name);
        line += " " + (argument && argument->named ? as_named(name, text) : as_word(text));
    }
    return line;
}

std::string label_of(const Command& command, const CommandTable& table) {
    const CommandKind* kind = find_kind(table, command.name);
    if (!kind) return command.name;
    std::string label;
    for (std::string_view rest = kind->label; !rest.empty();) {
        const std::size_t open = rest.find('{'), close = rest.find('}', std::min(open, rest.size()));
        label += rest.substr(0, open);
        if (close == std::string_view::npos) break;
        const std::string text = value_in_label(command, kind->find(rest.substr(open + 1, close - open - 1)));
        const std::string quoted = in_quotes(text, longest_in_label);  // whole characters, no controls
        label += quoted.substr(1, quoted.size() - 2);
        rest.remove_prefix(close + 1);
    }
    while (label.ends_with(' ')) label.pop_back();
    return label;
}

std::string form_of(const CommandKind& kind) {
    std::string form = kind.name;
    for (const Argument* argument : arguments_of(kind)) {
        const std::string word = (argument->named ? argument->name + "=" : "") + word_of(*argument);
        form += argument->required ? " " + word : " [" + word + "]";
    }
    return form;
}

std::optional<Vec3> parse_place(std::string_view text) {
    if (text.size() == 2 && (text[0] == '+' || text[0] == '-') && text[1] >= 'x' && text[1] <= 'z')
        return Vec3(Vec3::Unit(text[1] - 'x') * (text[0] == '+' ? 1.0 : -1.0));
    Vec3 p;
    std::size_t from = 0;
    for (int k = 0; k < 3; ++k) {
        const std::size_t to = k < 2 ? text.find(',', from) : text.size();
        if (to == std::string_view::npos) return std::nullopt;
        const auto number = parse_number(text.substr(from, to - from));
        if (!number) return std::nullopt;
        p[k] = *number;
        from = to + 1;
    }
    return p;
}

std::string command_reference(const CommandTable& table) {
    const auto cell = [](std::string text) {  // a bar would end the cell
        for (std::size_t at = 0; (at = text.find('|', at)) != std::string::npos; at += 2)
            text.insert(at, "\\");
        return text;
    };
    std::string page = "| command | what it does | key |\n|---|---|---|\n";
    for (const CommandKind& kind : table) {
        page += "| `" + cell(form_of(kind)) + "` | " + cell(kind.help);
        for (const Argument& argument : kind.arguments) {
            page += "; `" + argument.name + "`: " + cell(argument.help);
            if (argument.kind == Argument::Kind::number || argument.kind == Argument::Kind::whole)
                page += " (" + exact(argument.low) + " to " + exact(argument.high) +
                        (argument.unit.empty() ? "" : " " + argument.unit) + ")";
        }
        page += " | " + kind.key + " |\n";
    }
    return page;
}

}  // namespace archwright::design
