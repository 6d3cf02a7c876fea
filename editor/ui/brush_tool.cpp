#include "editor/ui/brush_tool.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"
#include "engine/pattern/brush.hpp"

namespace archwright::editor::ui {

namespace {

/// Places of a stroke stand apart by this share of the radius or more.
constexpr double stroke_spacing = 0.05;

std::string value_words(view::Paint paint, double value) {
    return paint == view::Paint::wall ? "wall " + figure(value, 1, "mm") : "smoothing " + figure(value, 2);
}

}  // namespace

std::optional<view::Paint> BrushTool::paints() const {
    if (!screen.session_.has_job() || screen.foot() == nullptr) return {};
    const std::string& stage = screen.session_.stage();
    if (stage == "dress") return view::Paint::smooth;
    if (stage == "wall") return view::Paint::wall;
    return {};
}

double& BrushTool::value() {
    return paints() == view::Paint::smooth ? state.strength : state.wall_mm;
}

void BrushTool::tell(const std::string& words, bool fault) {
    screen.state_.told = screen.state_.handles.told = with_minus(words);
    screen.state_.told_fault = screen.state_.handles.told_fault = fault;
}

void BrushTool::toggle(bool cuts) {
    if (in_hand() && state.cuts == cuts) {
        screen.state_.tool = Tool::none;
        state.path.clear();
        return;
    }
    if (!paints()) screen.say("stage wall");
    state.path.clear();
    state.cuts = cuts;
    // the value of what is selected goes on
    const model::Selection& selection = screen.session_.selection();
    const view::Paint paint = paints().value_or(view::Paint::wall);
    if (selection.what == view::thing_of(paint) && screen.foot() != nullptr)
        if (const auto now = view::value_of(*screen.foot(), paint, selection.name)) value() = *now;
    screen.state_.tool = Tool::brush;
    screen.state_.measured.clear();
    screen.state_.section_from.reset();
}

bool BrushTool::cuts() const {
    return state.cuts != ImGui::GetIO().KeyAlt;
}

void BrushTool::widen(double steps) {
    state.radius_mm =
        std::clamp(std::round(state.radius_mm + steps), view::least_brush_mm, view::most_brush_mm);
}

bool BrushTool::escape() {
    if (state.path.empty()) return false;
    state.path.clear();
    state.spent = true;
    tell("As it was before.", false);
    return true;
}

void BrushTool::stroke(const std::string& view, const Screen::Hit& hit, const std::optional<Vec2>& place) {
    if (!ImGui::IsMouseDown(ImGuiMouseButton_Left) && !hit.released) state.spent = false;
    // what lies before the last step is looked at
    if (!paints() || screen.shown_ != screen.latest_) return;
    if (hit.activated && !state.spent) {
        if (!place) return tell("There is no sole there to paint on.", true);
        state.view = view;
        state.path = {*place};
        state.cuts_now = cuts();
        return;
    }
    if (state.path.empty() || state.view != view) return;
    if (hit.held && place && (*place - state.path.back()).norm() >= stroke_spacing * state.radius_mm)
        state.path.push_back(*place);
    if (!hit.released && hit.held) return;
    view::Stroke stroke;
    stroke.paint = *paints();
    stroke.path = std::move(state.path);
    stroke.radius_mm = state.radius_mm;
    stroke.value = value();
    stroke.cuts = state.cuts_now;
    const model::Selection& selection = screen.session_.selection();
    const char* thing = view::thing_of(stroke.paint);
    if (selection.what == thing) stroke.chosen = selection.name;
    state.path.clear();
    const auto done = view::painted(*screen.foot(), stroke);
    if (!done) return tell(done.fault().message, true);
    if (done->commands.empty()) return tell("That is painted already.", false);
    screen.say("step begin " + in_quotes(std::string(stroke.cuts ? "Cut" : "Painted") +
                                         (done->part.empty() ? "" : " " + done->part)));
    for (const std::string& line : done->commands) screen.say(line);
    screen.say("step end");
    if (done->part.empty())
        screen.say("select none");
    else if (selection.what != thing || selection.name != done->part)
        screen.say(std::string("select ") + thing + " " + in_quotes(done->part));
    tell(done->words, false);
}

void BrushTool::overlay(const Box& box, const std::optional<Vec2>& place,
                        const std::function<Vec2(const Vec2&)>& on_screen) {
    if (!in_hand() || !paints()) return;
    Look& look = screen.look_;
    const picture::Theme& t = look.theme();
    const Colour core = look.dark ? Colour::hex(0xA9D6F6) : t.accent,
                 casing = look.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF);
    const auto ring_on = [&](const pattern::Ring& ring, bool dashed) {
        std::vector<Vec2> line;
        for (const Vec2& p : ring) line.push_back(on_screen(p));
        look.polyline(line, true, casing, 3.2, 0.85);
        if (dashed)
            look.dashed(line, true, core, 1.4, {4, 3});
        else
            look.polyline(line, true, core, 1.4);
    };
    const bool taking = state.path.empty() ? cuts() : state.cuts_now;
    if (!state.path.empty()) {
        // coarser than what becomes of it
        constexpr double shown_chord_mm = 0.3;
        if (state.swept_places != state.path.size()) {
            state.swept_places = state.path.size();
            state.swept.clear();
            const pattern::Region region = pattern::swept(state.path, state.radius_mm);
            for (const pattern::Ring& ring : region.rings()) {
                std::vector<Vec2> coarse;
                for (const Vec2& p : ring)
                    if (coarse.empty() || (p - coarse.back()).norm() >= shown_chord_mm) coarse.push_back(p);
                state.swept.push_back(std::move(coarse));
            }
        }
        for (const auto& ring : state.swept) ring_on(ring, taking);
    } else {
        state.swept_places = 0;
    }
    if (!place || !box.contains(screen.state_.mouse)) return;
    std::vector<Vec2> circle;
    constexpr int pieces = 48;
    for (int i = 0; i < pieces; ++i) {
        const double a = 2.0 * std::numbers::pi * i / pieces;
        circle.push_back(*place + state.radius_mm * Vec2(std::cos(a), std::sin(a)));
    }
    ring_on(circle, taking);
    screen.words_beside(box, screen.state_.mouse,
                        {taking ? std::string("cut out") : value_words(*paints(), value()),
                         "radius " + figure(state.radius_mm, 0, "mm")});
}

