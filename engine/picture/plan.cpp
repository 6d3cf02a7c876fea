#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/plan_print.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::picture {

namespace {

/// A plan narrower than this, pixels, has no room for the names of regions.
constexpr double crowded_below = 330.0;

std::vector<Vec2> on_page(const Axes& axes, const std::vector<Vec3>& points) {
    std::vector<Vec2> out;
    out.reserve(points.size());
    for (const Vec3& p : points) out.push_back(axes.at(p.y(), p.x()));
    return out;
}

double signed_area(const std::vector<Vec2>& ring) {
    double sum = 0.0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
        sum += 0.5 * (a.x() * b.y() - a.y() * b.x());
    }
    return sum;
}

/// Short ticks square to a ring, every 7 along it; inward for hollows, outward for what is raised.
void draw_ticks(Canvas& canvas, const std::vector<Vec2>& ring, bool inward, const Pen& pen) {
    const double turn = (signed_area(ring) > 0.0 ? 1.0 : -1.0) * (inward ? 1.0 : -1.0);
    double next = 3.5, travelled = 0.0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 a = ring[i], step = ring[(i + 1) % ring.size()] - a;
        const double length = step.norm();
        if (!(length > 0.0)) continue;
        const Vec2 along = step / length, square = turn * Vec2(-along.y(), along.x());
        for (; next <= travelled + length; next += 7.0) {
            const Vec2 foot = a + (next - travelled) * along;
            canvas.line(foot, foot + 4.5 * square, pen);
        }
        travelled += length;
    }
}

/// A region of the wall: dashes where it lies on the shell, faint outside, where it decides nothing.
void draw_region(Canvas& canvas, const Box& view, const Theme& theme, const std::vector<Vec2>& ring,
                 const std::vector<Vec2>& trim) {
    constexpr double step = 2.0;
    std::optional<surface::Outline> shell;
    if (!trim.empty()) shell.emplace(trim);
    std::vector<Vec2> run;
    bool within = false;
    const auto flush = [&] {
        if (run.size() > 1 && within) canvas.polyline(run, false, {theme.board, 3.4, 0.8});
        if (run.size() > 1)
            canvas.polyline(run, false,
                            {within ? theme.ink : theme.faint, within ? 1.4 : 1.0, 1.0, {9.0, 5.0}});
        run.clear();
    };
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
        // far off the page a line has no need of so many places
        const double length = (b - a).norm();
        const double pieces = std::ceil(std::min(length, 4.0 * (view.w + view.h)) / step);
        for (double k = 0; k < pieces; k += 1.0) {
            const Vec2 p = a + k / pieces * (b - a), q = a + (k + 1.0) / pieces * (b - a);
            const bool in = !shell || shell->inside(0.5 * (p + q));
            if (in != within) flush();
            within = in;
            if (run.empty()) run.push_back(p);
            run.push_back(q);
        }
    }
    flush();
}

void draw_outline(Canvas& canvas, const Box& view, const Theme& theme, const Axes& axes,
                  const PlanOutline& outline, const std::vector<Vec2>& trim) {
    std::vector<Vec2> ring;
    for (const Vec2& p : outline.points) ring.push_back(axes.at(p.y(), p.x()));
    if (ring.size() < 3) return;
    const Pen casing{theme.board, 3.4, 0.8};
    switch (outline.kind) {
        case PlanOutline::Kind::wall_region:
            draw_region(canvas, view, theme, ring, trim);
            break;
        case PlanOutline::Kind::hollow:
        case PlanOutline::Kind::raised:
            canvas.polyline(ring, true, casing);
            canvas.polyline(ring, true, {theme.ink, 1.4});
            draw_ticks(canvas, ring, outline.kind == PlanOutline::Kind::hollow, {theme.ink, 1.2});
            break;
        case PlanOutline::Kind::aperture:
            canvas.polyline(ring, true, {theme.ink, 4.2});
            canvas.polyline(ring, true, {theme.board, 1.8});
            break;
        case PlanOutline::Kind::post:
            canvas.polyline(ring, true, {theme.soft, 1.2, 1.0, {3.0, 3.0}});
            break;
    }
}

