#include "editor/ui/said.hpp"

#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"
#include "engine/design/command_label.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/json.hpp"
#include "engine/design/parameter_path.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + "\"";
}

std::string open_line(std::string_view file) {
    const std::string end = lower(file.size() > 5 ? file.substr(file.size() - 5) : file);
    return (end == ".json" ? "open " : "new ") + in_quotes(file);
}

std::string with_minus(std::string words) {
    for (std::size_t at = 0; (at = words.find('-', at)) != std::string::npos; at += 3)
        if (at + 1 < words.size() && words[at + 1] >= '0' && words[at + 1] <= '9')
            words.replace(at, 1, "\u2212");
    return words;
}

bool inclination(const design::Parameter& p) {
    return (p.unit == "degrees" || p.unit == "deg") &&
           (p.help.find("inverted") != std::string::npos || p.help.find("inclination") != std::string::npos);
}

std::pair<std::string, std::string> step_words(const std::string& label) {
    const std::size_t blank = label.find(' ');
    std::string path = label.substr(0, blank);
    if (path.find('.') == std::string::npos && blank == std::string::npos) return {label, {}};
    for (const char* side : {"left.", "right."})
        if (path.starts_with(side)) path.erase(0, std::string(side).size());
    // the name in the table: "features[fascia].depth_mm" is "features[].depth_mm"
    const auto steps = design::parameter_path(path);
    const std::string name = steps ? design::table_name(*steps) : path;
    std::string value = blank == std::string::npos ? std::string() : label.substr(blank + 1);
    const bool list = value.starts_with("[[") || value.starts_with("[{") || value == "[]";
    const design::Parameter* parameter = nullptr;
    for (const auto* table : {&design::foot_parameters(), &design::case_parameters()})
        for (const design::Parameter& p : *table)
            if (p.name == name) parameter = &p;
    const bool back = value == "to its default";
    if (parameter == nullptr && !(steps && steps->size() > 1 && (list || back || value.empty()))) {
        // what a command was not given leaves two blanks
        std::string words = label;
        for (std::size_t at; (at = words.find("  ")) != std::string::npos;) words.erase(at, 1);
        return {words, {}};
    }

    std::string what = label_of(name), of;
    const auto lower_first = [&] {
        if (!what.empty() && what[0] >= 'A' && what[0] <= 'Z')
            what[0] = static_cast<char>(what[0] + 'a' - 'A');
    };
    // an entry without a name by what it is: "Station 3 of fascia, width"; else by its name: "fascia depth"
    std::string list_of;
    for (std::size_t k = 0; steps && k < steps->size(); ++k) {
        const design::PathStep& step = (*steps)[k];
        list_of += (list_of.empty() ? "" : ".") + step.key;
        if (!step.entry) continue;
        const bool placed = parse_number(*step.entry).has_value();
        of = placed ? design::entry_words(list_of, *step.entry) + "," : *step.entry;
        list_of += "[" + *step.entry + "]";
    }
    if (!of.empty() && name.ends_with("]")) {
        what = of.ends_with(',') ? of.substr(0, of.size() - 1) : of;
    } else if (of.ends_with(',') && what == "Wall") {
        what = of.substr(0, of.size() - 1);  // a station of the wall is its wall
    } else if (!of.empty()) {
        lower_first();
        what = of + " " + what;
    } else if (what.find(' ') == std::string::npos && name.find('.') != std::string::npos) {
        // one word alone does not say where: "Rearfoot height"
        lower_first();
        what = label_of(name.substr(0, name.rfind('.'))) + " " + what;
    }
    if (list) return {what, list_in_words(name, value)};
    if (back || parameter == nullptr) return {what, back ? "default" : value};
    return {what, value_in_words(*parameter, value)};
}

std::string list_in_words(const std::string& name, const std::string& value) {
    const auto list = design::parse_json(value, name);
    if (!list || list->kind != design::Json::Kind::list) return "drawn";
    const std::size_t count = list->items.size();
    if (count == 0) return "none";
    const bool places = list->items.front().kind == design::Json::Kind::list;
    std::string one = places                       ? "point"
                      : name.ends_with("stations") ? "station"
                      : name.ends_with("controls") ? "point"
                                                   : "entry";
    if (count != 1) one = one == "entry" ? "entries" : one + "s";
    return std::to_string(count) + " " + one;
}

std::string value_in_words(const design::Parameter& p, const std::string& value) {
    const bool number = p.kind == design::Parameter::Kind::number || p.kind == design::Parameter::Kind::whole;
    const auto n = parse_number(value);
    if (n && number && inclination(p)) return leaning(*n);
    if (n && number) {
        const int decimals = p.step >= 1 && *n == std::round(*n) ? 0 : p.step >= 0.1 ? 1 : 2;
        return figure(*n, decimals, p.unit);
    }
    std::string words = value;
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

std::string place_in_words(const Vec3& at) {
    const std::string words = place(at);
    return words.substr(0, words.rfind(','));  // a plan has no height
}

/// A parameter, or a list of the job: a file's name is none.
static bool job_key(const std::string& word) {
    for (const auto* table : {&design::foot_parameters(), &design::case_parameters()})
        for (const design::Parameter& p : *table)
            if (p.name == word || p.name.starts_with(word + "[]")) return true;
    return false;
}

std::string without_keys(const std::string& sentence) {
    const auto of_key = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '.';
    };
    std::string out;
    for (std::size_t i = 0; i < sentence.size();) {
        std::size_t end = i;
        while (end < sentence.size() && of_key(sentence[end])) ++end;
        if (end == i) {
            out += sentence[i++];
            continue;
        }
        std::string word = sentence.substr(i, end - i), stop;
        if (word.ends_with('.')) word.pop_back(), stop = ".";
        const bool unit_end = word.ends_with("_mm") || word.ends_with("_deg");
        if (word.find('_') == std::string::npos && word.find('.') == std::string::npos) {
            out += word + stop;  // a plain word
        } else if (word.find('.') != std::string::npos && job_key(word)) {
            out += lower(step_words(word + " ").first) + stop;
        } else if (unit_end && word.find('.') == std::string::npos) {
            out += lower(label_of(word)) + stop;
        } else {
            out += word + stop;
        }
        i = end;
    }
    return out;
}

std::string command_in_words(const std::string& line) {
    const auto command = design::parse(line, model::session_commands());
    if (!command || design::find_kind(design::job_commands(), command->name) == nullptr) return line;
    const auto [what, value] = step_words(design::step_label(*command));
    return what + (value.empty() ? "" : " " + value);
}

std::string said_in_words(const std::string& line) {
    const auto command = design::parse(line, model::session_commands());
    if (!command) return {};
    if (command->name == "propose" && command->value("command") != "off")
        return "Proposed, not done: " + command_in_words(command->value("command")) + ".";
    if (command->name != "set" && command->name != "reset") return {};
    return command_in_words(line) + ".";
}

}  // namespace archwright::editor::ui
