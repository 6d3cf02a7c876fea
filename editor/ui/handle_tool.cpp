#include "editor/ui/handle_tool.hpp"

#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/pattern/pattern.hpp"

namespace archwright::editor::ui {

namespace {

// logical pixels
constexpr double cast_radius = 12, curve_radius = 8, snap_radius = 12;
constexpr double turn_stem = 24;
/// A press that moves less is a click.
constexpr double least_drag = 3;
constexpr double slow_share = 0.1;

using view::Handle;

}  // namespace

const std::shared_ptr<const view::Sole>& HandleTool::sole() {
    state.sole = screen.shown_ ? view::Sole::of(*screen.shown_, std::move(state.sole)) : nullptr;
    return state.sole;
}

const view::Handles& HandleTool::handles() {
    const model::Selection& selection = screen.session_.selection();
    if (state.active_of != selection) {
        state.active_of = selection;
        state.active.clear();
    }
    // what lies before the last step is looked at, not dragged
    if (screen.foot() == nullptr || !screen.shown_ || screen.shown_ != screen.latest_) {
        state.key.clear();
        state.handles = {};
        return state.handles;
    }
    // the trim line can be taken hold of wherever nothing else is
    const bool trim =
        (selection.what == "none" || selection.what == "check") && screen.session_.stage() == "trim";
    const std::string key = std::to_string(screen.session_.edition()) + " " +
                            std::to_string(screen.shown_->number()) + " " + word(screen.session_.foot()) +
                            " " + selection.what + " " + selection.name + (trim ? " trim" : "");
    if (key != state.key) {
        state.key = key;
        state.handles =
            view::handles_of(*screen.foot(), trim ? view::Thing{"control", ""} : selection, sole());
        if (selection.what == "cover" && state.handles.empty()) state.handles = cover_edge(selection.name);
    }
    return state.handles;
}

/// On the edge that a cover has without a drawn one; it is laid out once for a device and an order.
view::Handles HandleTool::cover_edge(const std::string& name) const {
    const build::Device* device = screen.shown_->device();
    for (const design::Cover& cover : screen.foot()->covers) {
        if (cover.name != name || !cover.outline.empty() || device == nullptr) continue;
        if (!device->received || !device->surfaced || !device->shelled) continue;
        const auto edge = pattern::edge_in_plan(*device, *screen.foot(), cover, design::most_region_points);
        if (edge) return view::cover_handles(cover, *edge);
    }
    return {};
}

std::string HandleTool::label(const HandlePane& pane) const {
    const model::Selection& selection = screen.session_.selection();
    std::string words = pane.own != nullptr         ? pane.title
                        : selection.what == "check" ? std::string()
                                                    : selection.name;
    if (words.empty()) words = "Trim line";
    if (const auto id = foot::landmark_id(words); id && selection.what == "landmark")
        words = foot::title(*id);
    return words + (state.grasp ? " " + state.grasp->handle.part : std::string());
}

void HandleTool::tell(const std::string& words, bool fault) {
    screen.state_.told = state.told = words;
    screen.state_.told_fault = state.told_fault = fault;
}

void HandleTool::refuse(const std::string& why) {
    state.grasp->refused = why;
    tell(why, true);
}

Vec2 HandleTool::glyph_at(const HandlePane& pane, const Handle& handle) const {
    const Vec2 at = pane.on_screen(handle.at);
    if (handle.glyph != Handle::Glyph::turn) return at;
    const Vec2 way = at - pane.on_screen(handle.stem);
    return way.norm() > 1e-6 ? Vec2(at + turn_stem * way.normalized()) : at;
}

const Handle* HandleTool::nearest(const HandlePane& pane, const Vec2& pixel) {
    const Handle* best = nullptr;
    double least = 1e300;
    for (const Handle& h : handles(pane).list) {
        if (pane.cast_only && (!h.on_cast || !pane.visible(h.at))) continue;
        if (pane.shows && !pane.shows(h)) continue;
        const double away = (glyph_at(pane, h) - pixel).norm();
        if (away > (h.on_cast ? cast_radius : handle_radius) || away >= least) continue;
        least = away;
        best = &h;
    }
    return best;
}

bool HandleTool::whole_at(const HandlePane& pane, const Vec2& pixel) {
    if (!handles().whole || pane.name != "plan") return false;
    const auto place = pane.place(pixel, *handles().whole, handles().whole->at);
    if (!place) return false;
    return std::any_of(handles().curves.begin(), handles().curves.end(), [&](const view::HandleCurve& c) {
        return view::holds(c, place->head<2>()) ||
               view::nearest_on(c, place->head<2>()).distance * pane.pixels_per_mm <= curve_radius;
    });
}

bool HandleTool::has_person() {
    if (!screen.session_.settings().person.empty()) return true;
    tell("Landmarks and marks go on record with your code: give it in the inspector first.", true);
    return false;
}

void HandleTool::say_one(const std::string& line) {
    const bool on_record = line.starts_with("landmark ") || line.starts_with("mark ");
    screen.say(on_record ? line + " by=" + screen.session_.settings().person : line);
}

void HandleTool::say_all(const view::Moved& moved, const std::string& of) {
    if (moved.commands.size() > 1) screen.say("step begin " + in_quotes(of));
    for (const std::string& line : moved.commands) say_one(line);
    if (moved.commands.size() > 1) screen.say("step end");
}

void HandleTool::take(const HandlePane& pane, const Handle& handle) {
    if (handle.by_person && !has_person()) {
        state.spent = true;
        return;
    }
    HandleState::Grasp grasp;
    grasp.view = pane.name;
    grasp.handle = handle;
    grasp.pressed = grasp.mouse = screen.state_.mouse;
    grasp.hand = handle.glyph == Handle::Glyph::whole ? grasp.mouse : glyph_at(pane, handle);
    const auto from = pane.place(grasp.hand, handle, handle.at);
    // a point stands where it stands, whatever its pixel says
    grasp.from = handle.glyph == Handle::Glyph::point || !from ? handle.at : *from;
    grasp.good = {grasp.from, grasp.from};
    grasp.reached = grasp.hand;
    state.active = handle.part;
    state.grasp = std::move(grasp);
}

bool HandleTool::bring(const HandlePane& pane, const view::Drag& drag) {
    HandleState::Grasp& grasp = *state.grasp;
    const auto moved = grasp.handle.move(drag);
    if (!moved) {
        refuse(with_minus(moved.fault().message));
        return false;
    }
    grasp.refused.clear();
    grasp.good = drag;
    if (grasp.moved && grasp.moved->commands == moved->commands) return true;
    grasp.moved = *moved;
    if (grasp.handle.at_rest) return true;
    if (!grasp.begun && !grasp.handle.of_view) screen.say("step begin " + in_quotes(label(pane)));
    grasp.begun = !grasp.handle.of_view;
    for (const std::string& line : moved->commands) say_one(line);
    return true;
}

void HandleTool::follow(const HandlePane& pane) {
    HandleState::Grasp& grasp = *state.grasp;
    const ImGuiIO& io = ImGui::GetIO();
    const Vec2 mouse = screen.state_.mouse;
    if (!grasp.moving && (mouse - grasp.pressed).norm() < least_drag) return;
    grasp.moving = true;
    grasp.hand += (mouse - grasp.mouse) * (io.KeyCtrl ? slow_share : 1.0);
    grasp.mouse = mouse;
    const bool placed = grasp.handle.snaps && (grasp.handle.glyph == Handle::Glyph::point ||
                                               grasp.handle.glyph == Handle::Glyph::whole);
    view::Drag drag;
    drag.from = grasp.from;
    drag.snap = io.KeyShift;
    auto to = pane.place(grasp.hand, grasp.handle, grasp.good.to);
    std::string beside;
    if (!to) {
        // as far towards it as there is something
        beside = "There is nothing of the cast there: it stays at the edge.";
        Vec2 low = grasp.reached, high = grasp.hand;
        for (int round = 0; round < 12; ++round) {
            const Vec2 middle = 0.5 * (low + high);
            const auto there = pane.place(middle, grasp.handle, grasp.good.to);
            (there ? low : high) = middle;
            if (there) to = there;
        }
        if (!to) return refuse(beside);
        grasp.reached = low;
    } else {
        grasp.reached = grasp.hand;
    }
    drag.to = *to;
    if (drag.snap && placed && beside.empty()) {
        // what is brought to a landmark or mark is the handle's own place, not where it was taken
        const Vec3 off = grasp.handle.at - grasp.from;
        const Vec2 goal = pane.on_screen(drag.to + off);
        double least = snap_radius;
        drag.exact = true;
        std::optional<view::SnapPlace> snapped;
        for (const view::SnapPlace& place :
             sole() ? sole()->snap_places(*screen.foot()) : std::vector<view::SnapPlace>{}) {
            const double away = (pane.on_screen(place.at) - goal).norm();
            if (away > least || (grasp.handle.on_cast && (place.at - grasp.handle.at).norm() < 1e-9))
                continue;
            least = away;
            snapped = place;
        }
        if (snapped) {
            drag.to = snapped->at - off;
            drag.in_scan = snapped->in_scan;
        } else {
            // whole millimetres of the plan
            Vec3 grid = drag.to + off;
            grid.head<2>() = Vec2(std::round(grid.x()), std::round(grid.y()));
            if (grasp.handle.on_cast) {
                const auto on_it = pane.place(pane.on_screen(grid), grasp.handle, drag.to);
                if (on_it) drag.to = *on_it;
            } else {
                drag.to = grid - off;
            }
        }
    }
    const view::Drag good = grasp.good;
    if (bring(pane, drag)) {
        if (!beside.empty()) refuse(beside);
        return;
    }
    // as far as it goes
    drag.exact = false;
    drag.in_scan.reset();
    Vec3 low = good.to, high = drag.to;
    const std::string why = grasp.refused;
    for (int round = 0; round < 12; ++round) {
        const Vec3 middle = 0.5 * (low + high);
        drag.to = middle;
        (grasp.handle.move(drag) ? low : high) = middle;
    }
    drag.to = low;
    if ((low - good.to).norm() > 1e-6) bring(pane, drag);
    refuse(why);
}

void HandleTool::let_go(const HandlePane& pane) {
    HandleState::Grasp grasp = std::move(*state.grasp);
    state.grasp.reset();
    if (grasp.begun) screen.say("step end");
    if (!grasp.refused.empty()) tell(grasp.refused, true);
    if (grasp.handle.at_rest && grasp.moved) say_all(*grasp.moved, label(pane) + " " + grasp.handle.part);
}

bool HandleTool::escape() {
    if (!state.grasp && !state.made.empty()) {
        state.made.clear();
        state.spent = true;
        screen.say("step drop");
        tell("As it was before.", false);
        return true;
    }
    if (!state.grasp) return false;
    if (state.grasp->begun) screen.say("step drop");
    if (const Handle& handle = state.grasp->handle; handle.of_view && state.grasp->moved)
        if (const auto back = handle.move({handle.at, handle.at, false, true}))
            screen.say(back->commands.front());
    state.grasp.reset();
    state.spent = true;
    tell("As it was before.", false);
    return true;
}

/// A line taken where it has no point: once the mouse means it a point is made there, and taken.
bool HandleTool::draw_out(const HandlePane& pane, const Screen::Hit& hit) {
    if (pane.name != "plan" || (!state.line_pressed && state.made.empty())) return false;
    const Vec2 mouse = screen.state_.mouse;
    if (!state.made.empty()) {
        const Handle* made = handles().find(std::exchange(state.made, {}));
        const Vec2 pressed = *std::exchange(state.line_pressed, std::nullopt);
        if (made == nullptr) {
            screen.say("step drop");
            state.spent = true;
            return true;
        }
        take(pane, *made);
        state.grasp->pressed = state.grasp->mouse = pressed;
        state.grasp->begun = state.grasp->moving = true;
        follow(pane);
        if (hit.released || !hit.held) let_go(pane);
        return true;
    }
    if (hit.released || !hit.held) {
        state.line_pressed.reset();
        return true;
    }
    if ((mouse - *state.line_pressed).norm() < least_drag) return true;
    const auto place = pane.place(*state.line_pressed, Handle{}, Vec3::Zero());
    const auto moved = handles().add(place->head<2>());
    if (!moved) {
        state.line_pressed.reset();
        state.spent = true;
        tell(with_minus(moved.fault().message), true);
        return true;
    }
    screen.say("step begin " + in_quotes(label(pane) + " " + moved->part));
    for (const std::string& line : moved->commands) say_one(line);
    state.made = moved->part;
    return true;
}

bool HandleTool::drag(const HandlePane& pane, const Screen::Hit& hit) {
    const ImGuiIO& io = ImGui::GetIO();
    if (!ImGui::IsMouseDown(ImGuiMouseButton_Left) && !hit.released) state.spent = false;
    if (state.grasp) {
        if (state.grasp->view != pane.name) return false;
        // an undo in between has ended its step
        const design::History* history = screen.session_.history();
        if (state.grasp->begun && (history == nullptr || !history->open())) {
            state.grasp.reset();
            state.spent = true;
            return true;
        }
        if (hit.held) follow(pane);
        if (hit.released || !hit.held) let_go(pane);
        return true;
    }
    if (state.spent) return true;
    if (draw_out(pane, hit)) return true;
    if (!hit.activated || screen.state_.tool != Tool::none) return false;
    const Vec2 mouse = screen.state_.mouse;
    const Handle* const under = nearest(pane, mouse);
    const auto done = [&](const Outcome<view::Moved>& moved) {
        state.spent = true;
        if (!moved) return tell(moved.fault().message, true);
        say_all(*moved, label(pane));
        state.active = moved->part;
    };
    const bool of_mark = state.active_of.what == "mark";
    if (io.KeyAlt && under != nullptr && under->remove) {
        if (under->by_person && !has_person())
            state.spent = true;
        else
            done(under->remove());
        return true;
    }
    if (io.KeyCtrl && under == nullptr && pane.own != nullptr && pane.own->add) {
        const auto place = pane.place(mouse, Handle{}, Vec3::Zero());
        done(pane.own->add(place->head<2>()));
        return true;
    }
    if (io.KeyCtrl && under == nullptr && handles().add && pane.name == "plan") {
        const auto place = pane.place(mouse, Handle{}, Vec3::Zero());
        const auto near_curve = [&](const view::HandleCurve& c) {
            return view::nearest_on(c, place->head<2>()).distance * pane.pixels_per_mm <= curve_radius;
        };
        if (std::any_of(handles().curves.begin(), handles().curves.end(), near_curve)) {
            if (of_mark && !has_person())
                state.spent = true;
            else
                done(handles().add(place->head<2>()));
            return true;
        }
    }
    if (under != nullptr) {
        take(pane, *under);
        return true;
    }
    if (pane.name == "plan" && (handles().add_size || handles().drawn_out)) {
        const auto place = pane.place(mouse, Handle{}, Vec3::Zero());
        const auto on_line = [&](const view::HandleCurve& c) {
            return view::nearest_on(c, place->head<2>()).distance * pane.pixels_per_mm <= curve_radius;
        };
        const bool here = std::any_of(handles().curves.begin(), handles().curves.end(), on_line);
        if (here && handles().add_size && ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left)) {
            done(handles().add_size(place->head<2>()));
            return true;
        }
        if (here && handles().drawn_out) {
            state.line_pressed = mouse;
            return true;
        }
    }
    if (whole_at(pane, mouse)) {
        take(pane, *handles().whole);
        return true;
    }
    return false;
}

