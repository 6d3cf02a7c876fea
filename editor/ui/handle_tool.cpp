#include "editor/ui/handle_tool.hpp"

#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "editor/view/handle_curve.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

// logical pixels
constexpr double handle_radius = 8, cast_radius = 12, curve_radius = 8, snap_radius = 12;
constexpr double turn_stem = 24;
constexpr double lens_size = 120, lens_away = 22, lens_times = 4;
/// A press that moves less is a click.
constexpr double least_drag = 3;
constexpr double slow_share = 0.1;
constexpr double nudge_mm = 0.5, small_nudge_mm = 0.1;

using view::Handle;

/// For reading: a true minus.
std::string with_minus(std::string words) {
    for (std::size_t at = 0; (at = words.find('-', at)) != std::string::npos; at += 3)
        if (at + 1 < words.size() && words[at + 1] >= '0' && words[at + 1] <= '9')
            words.replace(at, 1, "\u2212");
    return words;
}

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
    const std::string key = std::to_string(screen.session_.edition()) + " " +
                            std::to_string(screen.shown_->number()) + " " + word(screen.session_.foot()) +
                            " " + selection.what + " " + selection.name;
    if (key != state.key) {
        state.key = key;
        state.handles = view::handles_of(*screen.foot(), selection, sole());
    }
    return state.handles;
}

