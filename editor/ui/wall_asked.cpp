// A stiffness asked for under the load of the bench: what, which walls may change, what was found.
#include <algorithm>

#include "editor/ui/panel.hpp"
#include "engine/ask/walls.hpp"
#include "engine/base/text.hpp"
#include "exporters/ask_told.hpp"

namespace archwright::editor::ui {

namespace {

using Kind = ask::Target::Kind;

/// What can be asked: its words, and its unit in a command.
struct AskKind {
    Kind kind;
    const char* words;
    bool compared;  ///< against what it is compared with
};
constexpr AskKind ask_kinds[] = {{Kind::relative, "stiffer than it is", false},
                                 {Kind::relative, "stiffer than the compared", true},
                                 {Kind::stiffness, "a stiffness", false},
                                 {Kind::deflection, "a deflection", false}};

std::string unit_in_command(Kind kind, flex::LoadCase load) {
    const bool turns = load == flex::LoadCase::torsion;
    if (kind == Kind::relative) return "%";
    if (kind == Kind::stiffness) return turns ? "Nmm/deg" : "N/mm";
    return turns ? "deg" : "mm";
}

/// A number of a field, or none where there is text that is none.
std::optional<double> typed_number(std::string text) {
    while (!text.empty() && text.back() == ' ') text.pop_back();
    if (!text.empty() && text.front() == '+') text.erase(0, 1);
    return parse_number(text);
}

}  // namespace

void Panel::asking(const model::FlexWith& with, const std::string& support) {
    y += 8;
    const model::Session& session = screen.session_;
    const bool busy = session.busy_with() == "Asking for a stiffness";
    head("Ask for a stiffness");
    words("Finds walls that give it under this load, on this ground.", 0, 2, true);
    const bool beside = session.compared_with().what != model::CompareWith::What::none;
    std::vector<std::string> kinds;
    std::vector<int> which;
    for (int i = 0; i < 4; ++i)
        if (beside || !ask_kinds[i].compared) {
            kinds.emplace_back(ask_kinds[i].words);
            which.push_back(i);
        }
    int& kind = state.ask_kind;
    if (std::find(which.begin(), which.end(), kind) == which.end()) kind = 0;
    if (const int chosen = drop("ask kind", "For", kinds, ask_kinds[kind].words); chosen >= 0)
        kind = which[chosen];
    const Kind wanted = ask_kinds[kind].kind;
    const std::string unit = wanted == Kind::relative    ? "%"
                             : wanted == Kind::stiffness ? flex::units(with.load).stiffness
                                                         : flex::units(with.load).deflection;
    bool enter = field_row("ask value", wanted == Kind::relative ? "By" : "Of",
                           (wanted == Kind::relative ? "20, or -20 for softer, " : "") + unit);
    if (wanted != Kind::relative) words(exporters::absolute_caution, 0, 6, true);

    const std::vector<std::string> names = ask::walls_of(foot().wall);
    std::erase_if(state.ask_walls, [&](const std::string& name) {
        return std::find(names.begin(), names.end(), name) == names.end();
    });
    look.text("Walls that may change", {area.x, y + 8}, area.w, Face::small, t.soft);
    y += 20;
    for (const std::string& name : names) {
        const bool on = state.ask_walls.count(name) > 0;
        std::string title = name;
        std::replace(title.begin(), title.end(), '_', ' ');
        if (tick("ask wall " + name, title, {area.x, y, area.w, 26}, on))
            on ? (void)state.ask_walls.erase(name) : (void)state.ask_walls.insert(name);
        y += 30;
    }
    const auto device = screen.foot_view().sound ? screen.foot_view().sound->device : nullptr;
    const auto limit = [&](bool least) {
        if (!device || !device->shelled) return std::string("mm");
        const design::Material& material = device->shelled->material;
        return exact(least ? material.wall_min_mm.value : material.wall_max_mm.value) + " mm";
    };
    enter = field_row("ask least", "From", limit(true)) || enter;
    enter = field_row("ask most", "To", limit(false)) || enter;

    if (busy) {
        const double share = std::clamp(session.activity().fraction, 0.0, 1.0);
        const Box bar{area.x, y + 4, area.w, 5};
        look.fill(bar, look.field(), 2);
        look.fill({bar.x, bar.y, bar.w * share, bar.h}, t.accent, 2);
        y += 16;
        if (buttons("ask cancel", {"Cancel"}) == 0) say("cancel");
        return;
    }
    const bool pressed = buttons("ask now", {"Ask"}, 0, session.answered() ? -1 : 0) == 0;
    if (!state.ask_told.empty()) words(state.ask_told, 0, 3);
    if (pressed || enter) {
        const auto value = typed_number(typed("ask value"));
        const auto least = typed_number(typed("ask least")), most = typed_number(typed("ask most"));
        state.ask_told = !value                    ? "Say how much: a number."
                         : state.ask_walls.empty() ? "Tick the walls that may change."
                         : (!least && !typed("ask least").empty()) || (!most && !typed("ask most").empty())
                             ? "A limit is a number of mm, or nothing."
                             : "";
        if (state.ask_told.empty()) {
            std::string walls;
            for (const std::string& name : state.ask_walls) walls += (walls.empty() ? "" : ",") + name;
            std::string line = "ask \"" + std::string(flex::key(with.load)) + ": " +
                               (wanted == Kind::relative && *value >= 0.0 ? "+" : "") + exact(*value) +
                               unit_in_command(wanted, with.load) + "\" walls=" + walls;
            if (least) line += " least=" + exact(*least);
            if (most) line += " most=" + exact(*most);
            say(line + support + (ask_kinds[kind].compared ? " against=compared" : ""));
        }
    }
    if (session.answered()) asked_answer(*session.answered());
}

void Panel::asked_answer(const model::Answered& answered) {
    const ask::Answer& answer = answered.answer;
    y += 4;
    for (const ask::AnsweredTarget& one : answer.targets) {
        const flex::LoadUnits unit = flex::units(one.target.load_case);
        look.sign({area.x + 6, y + 10}, one.met ? Sign::pass : Sign::look);
        look.name(std::string(flex::title(one.target.load_case)) + ", " + flex::bench_figure(one.load) + " " +
                      unit.load + (one.met ? ": found" : ": not met"),
                  {area.x + 20, y + 10}, area.w - 20, Face::strong, t.text);
        y += 22;
        const auto line = [&](const char* name, double value) {
            look.text(name, {area.x, y + 10}, 0.46 * area.w, Face::small, t.soft);
            look.text(flex::bench_figure(value) + " " + unit.stiffness, {area.right(), y + 10},
                      0.54 * area.w - 4, Face::small_strong, t.text, Align::right);
            y += 20;
        };
        line("As it is", one.before);
        line("Asked", one.wanted);
        line("Found", one.found);
    }
    words(flex::bench_caution, 0, 2, true);
    for (const ask::AnsweredWall& wall : answer.walls) {
        look.name(wall.name, {area.x, y + 10}, 0.46 * area.w, Face::small, t.soft);
        look.text(rounded(wall.before, 2) + " \u2192 " + rounded(wall.after, 2) +
                      (wall.unit == "mm" ? " mm" : " \u00d7"),
                  {area.right(), y + 10}, 0.54 * area.w - 4, Face::small_strong, t.text, Align::right);
        y += 20;
    }
    for (const std::string& line : answer.limited) words(line, 0, 6);
    for (const std::string& line : answer.notes) words(line, 0, 6);
    const int pressed = buttons("ask answer", {"Accept these walls", "Let go"}, 0, answer.met ? 0 : -1);
    if (pressed == 0) say("ask accept");
    if (pressed == 1) say("ask off");
}

}  // namespace archwright::editor::ui
