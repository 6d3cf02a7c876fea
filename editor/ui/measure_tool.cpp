// Measuring in the views: places are pressed, figures stand beside the cursor.
#include <algorithm>
#include <cmath>

#include "editor/ui/screen.hpp"
#include "editor/view/measure.hpp"

namespace archwright::editor::ui {

void Screen::measure(const view::Place& place) {
    if (state_.measured.size() >= 3) state_.measured.clear();
    state_.measured.push_back(place);
}

std::vector<std::string> Screen::measured_words() const {
    // the cursor stands for the next place, until three are there
    std::vector<view::Place> places = state_.measured;
    if (places.size() < 3 && state_.cursor && !state_.hovered.empty() &&
        (places.empty() || (places.back().at - state_.cursor->at).norm() > 1e-9))
        places.push_back(*state_.cursor);
    std::vector<std::string> lines;
    if (places.empty() || !shown_) return lines;
    if (places.size() == 1) {
        const view::Place& p = places[0];
        for (const picture::SectionCut& cut :
             {picture::SectionCut{0, p.at.x(), "F", ""}, picture::SectionCut{1, p.at.y(), "S", ""}}) {
            const auto bend =
                view::bend_at(picture::cut_section(shown_->surface_of(p), cut), cut, p.at, p.normal);
            lines.push_back(cut.letter + (bend ? " radius " + figure(bend->radius_mm, 1, "mm") +
                                                     (bend->hollow ? " hollow" : " raised")
                                               : std::string(" straight")));
        }
        return lines;
    }
    const view::Place &a = places[places.size() - 2], &b = places.back();
    if (places.size() == 3) {
        const auto angle = view::angle_at(places[0].at, places[1].at, places[2].at);
        const auto radius = view::radius_through(places[0].at, places[1].at, places[2].at);
        lines.push_back(angle ? "angle " + figure(*angle, 1, "deg") : std::string("angle \u2013"));
        lines.push_back(radius ? "radius " + figure(*radius, 1, "mm") : std::string("in a line"));
    }
    lines.push_back(figure((b.at - a.at).norm(), 1, "mm") + (places.size() == 3 ? " last" : ""));
    if (places.size() == 2 && a.on_shell == b.on_shell)
        if (const auto along = view::along_surface(shown_->surface_of(a), a.at, b.at))
            lines.push_back("along " + figure(*along, 1, "mm"));
    return lines;
}

void Screen::words_beside(const Box& within, const Vec2& at, const std::vector<std::string>& lines,
                          const std::string& warning) {
    if (lines.empty()) return;
    const picture::Theme& t = look_.theme();
    double wide = 0;
    for (const std::string& line : lines) wide = std::max(wide, look_.measure(line, Face::small_strong));
    if (!warning.empty()) wide = std::max(wide, look_.measure(warning, Face::small_strong) + 20);
    const double row = 17, high = row * static_cast<double>(lines.size() + (warning.empty() ? 0 : 1)) + 6;
    Box plate{at.x() + 16, at.y() - 16 - high, wide + 16, high};
    if (plate.right() > within.right() - 4) plate.x = at.x() - 16 - plate.w;
    if (plate.y < within.y + 4) plate.y = at.y() + 16;
    // whole, beside the cursor, where there is no room above or below it
    plate.x = std::max(within.x + 4, std::min(plate.x, within.right() - 4 - plate.w));
    plate.y = std::max(within.y + 2, std::min(plate.y, within.bottom() - 2 - plate.h));
    look_.fill(plate, t.board, 4, 0.94);
    look_.frame(plate, t.frame, 4);
    double y = plate.y + 3 + 0.5 * row;
    for (const std::string& line : lines) {
        look_.text(line, {plate.x + 8, y}, wide + 1, Face::small_strong, t.text);
        y += row;
    }
    if (warning.empty()) return;
    look_.sign({plate.x + 15, y}, Sign::look, 0.8);
    look_.text(warning, {plate.x + 28, y}, wide - 19, Face::small_strong, look_.sign_colour(Sign::look));
}

void Screen::measure_overlay(const Box& view,
                             const std::function<std::optional<Vec2>(const Vec3&)>& on_screen) {
    if (state_.tool != Tool::measure) return;
    const picture::Theme& t = look_.theme();
    const bool here = view.contains(state_.mouse) && !state_.hovered.empty();
    std::vector<Vec2> line;
    for (const view::Place& place : state_.measured)
        if (const auto p = on_screen(place.at)) line.push_back(*p);
    std::vector<Vec2> whole = line;
    if (state_.measured.size() < 3 && state_.cursor && !state_.measured.empty())
        if (const auto p = on_screen(state_.cursor->at)) whole.push_back(*p);
    look_.polyline(whole, false, t.board, 4.0, 0.85);
    look_.polyline(whole, false, t.accent, 1.6);
    for (const Vec2& p : line) {
        look_.disc(p, 4.4, t.board, 0.9);
        look_.disc(p, 3.0, t.accent);
    }
    if (here) words_beside(view, state_.mouse, measured_words());
}

}  // namespace archwright::editor::ui
