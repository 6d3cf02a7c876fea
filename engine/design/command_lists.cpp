#include "engine/design/command_lists.hpp"

#include <algorithm>
#include <array>

#include "engine/base/text.hpp"
#include "engine/design/command_label.hpp"
#include "engine/design/parameter_path.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"

namespace archwright::design {

namespace {

Fault wrong_entry(const Command& command, std::string message) {
    return Fault{FaultKind::usage, command.name, std::move(message), {}};
}

/// What a verb does to a list; `entry` and the rest are arguments of the command.
struct Edit {
    const Command& command;
    std::string list;   ///< name of the list
    std::string which;  ///< the entry meant
};

std::optional<std::size_t> place_of(const Command& command, const char* argument) {
    const std::string* text = command.find(argument);
    if (!text) return std::nullopt;
    return static_cast<std::size_t>(*parse_number(*text));  // checked by the table
}

Outcome<Done> name_is_free(const Edit& edit, const Json& list, const std::string& name) {
    for (const Json& item : list.items)
        if (const Json* own = item.find("name"); own && own->text == name)
            return wrong_entry(edit.command, edit.list + " has an entry " + in_quotes(name) +
                                                 " already: choose another name");
    return Done{};
}

Outcome<Done> add(const Edit& edit, Json& list, Json entry) {
    if (const Json* name = entry.find("name"))
        if (const auto free = name_is_free(edit, list, name->text); !free) return free.fault();
    const std::size_t at = place_of(edit.command, "at").value_or(list.items.size());
    if (at > list.items.size())
        return wrong_entry(edit.command, edit.list + " has " + std::to_string(list.items.size()) +
                                             " entries: the last place is " +
                                             std::to_string(list.items.size()));
    list.items.insert(list.items.begin() + static_cast<std::ptrdiff_t>(at), std::move(entry));
    return Done{};
}

Outcome<Done> remove(const Edit& edit, Json& list) {
    const auto at = entry_of(list, edit.which, edit.list);
    if (!at) return at.fault();
    list.items.erase(list.items.begin() + static_cast<std::ptrdiff_t>(*at));
    return Done{};
}

Outcome<Done> move(const Edit& edit, Json& list) {
    const auto from = entry_of(list, edit.which, edit.list);
    if (!from) return from.fault();
    const std::size_t to = *place_of(edit.command, "to");
    if (to >= list.items.size())
        return wrong_entry(edit.command, edit.list + " has " + std::to_string(list.items.size()) +
                                             " entries: the last place is " +
                                             std::to_string(list.items.size() - 1));
    Json entry = std::move(list.items[*from]);
    list.items.erase(list.items.begin() + static_cast<std::ptrdiff_t>(*from));
    list.items.insert(list.items.begin() + static_cast<std::ptrdiff_t>(to), std::move(entry));
    return Done{};
}

void put(Json& entry, const char* key, Json value) {
    if (Json* old = entry.find(key))
        *old = std::move(value);
    else
        entry.add(key, std::move(value));
}

Outcome<Done> duplicate(const Edit& edit, Json& list) {
    const auto at = entry_of(list, edit.which, edit.list);
    if (!at) return at.fault();
    const std::string name = edit.command.value("new");
    if (!list.items[*at].find("name"))
        return wrong_entry(edit.command, "Entries of " + edit.list +
                                             " have no names: add one with entry add, and its values");
    if (const auto free = name_is_free(edit, list, name); !free) return free.fault();
    Json copy = list.items[*at];
    put(copy, "name", Json::of(name));
    list.items.insert(list.items.begin() + static_cast<std::ptrdiff_t>(*at) + 1, std::move(copy));
    return Done{};
}

Outcome<Done> rename(const Edit& edit, Json& list) {
    const auto at = entry_of(list, edit.which, edit.list);
    if (!at) return at.fault();
    const std::string name = edit.command.value("new");
    if (name == edit.which) return Done{};
    if (const auto free = name_is_free(edit, list, name); !free) return free.fault();
    put(list.items[*at], "name", Json::of(name));
    return Done{};
}

/// Gives an entry the arguments that were given, as its keys of the same names.
Outcome<Done> give(const Edit& edit, Json& entry, std::initializer_list<const char*> arguments) {
    for (const char* argument : arguments) {
        const std::string* text = edit.command.find(argument);
        if (!text) continue;
        const Argument::Kind kind = [&] {
            if (std::string_view(argument) == "points" || std::string_view(argument) == "outline")
                return Argument::Kind::json;
            return std::string_view(argument).ends_with("_mm") || std::string_view(argument) == "along" ||
                           std::string_view(argument) == "priority"
                       ? Argument::Kind::number
                       : Argument::Kind::text;
        }();
        if (kind == Argument::Kind::json) {
            auto json = parse_json(*text, argument);
            if (!json) return json.fault();
            put(entry, argument, std::move(*json));
        } else if (kind == Argument::Kind::number) {
            std::string_view figure = *text;
            if (figure.ends_with("mm")) figure.remove_suffix(2);
            while (figure.ends_with(' ')) figure.remove_suffix(1);
            put(entry, argument, Json::of(*parse_number(figure)));  // checked by the table
        } else {
            put(entry, argument, Json::of(*text));
        }
    }
    return Done{};
}

Outcome<Done> change(const Edit& edit, Json& list, std::initializer_list<const char*> arguments,
                     const std::function<void(Json&)>& besides = {}) {
    const auto at = entry_of(list, edit.which, edit.list);
    if (!at) return at.fault();
    if (const auto done = give(edit, list.items[*at], arguments); !done) return done.fault();
    if (besides) besides(list.items[*at]);
    return Done{};
}

Outcome<Done> add_new(const Edit& edit, Json& list, std::initializer_list<const char*> arguments) {
    Json entry = Json::object();
    if (const auto done = give(edit, entry, arguments); !done) return done.fault();
    return add(edit, list, std::move(entry));
}

Outcome<Done> by_person(const Edit& edit, Json& list, std::initializer_list<const char*> arguments) {
    return change(edit, list, arguments, [](Json& mark) {
        put(mark, "source", Json::of(key_of(foot::Landmark::Source::set)));
        put(mark, "confidence", Json::of(1.0));
        put(mark, "refused", Json::of(false));
    });
}

Outcome<Done> add_station(const Edit& edit, Json& list) {
    Json entry = Json::object();
    if (const auto done = give(edit, entry, {"along", "wall_mm"}); !done) return done.fault();
    const double along = entry.find("along")->number;
    auto at = list.items.begin();
    for (; at != list.items.end(); ++at) {
        const double there = at->find("along")->number;
        if (there == along)
            return wrong_entry(edit.command,
                               "There is a station at " + exact(along) + " already: set its wall");
        if (there > along) break;
    }
    list.items.insert(at, std::move(entry));
    return Done{};
}

Outcome<Done> add_json(const Edit& edit, Json& list) {
    auto entry = parse_json(edit.command.value("entry"), "entry");
    if (!entry) return entry.fault();
    if (entry->kind != Json::Kind::object)
        return wrong_entry(edit.command, "An entry is a group of keys in { }, as a job file has it");
    return add(edit, list, std::move(*entry));
}

Json on_off(bool on) {
    return Json::of(on);
}

/// A command, the list it edits (empty: its argument "list"), the argument that names the entry.
struct Row {
    std::string_view command;
    const char *list, *entry;
    Outcome<Done> (*edit)(const Edit&, Json&);
};

const Row* row_of(const std::string& name) {
    using List = Json;
    static constexpr std::array<Row, 22> rows{{
        {"mark add", "marks", "name",
         [](const Edit& e, List& l) {
             return add_new(e, l, {"name", "kind", "meaning", "points", "by", "note"});
         }},
        {"mark move", "marks", "name",
         [](const Edit& e, List& l) {
             return by_person(e, l, {"points", "by"});
         }},
        {"mark accept", "marks", "name",
         [](const Edit& e, List& l) {
             return by_person(e, l, {"meaning", "by"});
         }},
        {"mark rename", "marks", "name", rename},
        {"mark remove", "marks", "name", remove},
        {"repair add", "repairs", "name",
         [](const Edit& e, List& l) {
             return add_new(e, l, {"name", "what", "points", "reach_mm", "by", "reason"});
         }},
        {"repair remove", "repairs", "name", remove},
        {"feature add", "features", "name",
         [](const Edit& e, List& l) {
             return add_new(e, l, {"name", "kind", "anchor", "points"});
         }},
        {"feature remove", "features", "name", remove},
        {"feature move", "features", "name", move},
        {"feature duplicate", "features", "name", duplicate},
        {"feature rename", "features", "name", rename},
        {"feature on", "features", "name",
         [](const Edit& e, List& l) {
             return change(e, l, {}, [](Json& f) { put(f, "on", on_off(true)); });
         }},
        {"feature off", "features", "name",
         [](const Edit& e, List& l) {
             return change(e, l, {}, [](Json& f) { put(f, "on", on_off(false)); });
         }},
        {"region add", "wall.regions", "name",
         [](const Edit& e, List& l) {
             return add_new(e, l, {"name", "outline", "wall_mm", "blend_mm", "priority"});
         }},
        {"region remove", "wall.regions", "name", remove},
        {"station add", "wall.stations", "along", add_station},
        {"station remove", "wall.stations", "number", remove},
        {"entry add", "", "entry", add_json},
        {"entry remove", "", "entry", remove},
        {"entry move", "", "entry", move},
        {"entry duplicate", "", "entry", duplicate},
    }};
    const auto found =
        std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return r.command == name; });
    return found == rows.end() ? nullptr : &*found;
}

}  // namespace

Outcome<std::string> edit_lists(const Command& command, FootDesign& foot) {
    const Row* row = row_of(command.name);
    if (!row) return Fault{FaultKind::internal, command.name, "The command has no work to do.", {}};
    const Edit edit{command, *row->list != '\0' ? row->list : command.value("list"),
                    command.value(row->entry)};
    const auto done = edit_list(foot, edit.list, [&](Json& list) { return row->edit(edit, list); });
    if (!done) return done.fault();
    if (command.name == "mark rename")
        for (feature::Feature& feature : foot.features)
            if (feature.anchor == edit.which) feature.anchor = command.value("new");
    return step_label(command) + ".";
}

}  // namespace archwright::design
