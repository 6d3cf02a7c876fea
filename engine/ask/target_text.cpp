#include "engine/ask/target_text.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::ask {

namespace {

constexpr std::size_t longest_question = 4000;

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return text;
}

std::vector<std::string_view> split(std::string_view text, char at) {
    std::vector<std::string_view> parts;
    for (std::size_t next; (next = text.find(at)) != std::string_view::npos; text.remove_prefix(next + 1))
        parts.push_back(trimmed(text.substr(0, next)));
    parts.push_back(trimmed(text));
    return parts;
}

Fault no_target(std::string_view text, const std::string& why) {
    return Fault{FaultKind::usage, "ask",
                 "\"" + std::string(text.substr(0, 80)) + "\" is no target: " + why +
                     " Write for example \"arch-press: +20%\" or \"arch-press@110: 12N/mm\".",
                 std::nullopt};
}

/// Takes a unit off the end, in any case and with or without blanks.
bool ends_with_unit(std::string_view& text, std::string_view unit) {
    if (text.size() < unit.size()) return false;
    if (lower(text.substr(text.size() - unit.size())) != lower(unit)) return false;
    text = trimmed(text.substr(0, text.size() - unit.size()));
    return true;
}

Outcome<Target> parse_target(std::string_view whole) {
    const std::size_t colon = whole.find(':');
    if (colon == std::string_view::npos) return no_target(whole, "a load, a colon and what is asked of it.");
    Target target;
    std::string_view load = trimmed(whole.substr(0, colon)), what = trimmed(whole.substr(colon + 1));
    if (const std::size_t by = load.find(" by "); by != std::string_view::npos) {
        const auto parts = split(load.substr(by + 4), ',');
        const auto x = parts.size() == 2 ? parse_number(parts[0]) : std::nullopt;
        const auto y = parts.size() == 2 ? parse_number(parts[1]) : std::nullopt;
        if (!x || !y) return no_target(whole, "after \"by\" stand two lengths, forward and medially, mm.");
        target.moved = {*x, *y};
        load = trimmed(load.substr(0, by));
    }
    if (const std::size_t at = load.find('@'); at != std::string_view::npos) {
        target.load = parse_number(trimmed(load.substr(at + 1)));
        if (!target.load || !(*target.load >= flex::least_load && *target.load <= flex::most_load))
            return no_target(whole, "after @ stands the load, " + exact(flex::least_load) + " to " +
                                        exact(flex::most_load) + " N.");
        load = trimmed(load.substr(0, at));
    }
    bool known = false;
    std::vector<std::string> keys;
    for (const flex::LoadCase each : flex::all_load_cases) {
        keys.emplace_back(flex::key(each));
        if (load == flex::key(each)) {
            target.load_case = each;
            known = true;
        }
    }
    if (!known) {
        const std::string nearest = nearest_word(load, keys);
        std::string all;
        for (const std::string& key : keys) all += (all.empty() ? "" : ", ") + key;
        return no_target(whole, nearest.empty() ? "loads are " + all + "."
                                                : "there is no such load; \"" + nearest + "\"?");
    }
    const bool turns = target.load_case == flex::LoadCase::torsion;
    const bool percent = ends_with_unit(what, "%");
    if (percent) {
        target.kind = Target::Kind::relative;
    } else if (ends_with_unit(what, turns ? "Nmm/deg" : "N/mm")) {
        target.kind = Target::Kind::stiffness;
    } else if (ends_with_unit(what, turns ? "deg" : "mm")) {
        target.kind = Target::Kind::deflection;
    } else {
        return no_target(whole, turns ? "it ends in %, Nmm/deg or deg." : "it ends in %, N/mm or mm.");
    }
    const bool sign = !what.empty() && (what.front() == '+' || what.front() == '-');
    if (percent && !sign) return no_target(whole, "a change in percent has a sign, + for stiffer.");
    const auto value = parse_number(!what.empty() && what.front() == '+' ? what.substr(1) : what);
    if (!value) return no_target(whole, "its figure is no number.");
    target.value = percent ? *value / 100.0 : *value;
    return target;
}

}  // namespace

Outcome<std::vector<Target>> parse_targets(std::string_view text) {
    if (text.size() > longest_question) return no_target(text, "it is too long.");
    std::vector<Target> targets;
    for (const std::string_view part : split(text, ';')) {
        if (part.empty()) continue;
        auto target = parse_target(part);
        if (!target) return target.fault();
        targets.push_back(*target);
    }
    if (targets.empty()) return no_target(text, "nothing is asked.");
    return targets;
}

std::string print(const Target& target) {
    const bool turns = target.load_case == flex::LoadCase::torsion;
    std::string text = flex::key(target.load_case);
    if (target.load) text += "@" + exact(*target.load);
    if (!target.moved.isZero(0.0)) text += " by " + exact(target.moved.x()) + "," + exact(target.moved.y());
    text += ": ";
    switch (target.kind) {
        case Target::Kind::relative:
            // rounding of the hundredth must not show
            return text + (target.value < 0.0 ? "" : "+") +
                   exact(std::round(1e9 * 100.0 * target.value) / 1e9) + "%";
        case Target::Kind::stiffness:
            return text + exact(target.value) + (turns ? "Nmm/deg" : "N/mm");
        case Target::Kind::deflection:
            return text + exact(target.value) + (turns ? "deg" : "mm");
    }
    return text;
}

Outcome<std::vector<WallChoice>> parse_walls(std::string_view text) {
    const auto no_wall = [](std::string_view part) {
        return Fault{FaultKind::usage, "ask",
                     "\"" + std::string(part.substr(0, 80)) +
                         "\" is no wall with its limits: write for example arch, or arch>=2.4<=5 (mm).",
                     std::nullopt};
    };
    if (text.size() > longest_question) return no_wall(text);
    std::vector<WallChoice> walls;
    for (std::string_view part : split(text, ',')) {
        if (part.empty()) continue;
        const std::string_view whole = part;
        WallChoice choice;
        for (const bool least : {false, true, false}) {  // in either order
            const std::size_t at = part.rfind(least ? ">=" : "<=");
            if (at == std::string_view::npos || part.find_first_of("<>", at + 2) != std::string_view::npos)
                continue;
            const auto limit = parse_number(trimmed(part.substr(at + 2)));
            std::optional<double>& into = least ? choice.least_mm : choice.most_mm;
            if (!limit || into) return no_wall(whole);
            into = limit;
            part = trimmed(part.substr(0, at));
        }
        if (part.empty() || part.find_first_of("<>=") != std::string_view::npos) return no_wall(whole);
        choice.wall = std::string(part);
        walls.push_back(std::move(choice));
    }
    return walls;
}

}  // namespace archwright::ask
