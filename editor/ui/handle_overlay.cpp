// Handles as they are drawn: curves, glyphs, the figures beside the cursor, the lens.
#include <algorithm>
#include <cmath>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/said.hpp"

namespace archwright::editor::ui {

namespace {

// logical pixels
constexpr double lens_size = 120, lens_away = 22, lens_times = 4;

using view::Handle;

}  // namespace

void HandleTool::overlay(const HandlePane& pane) {
    // the arrows move on the page of the plan, or of the model while the mouse is over it
    if (pane.name == "plan" || (pane.cast_only && pane.box.contains(screen.state_.mouse)))
        state.up = pane.up, state.right = pane.right;
    const view::Handles& all = handles(pane);
    if (all.empty() && all.curves.empty()) return;
    Look& look = screen.look_;
    const picture::Theme& t = look.theme();
    const Colour core = look.dark ? Colour::hex(0xA9D6F6) : t.accent,
                 casing = look.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF);
    if (pane.name == "plan")
        for (const view::HandleCurve& curve : all.curves) {
            if (&curve == &all.curves.front() && !curve.points.empty()) {
                // somewhere along it, for whoever is told where things are
                const Vec2& p = curve.points[curve.points.size() / 2];
                const Vec2 at = pane.on_screen(Vec3(p.x(), p.y(), 0.0));
                screen.places_.emplace_back("handle line", Box{at.x(), at.y(), 0, 0});
            }
            if (curve.quiet && !state.grasp) continue;
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
        if (pane.shows && !pane.shows(h)) continue;
        const bool in_hand = state.grasp && state.grasp->handle.part == h.part && state.grasp->handle.at_rest;
        const Vec2 at = in_hand ? pane.on_screen(state.grasp->good.to) : glyph_at(pane, h);
        screen.places_.emplace_back(
            (pane.name == "plan" || (pane.own != nullptr && !pane.named) ? "handle "
                                                                         : pane.name + " handle ") +
                h.part,
            Box{at.x() - 5, at.y() - 5, 10, 10});
        const bool held = state.grasp && state.grasp->handle.part == h.part;
        const bool on = held || state.active == h.part ||
                        (!state.grasp && pane.box.contains(screen.state_.mouse) &&
                         (at - screen.state_.mouse).norm() <= handle_radius);
        // what the cast hides is faint, and is not taken there
        const bool hidden = pane.visible && !in_hand && !pane.visible(h.at);
        constexpr double hidden_ink = 0.3;
        if (h.on_cast && h.part == "place") {
            // a landmark: its circle and cross
            for (const bool inner : {false, true}) {
                const Colour& colour = inner ? core : casing;
                const double ink = hidden ? hidden_ink : inner ? 1.0 : 0.85;
                look.ring(at, 5.5, colour, inner ? (on ? 2.6 : 1.8) : 4.4, ink);
                for (const auto& [dx, dy] :
                     {std::pair(1, 0), std::pair(-1, 0), std::pair(0, 1), std::pair(0, -1)})
                    look.line(at + Vec2(5.5 * dx, 5.5 * dy), at + Vec2(8.5 * dx, 8.5 * dy), colour,
                              inner ? 1.8 : 4.4, ink);
            }
            continue;
        }
        if (hidden) continue;
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
    const std::vector<std::string> lines = words(pane);
    // the lens stands above: words below it
    const double down = state.grasp->handle.on_cast ? 34.0 + 17.0 * static_cast<double>(lines.size()) : 0.0;
    screen.words_beside(pane.box, screen.state_.mouse + Vec2(0, down), lines, warning(pane));
    magnify(pane);
}

/// The trim line may be drawn where nothing was scanned; what is built there stops.
std::string HandleTool::warning(const HandlePane& pane) {
    const Handle& held = state.grasp->handle;
    if (pane.own != nullptr || !held.part.starts_with("control ") || !sole()) return {};
    const Handle* now = handles().find(held.part);
    if (now == nullptr) return {};
    const Vec2 place = now->at.head<2>();
    return sole()->holds(place) && sole()->on_cast(place, now->at.z()) ? std::string()
                                                                       : "no sole there: it would stop";
}

std::vector<std::string> HandleTool::words(const HandlePane& pane) {
    std::vector<std::string> lines;
    std::string rest = with_minus(state.grasp->moved->words);
    for (std::size_t end; (end = rest.find('\n')) != std::string::npos; rest.erase(0, end + 1))
        lines.push_back(rest.substr(0, end));
    lines.push_back(rest);
    if (!state.grasp->handle.about.empty()) lines.push_back(state.grasp->handle.about);
    if (pane.own != nullptr || state.grasp->handle.on_cast || !screen.shown_) return lines;
    const Handle* now = handles().find(state.grasp->handle.part);
    if (now == nullptr) return lines;
    // of the shell that is shown, under the handle
    constexpr double near_mm = 8.0;
    const auto place = screen.shown_->over(now->at.head<2>());
    if (place && place->wall_mm && (place->at - now->at).head<2>().norm() < near_mm)
        lines.push_back("wall there " + figure(*place->wall_mm, 1, "mm"));
    if (state.grasp->handle.part.starts_with("control ")) {
        view::Place edge;
        edge.at = now->at;
        edge.on_shell = true;
        if (const auto past = screen.shown_->value_at(view::Map::shoe, edge))
            lines.push_back(*past > 0 ? figure(*past, 1, "mm") + " past the insole less its clearance"
                                      : figure(-*past, 1, "mm") + " within the insole less its clearance");
    }
    return lines;
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