void HandleTool::click(const HandlePane& pane, const Screen::Hit& hit) {
    if (hit.activated) state.pressed = screen.state_.mouse;
    if (!hit.released || !state.pressed) return;
    const Vec2 mouse = screen.state_.mouse;
    const bool moved = (mouse - *state.pressed).norm() >= least_drag;
    state.pressed.reset();
    if (moved || screen.foot() == nullptr || !screen.shown_ || screen.shown_ != screen.latest_) return;
    const std::string& stage = screen.session_.stage();
    const bool cast = stage == "receive" || stage == "examine" || stage == "balance";
    std::optional<view::Thing> thing;
    if (pane.cast_only) {
        // landmarks that can be seen, the nearest
        double least = cast_radius;
        if (cast && sole())
            for (const auto& [id, landmark] : screen.foot()->landmarks) {
                const Vec3 at = sole()->frame().to_design(landmark.position);
                const double away = (pane.on_screen(at) - mouse).norm();
                if (away > least || !pane.visible(at)) continue;
                least = away;
                thing = view::Thing{"landmark", foot::key(id)};
            }
    } else if (const auto place = pane.place(mouse, Handle{}, Vec3::Zero())) {
        view::Pickable which;
        which.landmarks = cast;
        which.marks = stage == "receive" || stage == "examine" || stage == "reliefs";
        which.features = !cast && stage != "dress";
        which.regions = stage == "wall" || stage == "prove" || stage == "make";
        which.zones = stage == "dress";
        which.posts = stage == "post";
        thing = view::thing_at(*screen.foot(), which, place->head<2>(), curve_radius / pane.pixels_per_mm,
                               sole());
    }
    if (!thing || *thing == screen.session_.selection()) return;
    screen.say("select " + thing->what + " " + in_quotes(thing->name));
}

}  // namespace archwright::editor::ui
