// The commands of a session that change what is shown, and its settings; nothing of the job.
#include <algorithm>

#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "editor/model/session_commands.hpp"
#include "engine/base/text.hpp"
#include "engine/design/json.hpp"

namespace archwright::editor::model {

using design::Command;

Outcome<Reply> Session::run_foot(const Command& command) {
    const Side side = command.value("side") == "left" ? Side::left : Side::right;
    if (!job_.foot(side)) return refused("foot", std::string("The job has no ") + word(side) + " foot.");
    if (side != foot_) forget_making();
    foot_ = side;
    selection_ = {};
    comparison_.reset();
    flexed_.reset();
    flex_asked_ = {};
    // what is proposed is of one foot, and another job may have that one alone
    if (compare_.what == CompareWith::What::proposal || (other_job_ && !other_job_->foot(foot_)))
        compare_with({}, nullptr);
    ask_comparison();
    ask_flex();
    return Reply{};
}

Outcome<Reply> Session::run_select(const Command& command) {
    Selection selection{command.value("what"), command.value("name")};
    if ((selection.what == "none") != selection.name.empty())
        return refused("select", "Write what it is and its name, or none alone.");
    selection_ = std::move(selection);
    return Reply{};
}

Outcome<Reply> Session::run_stage(const Command& command) {
    const std::string name = command.value("name");
    if (name == stage_) return Reply{};
    go_to_stage(name);
    return Reply{};
}

/// What a stage is about is in sight at first; a choice made by hand stays until the next stage.
void Session::go_to_stage(const std::string& name) {
    stage_ = name;
    const auto show = [this](const char* cast, const char* map) {
        views_["cast"] = cast;
        (compare_.what == CompareWith::What::none ? views_["map"] : map_before_) = map;
    };
    if (name == "receive" || name == "examine" || name == "balance") show("on", "none");
    if (name == "dress") show("lifted", "deviation");
    if (name == "trim" || name == "post") show("glass", "none");
    if (name == "reliefs" || name == "wall" || name == "prove" || name == "make") show("lifted", "wall");
}

Outcome<Reply> Session::run_view(const Command& command) {
    for (const ViewSetting& view : view_settings()) {
        if (view.name != command.value("name")) continue;
        const std::string value = command.value("value");
        if (std::find(view.words.begin(), view.words.end(), value) == view.words.end()) {
            std::string all;
            for (const std::string& each : view.words) all += (all.empty() ? "" : ", ") + each;
            return refused("view", view.name + " " + design::in_quotes(value) + " is none of " + all);
        }
        views_[view.name] = value;
    }
    return Reply{};
}

Outcome<Reply> Session::run_section(const Command& command) {
    const std::string letter = command.value("letter");
    const bool drawn = letter != "F" && letter != "S";
    if (command.name == "section remove") {
        if (sections_.lines.erase(letter) == 0)
            return refused("section remove", "There is no section " + letter + ".");
        if (sections_.shown == letter) sections_.shown = "F";
        ++sections_.number;
        return Reply{};
    }
    if (!drawn && command.find("line"))
        return refused("section", letter + " lies at one place: write at=MM.");
    if (const std::string* at = command.find("at")) {
        if (drawn) return refused("section", letter + " lies along a line: write [[x, y], [x, y]].");
        (letter == "F" ? sections_.frontal_x : sections_.sagittal_y) = *parse_number(*at);
    }
    if (const std::string* text = command.find("line")) {
        const auto json = design::parse_json(*text, "line");
        if (!json) return json.fault();
        std::vector<Vec2> line;
        for (const design::Json& place : json->items)
            if (place.items.size() == 2 && place.items[0].kind == design::Json::Kind::number &&
                place.items[1].kind == design::Json::Kind::number)
                line.emplace_back(place.items[0].number, place.items[1].number);
        constexpr double farthest_mm = 1000.0, shortest_mm = 5.0;
        const bool good =
            json->items.size() == 2 && line.size() == 2 && line[0].cwiseAbs().maxCoeff() <= farthest_mm &&
            line[1].cwiseAbs().maxCoeff() <= farthest_mm && (line[1] - line[0]).norm() >= shortest_mm;
        if (!good)
            return refused(
                "section",
                "line is [[x, y], [x, y]]: two places of the plan, 5 mm or more apart, within 1000 mm.");
        sections_.lines[letter] = std::move(line);
    } else if (drawn && sections_.lines.count(letter) == 0) {
        return refused("section", "There is no section " + letter + " yet: write its line [[x, y], [x, y]].");
    }
    sections_.shown = letter == "S" ? sections_.shown : letter;
    ++sections_.number;
    return Reply{};
}

Outcome<Reply> Session::run_setting(const Command& command) {
    Settings settings = settings_;
    const std::string name = command.value("name"), value = command.value("value");
    if (name == "theme") {
        if (value != "light" && value != "dark") return refused("setting", "theme is light or dark");
        settings.theme = value == "dark" ? Settings::Theme::dark : Settings::Theme::light;
    } else if (name == "scale") {
        const auto scale = parse_number(value);
        if (!scale || (*scale != 0 && (*scale < least_scale || *scale > most_scale)))
            return refused("setting", "scale is a number from " + exact(least_scale) + " to " +
                                          exact(most_scale) + ", or 0 for what the screen says");
        settings.scale = *scale;
    } else if (name == "tool") {
        const bool unit = value.size() > 2 && value.ends_with("mm");
        const auto radius = parse_number(unit ? value.substr(0, value.find_last_not_of(" m") + 1) : value);
        if (!radius || !(*radius >= least_tool_mm) || !(*radius <= most_tool_mm))
            return refused("setting", "tool is a radius from " + exact(least_tool_mm) + " to " +
                                          exact(most_tool_mm) + " mm");
        settings.tool_mm = *radius;
    } else if (name == "jobs") {
        std::error_code error;
        if (value != "none" && !std::filesystem::is_directory(value, error))
            return refused("setting", "jobs " + design::in_quotes(value, 200) + ": there is no such folder");
        settings.jobs = value == "none" ? std::string()
                                        : std::filesystem::absolute(value, error).lexically_normal().string();
    } else {
        if (const std::string why = design::text_trouble(value, design::TextKind::code);
            !value.empty() && !why.empty())
            return refused("setting", "person " + design::in_quotes(value) + ": " + why);
        settings.person = value;
    }
    if (!setup_.config_folder.empty() && settings_damaged_)
        return refused("setting",
                       "The settings' file could not be read and is left as it is: mend it or remove it, and "
                       "start again.");
    if (!setup_.config_folder.empty())
        if (const auto done = write_settings(settings, setup_.config_folder); !done) return done.fault();
    if (name == "theme") setup_.dark = false;  // said by hand it holds
    settings_ = std::move(settings);
    return Reply{};
}

}  // namespace archwright::editor::model
