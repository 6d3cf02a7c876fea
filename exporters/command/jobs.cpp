// jobs: the jobs of a folder, how far each is, and when it is due.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/design/text_kind.hpp"
#include "exporters/command/options.hpp"
#include "exporters/worklist/worklist.hpp"

namespace archwright::exporters::command {

namespace {

using worklist::WorkItem;

/// "left", "right", "both": the same state; "left approved, right designing": not.
std::string feet_of(const WorkItem& item) {
    const std::string apart = worklist::feet_apart(item);
    return !apart.empty() ? apart : item.feet.size() == 2 ? "both" : word(item.feet.front().first);
}

bool wanted(const WorkItem& item, const JobsOptions& options) {
    const auto& states = options.states;
    if (!states.empty() &&
        std::find(states.begin(), states.end(), worklist::word(item.state)) == states.end())
        return false;
    if (options.side && std::none_of(item.feet.begin(), item.feet.end(),
                                     [&](const auto& foot) { return foot.first == *options.side; }))
        return false;
    return options.due_by.empty() || (!item.due.empty() && item.due <= options.due_by);
}

/// Columns as broad as their longest text; the last one runs on.
void say_table(Console& console, const std::vector<std::vector<std::string>>& rows) {
    std::vector<std::size_t> broad(rows.front().size(), 0);
    for (const auto& row : rows)
        for (std::size_t k = 0; k < row.size(); ++k) broad[k] = std::max(broad[k], row[k].size());
    for (const auto& row : rows) {
        std::string line;
        for (std::size_t k = 0; k + 1 < row.size(); ++k)
            line += row[k] + std::string(broad[k] + 2 - row[k].size(), ' ');
        console.say(line + row.back());
    }
}

nlohmann::ordered_json item_json(const WorkItem& item) {
    nlohmann::ordered_json feet = nlohmann::ordered_json::object();
    for (const auto& [side, state] : item.feet) feet[word(side)] = worklist::word(state);
    return {{"job", item.name}, {"case", item.case_code},        {"revision", item.revision},
            {"due", item.due},  {"prescriber", item.prescriber}, {"state", worklist::word(item.state)},
            {"feet", feet}};
}

}  // namespace

Exit run_jobs(Console& console, const JobsOptions& options) {
    if (!options.due_by.empty())
        if (const std::string trouble = design::text_trouble(options.due_by, design::TextKind::date);
            !trouble.empty())
            return console.fail(
                {FaultKind::usage, "jobs", "--due-by " + options.due_by + ": " + trouble + ".", {}});
    const auto list = worklist::read_worklist(options.folder, console.progress());
    if (!list) return console.fail(list.fault());
    std::vector<WorkItem> shown;
    std::copy_if(list->items.begin(), list->items.end(), std::back_inserter(shown),
                 [&](const WorkItem& item) { return wanted(item, options); });
    if (!shown.empty()) {
        std::vector<std::vector<std::string>> rows{{"due", "case", "rev", "state", "feet", "job"}};
        for (const WorkItem& item : shown)
            rows.push_back({item.due.empty() ? "-" : item.due, item.case_code, item.revision,
                            worklist::title(item.state), feet_of(item), design::in_quotes(item.name, 200)});
        say_table(console, rows);
    }
    console.say(std::to_string(shown.size()) + " of " + std::to_string(list->items.size()) + " jobs");
    for (const auto& [name, why] : list->unreadable)
        console.say("cannot be read: " + design::in_quotes(name, 200) + ": " + why.substr(0, why.find('\n')));
    for (const std::string& name : list->not_taken) console.say("is no job: " + design::in_quotes(name, 200));
    if (console.json()) {
        nlohmann::ordered_json jobs = nlohmann::ordered_json::array(),
                               trouble = nlohmann::ordered_json::array();
        for (const WorkItem& item : shown) jobs.push_back(item_json(item));
        for (const auto& [name, why] : list->unreadable) trouble.push_back({{"job", name}, {"why", why}});
        console.print_json(nlohmann::ordered_json{{"ok", true},
                                                  {"jobs", jobs},
                                                  {"of", list->items.size()},
                                                  {"unreadable", trouble},
                                                  {"not_taken", list->not_taken}});
    }
    return Exit::done;
}

}  // namespace archwright::exporters::command
