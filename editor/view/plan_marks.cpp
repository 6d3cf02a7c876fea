#include "editor/view/plan_marks.hpp"

#include "engine/base/text.hpp"

namespace archwright::editor::view {

using picture::Align;
using picture::Canvas;
using picture::PlanFrame;
using picture::Theme;
using picture::Type;
using picture::Weight;

namespace {

Vec2 on_page(const PlanFrame& frame, const Vec2& p) {
    return frame.axes.at(p.y(), p.x());
}

}  // namespace

void draw_insole(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Shown& shown) {
    if (shown.insole().empty()) return;
    canvas.clip(frame.view);
    std::vector<Vec2> page;
    for (const Vec2& p : shown.insole()) page.push_back(on_page(frame, p));
    canvas.polyline(page, true, {theme.faint, 1.2, 1.0, {2.0, 4.0}});
    canvas.unclip();
}

std::vector<picture::Box> draw_past_insole(Canvas& canvas, const PlanFrame& frame, const Theme& theme,
                                           const Shown& shown) {
    std::vector<picture::Box> figures;
    canvas.clip(frame.view);
    // as the check says of it: a look, or a stop
    const bool stops = shown.past_stops();
    const picture::Colour& colour = stops ? theme.stop : theme.look;
    const Type words{picture::type::small, Weight::semibold, colour, Align::centre};
    for (const Shown::Past& past : shown.past_insole()) {
        std::vector<Vec2> line;
        for (const Vec2& p : past.points) line.push_back(on_page(frame, p));
        canvas.polyline(line, false, {theme.board, 3.4, 0.85});
        canvas.polyline(line, false, {colour, 2.0});
        // what rounds to nothing is drawn, not written
        if (past.most_mm < 0.05) continue;
        const double side = past.worst.y() * frame.axes.sign >= 0 ? 1.0 : -1.0;
        const Vec2 at = on_page(frame, past.worst) + Vec2(side * 18.0, 0);
        const std::string text = rounded(past.most_mm, 1) + " past";
        figures.push_back(picture::plate_box(canvas, at, text, words));
        picture::draw_plate(canvas, figures.back(), text, words, theme);
    }
    canvas.unclip();
    return figures;
}

StepOutline outline_of(const Shown& shown) {
    StepOutline step;
    step.side = shown.side();
    step.edition = shown.result().edition;
    for (const Vec3& p : shown.subject().foot_edge()) step.trim.push_back(p.head<2>());
    for (const picture::PlanOutline& outline : shown.subject().input().outlines)
        if (!outline.feature.empty()) step.reliefs.push_back(outline.points);
    return step;
}

StepOutline outline_of(const build::Device& device) {
    StepOutline step;
    step.side = device.side;
    const surface::Shell& shell = device.shelled->shell;
    constexpr int points = 480;  // a millimetre apart, about
    for (int i = 0; i < points; ++i)
        step.trim.push_back(
            shell.foot_side.point(shell.trim.point(shell.trim.period() * i / points)).head<2>());
    return step;
}

void draw_step_outline(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const StepOutline& step) {
    canvas.clip(frame.view);
    const auto ring = [&](const std::vector<Vec2>& points, double width) {
        std::vector<Vec2> page;
        for (const Vec2& p : points) page.push_back(on_page(frame, p));
        if (page.size() < 3) return;
        canvas.polyline(page, true, {theme.board, width + 2.0, 0.85});
        canvas.polyline(page, true, {theme.accent, width, 1.0, {5.0, 3.0}});
    };
    ring(step.trim, 1.8);
    for (const std::vector<Vec2>& relief : step.reliefs) ring(relief, 1.2);
    canvas.unclip();
}

void draw_other_outline(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Shown& other) {
    canvas.clip(frame.view);
    std::vector<Vec2> page;
    for (const Vec3& p : other.subject().foot_edge()) page.push_back(on_page(frame, p.head<2>()));
    if (!page.empty()) canvas.polyline(page, true, {theme.soft, 1.0, 1.0, {3.0, 3.0}});
    canvas.unclip();
}

}  // namespace archwright::editor::view
