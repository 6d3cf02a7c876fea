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

/// Dots of 3 with gaps of 4, on a casing that keeps them readable on every ground.
void dots(Canvas& canvas, const std::vector<Vec2>& points, bool closed, const Theme& theme) {
    const auto dot = [&](const Vec2& at) {
        canvas.disc(at, 2.3, theme.board, 0.85);
        canvas.disc(at, 1.5, theme.ink);
    };
    if (points.size() == 1) dot(points[0]);
    double next = 0, travelled = 0;
    for (std::size_t i = 0; i + (closed ? 0 : 1) < points.size(); ++i) {
        const Vec2 &a = points[i], step = points[(i + 1) % points.size()] - a;
        const double length = step.norm();
        for (; length > 0 && next <= travelled + length; next += 7.0)
            dot(a + (next - travelled) / length * step);
        travelled += length;
    }
}

}  // namespace

void draw_skin_marks(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Shown& shown) {
    canvas.clip(frame.view);
    const Type words{picture::type::small, Weight::semibold, theme.ink, Align::centre};
    for (const ShownMark& mark : shown.marks()) {
        std::vector<Vec2> page;
        for (const Vec2& p : mark.points) page.push_back(on_page(frame, p));
        dots(canvas, page, mark.closed, theme);
        if (mark.confirmed || page.empty()) continue;
        const Vec2& at = page[page.size() / 2];
        picture::draw_plate(canvas, picture::plate_box(canvas, at + Vec2(0, -12), "?", words), "?", words,
                            theme);
    }
    canvas.unclip();
}

void draw_insole(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Shown& shown) {
    if (shown.insole().empty()) return;
    canvas.clip(frame.view);
    std::vector<Vec2> page;
    for (const Vec2& p : shown.insole()) page.push_back(on_page(frame, p));
    canvas.polyline(page, true, {theme.faint, 1.2, 1.0, {2.0, 4.0}});
    canvas.unclip();
}

void draw_past_insole(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Shown& shown) {
    canvas.clip(frame.view);
    const Type words{picture::type::small, Weight::semibold, theme.stop, Align::centre};
    for (const Shown::Past& past : shown.past_insole()) {
        std::vector<Vec2> line;
        for (const Vec2& p : past.points) line.push_back(on_page(frame, p));
        canvas.polyline(line, false, {theme.board, 3.4, 0.85});
        canvas.polyline(line, false, {theme.stop, 2.0});
        // what rounds to nothing is drawn, not written
        if (past.most_mm < 0.05) continue;
        const double side = past.worst.y() * frame.axes.sign >= 0 ? 1.0 : -1.0;
        const Vec2 at = on_page(frame, past.worst) + Vec2(side * 18.0, 0);
        const std::string text = rounded(past.most_mm, 1);
        picture::draw_plate(canvas, picture::plate_box(canvas, at, text, words), text, words, theme);
    }
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