std::string HandleTool::label() const {
    const model::Selection& selection = screen.session_.selection();
    return selection.name + (state.grasp ? " " + state.grasp->handle.part : std::string());
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
    for (const Handle& h : handles().list) {
        if (pane.cast_only && (!h.on_cast || !pane.visible(h.at))) continue;
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

bool HandleTool::bring(const view::Drag& drag) {
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
    if (!grasp.begun) screen.say("step begin " + in_quotes(label()));
    grasp.begun = true;
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
    const bool placed =
        grasp.handle.glyph == Handle::Glyph::point || grasp.handle.glyph == Handle::Glyph::whole;
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
    if (bring(drag)) {
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
    if ((low - good.to).norm() > 1e-6) bring(drag);
    refuse(why);
}

void HandleTool::let_go() {
    HandleState::Grasp grasp = std::move(*state.grasp);
    state.grasp.reset();
    if (grasp.begun) screen.say("step end");
    if (!grasp.refused.empty()) tell(grasp.refused, true);
    if (grasp.handle.at_rest && grasp.moved) say_all(*grasp.moved, label() + " " + grasp.handle.part);
}

bool HandleTool::escape() {
    if (!state.grasp) return false;
    if (state.grasp->begun) screen.say("step drop");
    state.grasp.reset();
    state.spent = true;
    tell("As it was before.", false);
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
        if (hit.released || !hit.held) let_go();
        return true;
    }
    if (state.spent) return true;
    if (!hit.activated || screen.state_.tool != Tool::none) return false;
    const Vec2 mouse = screen.state_.mouse;
    const Handle* const under = nearest(pane, mouse);
    const auto done = [&](const Outcome<view::Moved>& moved) {
        state.spent = true;
        if (!moved) return tell(moved.fault().message, true);
        say_all(*moved, label());
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
        thing = view::thing_at(*screen.foot(), which, place->head<2>(), curve_radius / pane.pixels_per_mm,
                               sole());
    }
    if (!thing || *thing == screen.session_.selection()) return;
    screen.say("select " + thing->what + " " + in_quotes(thing->name));
}

void HandleTool::keys() {
    const ImGuiIO& io = ImGui::GetIO();
    const int region = screen.state_.panels.region;
    // with a region chosen the arrows are its own
    if (io.WantTextInput || io.KeyCtrl || io.KeyAlt || state.grasp || region >= 0) return;
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
    say_all(*moved, screen.session_.selection().name + " " + handle->part);
    tell(with_minus(moved->words), false);
}

void HandleTool::overlay(const HandlePane& pane) {
    // the arrows move on the page of the plan, or of the model while the mouse is over it
    if (pane.name == "plan" || (pane.cast_only && pane.box.contains(screen.state_.mouse)))
        state.up = pane.up, state.right = pane.right;
    const view::Handles& all = handles();
    if (all.empty()) return;
    Look& look = screen.look_;
    const picture::Theme& t = look.theme();
    const Colour core = look.dark ? Colour::hex(0xA9D6F6) : t.accent,
                 casing = look.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF);
    if (pane.name == "plan")
        for (const view::HandleCurve& curve : all.curves) {
            std::vector<Vec2> line;
            for (const Vec2& p : curve.points) line.push_back(pane.on_screen(Vec3(p.x(), p.y(), 0.0)));
            look.polyline(line, curve.closed, casing, 3.2, 0.85);
            if (curve.closed)
                look.polyline(line, true, core, 1.4);
            else
                look.dashed(line, false, core, 1.4, {12, 3, 2, 3});
        }
    if (all.whole && pane.name == "plan") {
        const Vec2 at = pane.on_screen(all.whole->at);
        screen.places_.emplace_back("handle whole", Box{at.x() - 5, at.y() - 5, 10, 10});
    }
    for (const Handle& h : all.list) {
        if (pane.cast_only && !h.on_cast) continue;
        const bool in_hand = state.grasp && state.grasp->handle.part == h.part && state.grasp->handle.at_rest;
        const Vec2 at = in_hand ? pane.on_screen(state.grasp->good.to) : glyph_at(pane, h);
        if (pane.name == "plan" || pane.cast_only)
            screen.places_.emplace_back((pane.cast_only ? "model handle " : "handle ") + h.part,
                                        Box{at.x() - 5, at.y() - 5, 10, 10});
        const bool held = state.grasp && state.grasp->handle.part == h.part;
        const bool on = held || state.active == h.part ||
                        (!state.grasp && pane.box.contains(screen.state_.mouse) &&
                         (at - screen.state_.mouse).norm() <= handle_radius);
        if (h.on_cast && h.part == "place") {
            // a landmark: its circle and cross
            for (const bool inner : {false, true}) {
                const Colour& colour = inner ? core : casing;
                look.ring(at, 5.5, colour, inner ? (on ? 2.6 : 1.8) : 4.4, inner ? 1.0 : 0.85);
                for (const auto& [dx, dy] :
                     {std::pair(1, 0), std::pair(-1, 0), std::pair(0, 1), std::pair(0, -1)})
                    look.line(at + Vec2(5.5 * dx, 5.5 * dy), at + Vec2(8.5 * dx, 8.5 * dy), colour,
                              inner ? 1.8 : 4.4, inner ? 1.0 : 0.85);
            }
            continue;
        }
        if (h.glyph == Handle::Glyph::turn) {
            const Vec2 foot = pane.on_screen(h.at);
            look.line(foot, at, casing, 3.2, 0.85);
            look.line(foot, at, core, 1.4);
            look.disc(at, 5.4, casing, 0.95);
            look.ring(at, 4.2, core, on ? 3.0 : 1.6);
        } else if (h.glyph == Handle::Glyph::size) {
            look.disc(at, 5.4, casing, 0.95);
            look.disc(at, 4.2, on ? core : t.board);
            look.ring(at, 4.2, core, 1.4);
        } else {
            look.fill({at.x() - 5.2, at.y() - 5.2, 10.4, 10.4}, casing, 1.5, 0.95);
            look.fill({at.x() - 4, at.y() - 4, 8, 8}, on ? core : t.board, 1);
            look.frame({at.x() - 4, at.y() - 4, 8, 8}, core, 1, 1.4);
        }
    }
    if (!state.grasp || state.grasp->view != pane.name || !state.grasp->moved) return;
    std::vector<std::string> lines{with_minus(state.grasp->moved->words)};
    if (!state.grasp->handle.about.empty()) lines.push_back(state.grasp->handle.about);
    // the lens stands above: words below it
    const double down = state.grasp->handle.on_cast ? 34.0 + 17.0 * static_cast<double>(lines.size()) : 0.0;
    screen.words_beside(pane.box, screen.state_.mouse + Vec2(0, down), lines);
    magnify(pane);
}

void HandleTool::magnify(const HandlePane& pane) {
    if (!pane.lens || !state.grasp->handle.on_cast) return;
    Look& look = screen.look_;
    const Vec2 at = pane.on_screen(state.grasp->good.to);
    Box box{at.x() - lens_away - lens_size, at.y() - lens_away - lens_size, lens_size, lens_size};
    box.x = std::max(box.x, pane.box.x + 4);
    box.y = std::max(box.y, pane.box.y + 4);
    // in the corner it would lie over what it magnifies
    if (box.inset(-0.5 * lens_away).contains(at)) box.x = at.x() + lens_away;
    look.fill(box, look.theme().board);
    pane.lens(box, state.grasp->good.to, lens_times);
    const Vec2 middle = box.centre();
    for (const bool inner : {false, true}) {
        const Colour colour = inner ? Colour::hex(0xFFFFFF) : Colour::hex(0x10181E);
        for (const auto& [dx, dy] : {std::pair(1, 0), std::pair(-1, 0), std::pair(0, 1), std::pair(0, -1)})
            look.line(middle + Vec2(4 * dx, 4 * dy), middle + Vec2(16 * dx, 16 * dy), colour,
                      inner ? 1.2 : 3.2, inner ? 1.0 : 0.85);
    }
    look.frame(box, look.theme().frame, 0, 1);
    screen.places_.emplace_back("lens", box);
}

}  // namespace archwright::editor::ui