/// Round dots 3 across along a line, 4 between them, on a light casing.
void draw_dots(Canvas& canvas, const Theme& theme, const std::vector<Vec2>& line, bool closed) {
    constexpr double dot = 3.0, gap = 4.0;
    double next = 0.0, travelled = 0.0;
    const std::size_t count = line.size();
    for (std::size_t i = 0; i + (closed ? 0 : 1) < count; ++i) {
        const Vec2 a = line[i], step = line[(i + 1) % count] - a;
        const double length = step.norm();
        for (; length > 0.0 && next <= travelled + length; next += dot + gap) {
            const Vec2 at = a + (next - travelled) / length * step;
            canvas.disc(at, 0.5 * dot + 0.8, theme.board, 0.8);
            canvas.disc(at, 0.5 * dot, theme.ink);
        }
        travelled += length;
    }
}

/// A mark as drawn on the skin: its line or outline in dots; a spot as a ring of them, or as one.
void draw_skin_mark(Canvas& canvas, const Box& view, const Theme& theme, const Axes& axes,
                    const PlanMark& mark) {
    std::vector<Vec2> line;
    for (const Vec2& p : mark.points) {
        line.push_back(axes.at(p.y(), p.x()));
        // far off the cast, as a check tells: its dots would have no end
        if (!view.inset(-view.w).contains(line.back())) return;
    }
    if (line.size() == 1) {
        constexpr double least = 5.0;  // so small a ring would be one blot
        constexpr int corners = 48;
        const Vec2 at = line.front();
        const double radius = std::max(least, 0.5 * mark.across_mm * axes.scale);
        line.clear();
        for (int k = 0; k < corners; ++k) {
            const double angle = 2.0 * std::numbers::pi * k / corners;
            line.push_back(at + radius * Vec2(std::cos(angle), std::sin(angle)));
        }
        draw_dots(canvas, theme, line, true);
        return;
    }
    draw_dots(canvas, theme, line, mark.area);
}

Vec2 mean(const std::vector<Vec2>& points) {
    Vec2 sum = Vec2::Zero();
    for (const Vec2& p : points) sum += p;
    return points.empty() ? sum : Vec2(sum / static_cast<double>(points.size()));
}

/// The inside of a section's chain mark: thin chain over the drawing, strong ends, a letter on either end.
void draw_mark(Canvas& canvas, const Theme& theme, const Vec2& a, const Vec2& b, const std::string& letter) {
    const Vec2 way = (b - a).normalized();
    canvas.line(a + 8.0 * way, b - 8.0 * way, {theme.board, 2.6, 0.55});
    canvas.line(a + 8.0 * way, b - 8.0 * way, {theme.accent, 1.0, 1.0, {12.0, 3.0, 2.0, 3.0}});
    canvas.line(a + 8.0 * way, a + 26.0 * way, {theme.accent, 2.4});
    canvas.line(b - 26.0 * way, b - 8.0 * way, {theme.accent, 2.4});
    draw_disc_letter(canvas, a, theme, letter);
    draw_disc_letter(canvas, b, theme, letter);
}

}  // namespace

PlanFrame plan_frame(const Box& box, const Subject& subject, bool below) {
    PlanFrame frame{box, {}, {}, Axes(subject.side(), Vec2::Zero(), 2.0), {}};
    if (below) frame.axes.sign = -frame.axes.sign;
    frame.top = frame.view.cut_top(ruler_breadth);
    frame.left = frame.view.cut_left(ruler_breadth);
    frame.top.cut_left(ruler_breadth);
    if (subject.has_cast()) frame.extent.add(sole_box(subject));
    if (subject.has_shell()) frame.extent.add(subject.shell_box());
    Vec3 middle(120.0, 0.0, 0.0);
    if (!frame.extent.empty()) {
        const double edge = 34.0;  // room for section letters and words
        const Vec3 size = frame.extent.size().cwiseMax(1.0);
        frame.axes.scale = std::max(0.05, std::min((frame.view.w - 2.0 * edge) / size.y(),
                                                   (frame.view.h - 2.0 * edge - 22.0) / size.x()));
        middle = frame.extent.centre();
    }
    frame.axes.origin = frame.view.centre() + Vec2(0, -11.0) - frame.axes.at(middle.y(), middle.x());
    return frame;
}