std::string BrushTool::words() const {
    return state.cuts ? "brush: cuts out; Esc ends" : "brush: Alt cuts out; Esc ends";
}

/// Radius and value of the brush, in the stages that paint.
void Panel::brush() {
    BrushTool tool(screen);
    const auto paint = tool.paints();
    if (!paint) return;
    y += 8;
    head("Brush", tool.in_hand() ? (tool.state.cuts ? "cuts out" : "paints") : "");
    const int pressed =
        buttons("brush", {"Paint", "Cut out"}, 0, tool.in_hand() ? (tool.state.cuts ? 1 : 0) : -1);
    if (pressed >= 0) tool.toggle(pressed == 1);
    const auto row_of = [&](const std::string& id, const std::string& name,
                            const std::string& now) -> std::optional<double> {
        if (!field_row(id, name, now)) return {};
        std::string text = typed(id);
        typed(id).clear();
        if (const std::size_t unit = text.find(" mm"); unit != std::string::npos) text.erase(unit);
        const auto number = parse_number(text);
        if (!number) tool.tell("Write a number, for example " + now + ".", true);
        return number;
    };
    if (const auto radius = row_of("brush radius", "Radius", figure(tool.state.radius_mm, 1, "mm")))
        tool.state.radius_mm = std::clamp(*radius, view::least_brush_mm, view::most_brush_mm);
    const bool wall = *paint == view::Paint::wall;
    if (const auto value = row_of("brush value", wall ? "Wall" : "Strength",
                                  wall ? figure(tool.value(), 1, "mm") : figure(tool.value(), 2))) {
        tool.value() = view::in_range(view::neat(*value), view::parameter_of(*paint));
        // another value is painted beside what is selected
        if (screen.session_.selection().what == view::thing_of(*paint)) say("select none");
    }
    words(
        "P takes it in hand, Shift and the wheel change its radius. A stroke joins what it meets of the same "
        "value.",
        0, 3, true);
}

}  // namespace archwright::editor::ui
