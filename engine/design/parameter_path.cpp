#include "engine/design/parameter_path.hpp"

#include <charconv>

#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::design {

namespace {

constexpr std::size_t longest_path_name = 300;  // several keys and entries' names of 48 bytes each

Fault wrong_path(std::string message) {
    return Fault{FaultKind::usage, "set", std::move(message), {}};
}

}  // namespace

Outcome<std::vector<PathStep>> parameter_path(std::string_view name) {
    const auto malformed = [&] {
        return wrong_path(
            in_quotes(name) +
            " is no parameter's name: write keys with dots between them, and an entry of a list in "
            "brackets, for example trim.cup_posterior_mm or features[fascia].depth_mm");
    };
    if (name.empty() || name.size() > longest_path_name) return malformed();
    std::vector<PathStep> path;
    while (!name.empty()) {
        const std::size_t end = name.find_first_of(".[]");
        PathStep step{std::string(name.substr(0, end)), {}};
        if (step.key.empty()) return malformed();
        name.remove_prefix(std::min(end, name.size()));
        if (name.starts_with('[')) {
            const std::size_t close = name.find(']');
            if (close == std::string_view::npos) return malformed();
            step.entry = std::string(name.substr(1, close - 1));
            name.remove_prefix(close + 1);
        }
        path.push_back(std::move(step));
        if (name.empty()) break;
        if (!name.starts_with('.') || name.size() == 1) return malformed();
        name.remove_prefix(1);
    }
    return path;
}

std::string table_name(const std::vector<PathStep>& path) {
    std::string name;
    for (const PathStep& step : path) name += (name.empty() ? "" : ".") + step.key + (step.entry ? "[]" : "");
    return name;
}

Outcome<std::size_t> entry_of(const Json& list, const std::string& entry, const std::string& list_name) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < list.items.size(); ++i) {
        const Json* own = list.items[i].find("name");
        if (!own) continue;
        if (own->text == entry) return i;
        names.push_back(own->text);
    }
    std::size_t index = 0;
    const auto [end, error] = std::from_chars(entry.data(), entry.data() + entry.size(), index);
    if (error == std::errc{} && end == entry.data() + entry.size() && index < list.items.size()) return index;
    if (list.items.empty()) return wrong_path(list_name + " is empty: it has no entry " + in_quotes(entry));
    std::string there;
    for (const std::string& each : names) there += (there.empty() ? "" : ", ") + each;
    const std::string near = nearest_word(std::string_view(entry).substr(0, longest_name), names);
    return wrong_path(list_name + " has no entry " + in_quotes(entry) +
                      (near.empty() ? "" : "; did you mean \"" + near + "\"?") +
                      (names.empty() ? ": its entries are 0 to " + std::to_string(list.items.size() - 1)
                                     : (near.empty() ? ": there are " : " There are ") + there));
}

}  // namespace archwright::design