void draw_plan(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject) {
    const PlanFrame frame = plan_frame(box, subject);
    const Axes& axes = frame.axes;
    canvas.fill(frame.view, theme.board);
    if (!subject.has_cast() && !subject.has_shell()) {
        canvas.write("No cast and no shell yet.", frame.view.centre(), frame.view.w - 20.0,
                     {type::body, Weight::regular, theme.faint, Align::centre});
        return;
    }
    canvas.clip(frame.view);
    draw_grid(canvas, frame.view, theme, axes);
    canvas.unclip();
    if (subject.has_cast()) print_sole(canvas, frame.view, theme, subject, axes, nullptr);
    if (!subject.foot_edge().empty()) {
        std::vector<std::vector<Vec2>> rings{on_page(axes, subject.foot_edge())};
        for (const std::vector<Vec3>& hole : subject.hole_edges()) rings.push_back(on_page(axes, hole));
        canvas.clip(frame.view);
        canvas.fill(rings, theme.accent, theme.dark ? 0.20 : 0.13);
        canvas.unclip();
    }
    draw_plan_lines(canvas, frame, theme, subject, subject.cuts());
}

void draw_plan_lines(Canvas& canvas, const PlanFrame& frame, const Theme& theme, const Subject& subject,
                     const std::vector<SectionCut>& cuts, const PlanParts& parts) {
    const Box& view = frame.view;
    const Axes& axes = frame.axes;
    const Box3& extent = frame.extent;
    canvas.clip(view);
    if (!subject.foot_edge().empty()) {
        const std::vector<Vec2> foot = on_page(axes, subject.foot_edge());
        const std::vector<Vec2> under = on_page(axes, subject.under_edge());
        std::vector<std::vector<Vec2>> rings{foot};
        for (const std::vector<Vec3>& hole : subject.hole_edges()) rings.push_back(on_page(axes, hole));
        canvas.polyline(under, true, {theme.ink, 1.0, 0.7});
        for (const std::vector<Vec3>& lower : subject.lower_edges())
            canvas.polyline(on_page(axes, lower), true, {theme.ink, 1.0, 0.7});
        for (const std::vector<Vec2>& ring : rings) {
            canvas.polyline(ring, true, {theme.board, 4.6});
            canvas.polyline(ring, true, {theme.ink, 2.0});
        }
    }
    const auto is_shown = [&](const PlanOutline& outline) {
        return outline.kind == PlanOutline::Kind::wall_region ? parts.regions : parts.reliefs;
    };
    const std::vector<Vec2> trim = on_page(axes, subject.foot_edge());
    for (const PlanOutline& outline : subject.input().outlines)
        if (is_shown(outline)) draw_outline(canvas, view, theme, axes, outline, trim);
    if (parts.marks)
        for (const PlanMark& mark : subject.input().marks) draw_skin_mark(canvas, view, theme, axes, mark);

    Labels labels(view.inset(4.0));
    if (parts.over)
        for (const Box& taken : parts.over(canvas)) labels.keep_off(taken);
    // a letter stands whole in the view, above the scale bar in its corner
    const Box bar = draw_scale_bar(canvas, {view.right() - 6.0, view.bottom() - 4.0},
                                   std::min(124.0, 0.3 * view.w), theme, axes.scale);
    labels.keep_off(bar);
    const auto whole_in_view = [&](Vec2 at) {
        constexpr double ring = 11.0;
        const Box inside = view.inset(ring + 1.0);
        at = {std::clamp(at.x(), inside.x, inside.right()), std::clamp(at.y(), inside.y, inside.bottom())};
        const Box letter{at.x() - ring, at.y() - ring, 2.0 * ring, 2.0 * ring};
        if (letter.meets(bar)) at.y() = bar.y - ring;
        return at;
    };
    // section marks reach beyond what they cut
    const auto keep_mark = [&](const Vec2& at) { labels.keep_off({at.x() - 9.0, at.y() - 9.0, 18.0, 18.0}); };
    if (subject.has_shell())
        for (const SectionCut& cut : cuts) {
            const Box3& b = subject.shell_box();
            Vec2 from, to;
            if (cut.axis == 0) {
                const double y = axes.at(0.0, cut.at).y();
                from = {view.x + 14.0, y};
                to = {view.right() - 14.0, y};
            } else if (cut.axis == 2) {
                if (cut.line.size() < 2 || (cut.line[1] - cut.line[0]).norm() * axes.scale < 60.0) continue;
                from = axes.at(cut.line[0].y(), cut.line[0].x());
                to = axes.at(cut.line[1].y(), cut.line[1].x());
            } else {
                const double x = axes.at(cut.at, 0.0).x();
                from = {x, axes.at(0.0, extent.high.x()).y() - 18.0};
                to = {x, axes.at(0.0, std::min(extent.low.x(), b.low.x())).y() + 18.0};
                // along its own line alone: a section beside the view has no letter in it
                if (x > view.x && x < view.right())
                    from.y() = whole_in_view({x, from.y()}).y(), to.y() = whole_in_view({x, to.y()}).y();
            }
            draw_mark(canvas, theme, from, to, cut.letter);
            keep_mark(from);
            keep_mark(to);
        }

    // corners first: they never give way
    const Vec2 letter_at(view.x + 10.0, view.bottom() - 36.0);
    draw_side_letter(canvas, letter_at, theme, subject.side());
    labels.keep_off({letter_at.x() - 2.0, letter_at.y() - 2.0, 30.0, 30.0});
    const Type words{type::small, Weight::regular, theme.soft, Align::left};
    const bool medial_left = axes.sign < 0.0;
    const auto corner_word = [&](const char* word, bool at_left, double y) {
        const double w = canvas.measure(word, words) + 8.0;
        const Box plate{at_left ? view.x + 6.0 : view.right() - 6.0 - w, y, w, 17.0};
        draw_plate(canvas, plate, word, words, theme);
        labels.keep_off(plate);
    };
    corner_word("medial", medial_left, view.y + 6.0);
    corner_word("lateral", !medial_left, view.y + 6.0);
    const auto axis_word = [&](const char* word, double y) {
        const Box plate = plate_box(canvas, {axes.at(0.0, 0.0).x() + 44.0, y}, word, words);
        if (!labels.free(plate)) return;
        draw_plate(canvas, plate, word, words, theme);
        labels.keep_off(plate);
    };
    axis_word("toes", axes.at(0.0, extent.high.x()).y() - 18.0);
    axis_word("heel", axes.at(0.0, extent.low.x()).y() + 18.0);

    const Type names{type::small, Weight::semibold, theme.ink, Align::left};
    std::vector<std::pair<Vec2, std::string>> marks;
    for (const auto& [id, landmark] : subject.input().landmarks) {
        const std::string name = plan_word(id);
        const Vec2 at = axes.at(landmark.position.y(), landmark.position.x());
        if (name.empty() || !view.inset(12.0).contains(at)) continue;
        draw_landmark(canvas, at, theme);
        labels.keep_off({at.x() - 9.0, at.y() - 9.0, 18.0, 18.0});
        marks.emplace_back(at, landmark.source == foot::Landmark::Source::suggested ? name + "?" : name);
    }
    const double middle = axes.at(0.0, 0.0).x();
    for (const auto& [at, name] : marks)
        labels.beside(canvas, at, 10.0, name, names, theme, at.x() < middle ? "lrab" : "rlab");
    // in a narrow plan figures go without names
    const bool crowded = view.w < crowded_below;
    const Type values{type::small, Weight::regular, theme.ink, Align::left};
    for (const PlanOutline& outline : subject.input().outlines) {
        if (!is_shown(outline)) continue;
        const std::string value = !outline.words.empty()   ? outline.words
                                  : outline.value_mm > 0.0 ? rounded(outline.value_mm, 1)
                                                           : std::string();
        std::string text = crowded && !value.empty() ? std::string() : outline.name;
        if (!value.empty()) text += (text.empty() ? "" : " ") + value;
        if (text.empty()) continue;
        const Vec2 at = mean(outline.points);
        labels.beside(canvas, axes.at(at.y(), at.x()), -10.0, text, values, theme, "rlab");
    }
    for (const PlanMark& mark : subject.input().marks) {
        if (mark.points.empty() || !parts.marks) continue;
        // a line is named at its end to the toes, where it is not among what lies in its middle
        const Vec2 p = mark.area || mark.points.size() == 1 ? mean(mark.points) : mark.points.back();
        const Vec2 at = axes.at(p.y(), p.x());
        if (view.inset(12.0).contains(at))
            labels.beside(canvas, at, 10.0, mark.open ? mark.name + "?" : mark.name, values, theme,
                          at.x() < middle ? "lrab" : "rlab");
    }
    canvas.unclip();
    draw_rulers(canvas, frame.top, frame.left, theme, axes);
}

}  // namespace archwright::picture
