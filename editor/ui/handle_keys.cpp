// Handles without the mouse: the arrows, places that are typed; and the line of a drawn section.
#include <cmath>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/said.hpp"
#include "editor/view/handle_section.hpp"
#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double nudge_mm = 0.5, small_nudge_mm = 0.1;

using view::Handle;

}  // namespace

void HandleTool::bring_to(const Handle& handle, const Vec2& plan) {
    if (handle.by_person && !has_person()) return;
    view::Drag drag{handle.at, Vec3(plan.x(), plan.y(), handle.at.z())};
    drag.exact = true;
    if (handle.on_cast) {
        const auto there = sole() ? sole()->on_cast(plan, handle.at.z()) : std::nullopt;
        if (!there) return tell("There is nothing of the cast there.", true);
        drag.to = *there;
    }
    const auto moved = handle.move(drag);
    if (!moved) return tell(with_minus(moved.fault().message), true);
    say_all(*moved, screen.session_.selection().name + " " + handle.part);
}

const view::Handles& HandleTool::section_line() {
    state.section_line = {};
    const model::Sections& sections = screen.session_.sections();
    const auto shown = sections.lines.find(sections.shown);
    if (shown == sections.lines.end() || shown->second.size() != 2) return state.section_line;
    for (std::size_t i = 0; i < 2; ++i) {
        Handle h;
        h.part = "section " + shown->first + " end " + std::to_string(i + 1);
        h.at = Vec3(shown->second[i].x(), shown->second[i].y(), 0.0);
        h.of_view = true;
        h.move = [letter = shown->first, line = shown->second,
                  i](const view::Drag& d) -> Outcome<view::Moved> {
            constexpr double shortest_mm = 5.0;
            std::vector<Vec2> now = line;
            now[i] = view::place_of(d);
            const double length = (now[1] - now[0]).norm();
            if (length < shortest_mm)
                return Fault{FaultKind::usage, "drag", "The line of a section is 5 mm long or more.", {}};
            return view::Moved{{"section " + letter + " " + view::points_json(now)},
                               rounded(length, 1) + " mm"};
        };
        state.section_line.list.push_back(std::move(h));
    }
    return state.section_line;
}

const view::Handles* HandleTool::of_section(const picture::SectionCut& cut) {
    const model::Selection& selection = screen.session_.selection();
    if (selection.what != "post" || screen.foot() == nullptr || !screen.shown_ ||
        screen.shown_ != screen.latest_ || screen.shown_->device() == nullptr) {
        state.of_section.clear();
        return nullptr;
    }
    std::string key = std::to_string(screen.session_.edition()) + " " +
                      std::to_string(screen.shown_->number()) + " " + word(screen.session_.foot()) + " " +
                      selection.name + " " + exact(cut.at);
    for (const Vec2& p : cut.line) key += " " + exact(p.x()) + " " + exact(p.y());
    auto& [made_of, handles] = state.of_section[cut.letter];
    if (made_of != key) {
        made_of = key;
        handles = view::post_section_handles(*screen.foot(), selection.name, *screen.shown_->device(), cut);
    }
    return handles.empty() ? nullptr : &handles;
}

void HandleTool::keys() {
    const ImGuiIO& io = ImGui::GetIO();
    const int region = screen.state_.panels.region;
    // with a region chosen the arrows are its own
    if (screen.typing() || io.KeyCtrl || io.KeyAlt || state.grasp || region >= 0) return;
    const auto pressed = [](ImGuiKey key) { return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), true); };
    const double across = pressed(ImGuiKey_RightArrow)  ? 1
                          : pressed(ImGuiKey_LeftArrow) ? -1
                                                        : 0,
                 along = pressed(ImGuiKey_UpArrow)     ? 1
                         : pressed(ImGuiKey_DownArrow) ? -1
                                                       : 0;
    if (across == 0 && along == 0) return;
    const view::Handles& all = handles();
    const Handle* handle = all.find(state.active);
    if (handle == nullptr || handle->glyph == Handle::Glyph::size || handle->glyph == Handle::Glyph::turn)
        handle = all.whole ? &*all.whole : all.list.size() == 1 ? &all.list.front() : nullptr;
    if (handle == nullptr) return;
    const double step = io.KeyShift ? small_nudge_mm : nudge_mm;
    const Vec3 way = along * state.up + across * state.right;
    view::Drag drag{handle->at, handle->at + step * way};
    if (handle->by_person && !has_person()) return;
    if (handle->on_cast) {
        // along the cast, as far as that
        const Vec3 normal = sole()->cast_normal(handle->at);
        const Vec3 flat = way - normal * normal.dot(way);
        const auto there =
            flat.norm() > 0.1 ? sole()->nearest_cast(handle->at + step * flat.normalized()) : std::nullopt;
        if (!there)
            return tell("The cast runs straight towards you there: turn the model, and move it so.", true);
        drag.to = *there;
    }
    drag.exact = true;
    const auto moved = handle->move(drag);
    if (!moved) return tell(with_minus(moved.fault().message), true);
    // as with the wheel of a box: strokes that follow each other are one step
    const model::Selection& selection = screen.session_.selection();
    PanelState& panels = screen.state_.panels;
    const std::string run = "arrows " + selection.what + " " + selection.name + " " + handle->part;
    if (panels.wheel_path != run || !screen.session_.history()->open()) {
        screen.say("step begin " + in_quotes(selection.name + " " + handle->part));
        panels.wheel_path = run;
    }
    panels.wheel_time = ImGui::GetTime();
    for (const std::string& line : moved->commands) say_one(line);
    tell(with_minus(moved->words), false);
}

}  // namespace archwright::editor::ui
