#include "exporters/ask_told.hpp"

#include <cmath>

#include "engine/ask/target_text.hpp"
#include "engine/base/text.hpp"

namespace archwright::exporters {

namespace {

std::string signed_percent(double share) {
    return (share < 0.0 ? "-" : "+") + rounded(std::abs(100.0 * share), 1) + " %";
}

bool any_absolute(const ask::Answer& answer) {
    for (const ask::AnsweredTarget& target : answer.targets)
        if (target.target.kind != ask::Target::Kind::relative) return true;
    return false;
}

}  // namespace

std::string asked_words(const ask::AnsweredTarget& answered) {
    const ask::Target& target = answered.target;
    const flex::LoadUnits unit = flex::units(target.load_case);
    switch (target.kind) {
        case ask::Target::Kind::relative:
            return signed_percent(target.value) + " against " +
                   (target.reference_name.empty() ? "the device as it was" : target.reference_name);
        case ask::Target::Kind::stiffness:
            return flex::bench_figure(target.value) + " " + unit.stiffness;
        case ask::Target::Kind::deflection:
            return flex::bench_figure(target.value) + " " + unit.deflection;
    }
    return {};
}

std::vector<std::string> ask_lines(const ask::Answer& answer) {
    std::vector<std::string> lines;
    const auto say = [&](std::string line) { lines.push_back(std::move(line)); };
    for (const ask::AnsweredTarget& one : answer.targets) {
        const flex::LoadUnits unit = flex::units(one.target.load_case);
        say(std::string(flex::title(one.target.load_case)) + ", " + flex::bench_figure(one.load) + " " +
            unit.load + ": asked " + asked_words(one) + ", " + (one.met ? "met" : "not met"));
        say("  " + std::string(flex::bench_caution) + ": before " + flex::bench_figure(one.before) +
            ", asked " + flex::bench_figure(one.wanted) + ", found " + flex::bench_figure(one.found) + " " +
            unit.stiffness + " (" + signed_percent(one.found / one.wanted - 1.0) + " from it); " +
            rounded(one.deflection, 2) + " " + unit.deflection);
        const bool far = one.deflections == flex::Deflections::large;
        say(std::string("  ") + (far ? "large" : "small") + " deflections are reckoned with");
        if (one.large && !far) say(std::string("  ") + flex::large_caution + ".");
    }
    if (any_absolute(answer)) say(absolute_caution);
    for (const ask::AnsweredWall& wall : answer.walls)
        say("wall " + wall.name + ": " + rounded(wall.before, 3) + " -> " + rounded(wall.after, 3) + " " +
            wall.unit + " (may be " + rounded(wall.least, 2) + " to " + rounded(wall.most, 2) + ")" +
            (wall.at_least  ? ", at its least"
             : wall.at_most ? ", at its greatest"
                            : ""));
    for (const std::string& line : answer.limited) say(line);
    for (const std::string& line : answer.notes) say(line);
    if (answer.walls.size() > answer.targets.size())
        say("More walls may change than is asked for: those were taken that change least (sum of squares of "
            "the logarithms of their ratios).");
    say(std::to_string(answer.trials) + " trials, " + std::to_string(answer.runs) +
        " whole devices on the bench");
    return lines;
}

nlohmann::ordered_json ask_json(const ask::Answer& answer) {
    using Json = nlohmann::ordered_json;
    Json targets = Json::array(), walls = Json::array();
    for (const ask::AnsweredTarget& one : answer.targets) {
        const flex::LoadUnits unit = flex::units(one.target.load_case);
        Json told{{"asked", ask::print(one.target)},
                  {"load_case", flex::key(one.target.load_case)},
                  {"caution", flex::bench_caution},
                  {"deflections", flex::key(one.deflections)},
                  {"load", one.load},
                  {"load_unit", unit.load},
                  {"preload", one.preload}};
        if (one.target.kind == ask::Target::Kind::relative)
            told["against"] =
                one.target.reference_name.empty() ? "the device as it was" : one.target.reference_name;
        told["stiffness_unit"] = unit.stiffness;
        told["before"] = one.before;
        told["wanted"] = one.wanted;
        told["found"] = one.found;
        told["deflection"] = one.deflection;
        told["deflection_unit"] = unit.deflection;
        told["met"] = one.met;
        told["large_deflection"] = one.large;
        told["reach"] = one.reach ? Json{one.reach->first, one.reach->second} : Json();
        targets.push_back(std::move(told));
    }
    for (const ask::AnsweredWall& wall : answer.walls)
        walls.push_back({{"name", wall.name},
                         {"parameter", wall.parameter},
                         {"value", wall.value},
                         {"unit", wall.unit},
                         {"before", wall.before},
                         {"after", wall.after},
                         {"least", wall.least},
                         {"most", wall.most},
                         {"at_least", wall.at_least},
                         {"at_most", wall.at_most}});
    Json told{{"met", answer.met},           {"targets", targets},    {"walls", walls},
              {"limited", answer.limited},   {"notes", answer.notes}, {"trials", answer.trials},
              {"whole_devices", answer.runs}};
    if (any_absolute(answer)) told["absolute_caution"] = absolute_caution;
    return told;
}

std::vector<design::Command> wall_commands(const ask::Answer& answer, const std::optional<Side>& foot) {
    std::vector<design::Command> commands;
    for (const ask::AnsweredWall& wall : answer.walls) {
        design::Command command{"set", {}};
        command.with("name", wall.parameter).with("value", wall.value);
        if (foot) command.with("foot", word(*foot));
        commands.push_back(std::move(command));
    }
    return commands;
}

}  // namespace archwright::exporters
