#include "engine/design/command_label.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/json.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"
#include "engine/foot/landmarks.hpp"

namespace archwright::design {

namespace {

/// As long as a name may be: no label grows with what it is given.
constexpr std::size_t longest_part = 40;

std::string in_words(std::string_view key) {
    std::string words(key);
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

std::string shortened(std::string_view text) {
    const std::string quoted = in_quotes(text, longest_part);  // whole characters, no controls
    return quoted.substr(1, quoted.size() - 2);
}

std::string capital(std::string words) {
    if (!words.empty() && words[0] >= 'a' && words[0] <= 'z')
        words[0] = static_cast<char>(words[0] - 'a' + 'A');
    return words;
}

std::string landmark_words(const std::string& key) {
    if (key == "all") return "All landmarks";
    const auto id = foot::landmark_id(key);
    if (!id) return shortened(key);
    // the lowest point is the one meant where nothing else is said
    std::string words = foot::title(*id);
    constexpr std::string_view usual = ", plantar";
    if (words.ends_with(usual)) words.resize(words.size() - usual.size());
    return words;
}

/// What an entry of a list is; lists that are not here are called by their own names.
struct ListWords {
    std::string_view list, one;
};
constexpr ListWords list_words[] = {{"trim.controls", "trim line control"},
                                    {"wall.stations", "wall station"},
                                    {"wall.regions", "wall region"},
                                    {"dress.smooth", "smoothed area"},
                                    {"dress.keep", "area kept as cast"},
                                    {"covers", "cover"},
                                    {"features", "relief or pad"},
                                    {"marks", "mark"},
                                    {"repairs", "repair"},
                                    {"answers", "answer"},
                                    {"stations", "station"}};

std::string from_one(const std::string& place) {
    const auto number = parse_number(place);
    return number ? exact(*number + 1) : shortened(place);
}

/// The name an entry given as JSON has; empty when it has none.
std::string name_within(const std::string& json) {
    const auto entry = parse_json(json, "entry");
    if (!entry) return {};
    const Json* name = entry->find("name");
    return name != nullptr ? name->text : std::string();
}

}  // namespace

std::string entry_words(std::string_view list, std::string_view entry) {
    for (const std::string_view side : {"left.", "right."})
        if (list.starts_with(side)) list.remove_prefix(side.size());
    std::string of;
    const std::size_t open = list.find('['), close = list.find(']', std::min(open, list.size()));
    if (close != std::string_view::npos) {
        of = shortened(list.substr(open + 1, close - open - 1));
        list.remove_prefix(std::min(list.size(), close + 2));
    }
    std::string words = in_words(shortened(list));
    for (const ListWords& known : list_words)
        if (known.list == list) words = known.one;
    if (!entry.empty()) words += " " + from_one(std::string(entry));
    if (!of.empty()) words += " of " + of;
    return capital(words);
}

std::string step_label(const Command& command) {
    const std::string& name = command.name;
    if (name.starts_with("landmark "))
        return landmark_words(command.value("name")) + (name == "landmark set"       ? " set"
                                                        : name == "landmark confirm" ? " confirmed"
                                                                                     : " removed");
    if (name.starts_with("entry ")) {
        const std::string list = command.value("list");
        if (name == "entry add") {
            const std::string own = name_within(command.value("entry"));
            return entry_words(list, own) + (own.empty() ? " added" : "");
        }
        const std::string words = entry_words(list, command.value("entry"));
        if (name == "entry remove") return words + " removed";
        if (name == "entry move") return words + " to place " + from_one(command.value("to"));
        return shortened(command.value("new")) + ", a copy of " + words;
    }
    // "pad pad-1" says one thing twice
    if (name == "feature add" && command.value("name").starts_with(command.value("kind")))
        return capital(shortened(command.value("name"))) + " added";
    if (name == "state") {
        std::string what;
        const auto stated = [&](const std::string& words) { what += (what.empty() ? "" : ", ") + words; };
        if (const auto side = from_key<Side>(command.value("side"))) stated(title_of(*side));
        if (const auto unit = from_key<LengthUnit>(command.value("unit"))) stated(title_of(*unit));
        if (command.find("up") != nullptr) stated("which way is up");
        if (command.find("toes") != nullptr) stated("where the toes are");
        if (command.find("inside_out") != nullptr)
            stated(command.value("inside_out") == "yes" ? "seen from inside" : "seen from outside");
        return "Stated: " + what;
    }
    Command said = command;
    for (auto& [argument, value] : said.arguments) {
        if ((name == "feature move" && argument == "to") ||
            (name == "station remove" && argument == "number"))
            value = from_one(value);
        if (name == "carry" && argument == "parts")
            for (std::size_t at = 0; (at = value.find(',', at)) != std::string::npos; at += 2)
                value.replace(at, 1, value[at + 1] == ' ' ? "," : ", ");
        if (name == "answer" && argument == "is")
            value = value == "foot" ? "the foot's own" : value == "fault" ? "a fault, left" : "open again";
    }
    return label_of(said, job_commands());
}

}  // namespace archwright::design
