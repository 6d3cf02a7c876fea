#include "engine/picture/drafting.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::picture {

namespace {

/// Reader's minus: a true U+2212, not a hyphen.
std::string figure(double value, int decimals) {
    std::string text = rounded(value, decimals);
    if (!text.empty() && text.front() == '-') text.replace(0, 1, "\u2212");
    return text;
}

}  // namespace

void draw_head(Canvas& canvas, const Box& strip, const Theme& theme, std::string_view letter,
               std::string_view name, std::string_view detail) {
    canvas.fill(strip, theme.head);
    double x = strip.x + 12.0;
    const double y = strip.centre().y();
    if (!letter.empty()) {
        draw_disc_letter(canvas, {x + 8.0, y}, theme, letter);
        x += 24.0;
    }
    const double right = strip.right() - 10.0;
    const Box written =
        canvas.write_middle(name, {x, y}, right - x, {type::body, Weight::semibold, theme.text, Align::left});
    x = written.right() + 10.0;
    if (right - x > 24.0 && !detail.empty())
        canvas.write_middle(detail, {x, y}, right - x,
                            {type::body, Weight::regular, theme.soft, Align::left});
}

void draw_disc_letter(Canvas& canvas, const Vec2& at, const Theme& theme, std::string_view letter) {
    canvas.disc(at, 8.0, theme.accent);
    canvas.write(letter, {at.x(), at.y() + 4.1}, 16.0,
                 {type::small, Weight::semibold, theme.on_accent, Align::centre});
}

void draw_side_letter(Canvas& canvas, const Vec2& at, const Theme& theme, Side side) {
    const Box box{at.x(), at.y(), 26.0, 26.0};
    canvas.fill(box, theme.board, 0.92, 4.0);
    canvas.frame(box, {theme.ink, 1.6}, 4.0);
    canvas.write(side == Side::left ? "L" : "R", {box.centre().x(), box.centre().y() + 5.9}, 24.0,
                 {16.5, Weight::semibold, theme.ink, Align::centre});
}

namespace {

/// Calls act(mm) for whole multiples of `step` between two figures, in whichever order they come.
template <class Act>
void each_multiple(double a, double b, double step, Act&& act) {
    const double low = std::min(a, b), high = std::max(a, b);
    for (double k = std::ceil(low / step); k * step <= high; k += 1.0) act(k * step);
}
bool whole(double mm, double step) {
    return std::abs(mm / step - std::round(mm / step)) < 1e-6;
}

}  // namespace

void draw_grid(Canvas& canvas, const Box& box, const Theme& theme, const Axes& axes) {
    for (const double step : {10.0, 50.0}) {
        const Pen pen{step > 20.0 ? theme.grid_50 : theme.grid_10, 1.0};
        each_multiple(axes.across(box.x), axes.across(box.right()), step, [&](double mm) {
            const double x = std::floor(axes.at(mm, 0.0).x()) + 0.5;
            canvas.line({x, box.y}, {x, box.bottom()}, pen);
        });
        each_multiple(axes.up(box.y), axes.up(box.bottom()), step, [&](double mm) {
            const double y = std::floor(axes.at(0.0, mm).y()) + 0.5;
            canvas.line({box.x, y}, {box.right(), y}, pen);
        });
    }
}

void draw_rulers(Canvas& canvas, const Box& top, const Box& left, const Theme& theme, const Axes& axes) {
    const Pen tick{theme.faint, 1.0};
    const Type figures{type::small, Weight::regular, theme.soft, Align::left};
    const auto length = [](double mm) {
        return whole(mm, 50.0) ? ruler_breadth : whole(mm, 10.0) ? 6.0 : 3.0;
    };
    canvas.fill(top, theme.head);
    canvas.fill(left, theme.head);
    canvas.clip(top);
    each_multiple(axes.across(top.x), axes.across(top.right()), 5.0, [&](double mm) {
        const double x = std::floor(axes.at(mm, 0.0).x()) + 0.5;
        canvas.line({x, top.bottom() - length(mm)}, {x, top.bottom()}, tick);
        const std::string text = figure(mm, 0);
        if (whole(mm, 50.0) && x + 4.0 + canvas.measure(text, figures) < top.right() && x > left.right())
            canvas.write(text, {x + 3.0, top.bottom() - 6.0}, 40.0, figures);
    });
    canvas.unclip();
    canvas.clip(left);
    each_multiple(axes.up(left.y), axes.up(left.bottom()), 5.0, [&](double mm) {
        const double y = std::floor(axes.at(0.0, mm).y()) + 0.5;
        canvas.line({left.right() - length(mm), y}, {left.right(), y}, tick);
        const std::string text = figure(mm, 0);
        if (whole(mm, 50.0) && y - 4.0 - canvas.measure(text, figures) > left.y)
            canvas.write_upwards(text, {left.x + 7.0, y - 3.0}, 40.0, figures);
    });
    canvas.unclip();
    // the corner, with the unit
    canvas.fill({left.x, top.y, left.w, top.h}, theme.head);
    canvas.write("mm", {left.x + 0.5 * left.w, top.bottom() - 6.0}, left.w,
                 {9.5, Weight::regular, theme.faint, Align::centre});
    canvas.line({top.x, top.bottom() - 0.5}, {top.right(), top.bottom() - 0.5}, {theme.rule, 1.0});
    canvas.line({left.right() - 0.5, left.y}, {left.right() - 0.5, left.bottom()}, {theme.rule, 1.0});
}

double scale_bar_mm(double scale, double room) {
    for (const double mm : {50.0, 20.0})
        if (mm * scale <= room) return mm;
    return 10.0;
}

Box draw_scale_bar(Canvas& canvas, const Vec2& corner, double room, const Theme& theme, double scale) {
    const double mm = scale_bar_mm(scale, room);
    const double length = mm * scale;
    const Box plate{corner.x() - length - 16.0, corner.y() - 32.0, length + 16.0, 32.0};
    canvas.fill(plate, theme.board, 0.88, 3.0);
    const double x = plate.x + 8.0, y = plate.bottom() - 8.0;
    // filled rectangles: strokes on half pixels look double
    canvas.fill(Box{x, y - 1.0, length, 2.0}, theme.ink);
    canvas.fill(Box{x, y - 6.0, 1.5, 7.0}, theme.ink);
    canvas.fill(Box{x + length - 1.5, y - 6.0, 1.5, 7.0}, theme.ink);
    canvas.fill(Box{x + 0.5 * length - 0.5, y - 4.0, 1.0, 4.0}, theme.ink);
    canvas.write(rounded(mm, 0) + " mm", {x + 0.5 * length, y - 9.0}, length + 12.0,
                 {type::small, Weight::regular, theme.ink, Align::centre});
    return plate;
}

Box draw_legend(Canvas& canvas, const Vec2& at, double length, const Theme& theme, const MapScale& scale) {
    const Type title{type::small, Weight::semibold, theme.text, Align::left};
    const Type figures{type::small, Weight::regular, theme.text, Align::left};
    const double width = std::max(canvas.measure(scale.title, title), 54.0);
    const Box plate{at.x(), at.y(), width + 16.0, length + 42.0};
    canvas.fill(plate, theme.board, 0.88, 3.0);
    canvas.write(scale.title, {at.x() + 8.0, at.y() + 15.0}, width + 4.0, title);
    const Box bar{at.x() + 8.0, at.y() + 28.0, 14.0, length};
    const int bands = static_cast<int>(std::lround(length));
    for (int i = 0; i < bands; ++i)
        canvas.fill(Box{bar.x, bar.y + i, bar.w, 1.0}, scale.map->at(1.0 - (i + 0.5) / bands));
    canvas.frame(bar, {theme.frame, 1.0});
    each_multiple(scale.low, scale.high + 1e-9, scale.tick, [&](double value) {
        const double y = bar.bottom() - length * (value - scale.low) / (scale.high - scale.low);
        canvas.fill(Box{bar.right(), y - 0.5, 4.0, 1.0}, theme.soft);
        canvas.write_middle(figure(value, scale.decimals), {bar.right() + 8.0, y}, 40.0, figures);
    });
    return plate;
}

bool Labels::free(const Box& box) const {
    if (box.x < within_.x || box.y < within_.y || box.right() > within_.right() ||
        box.bottom() > within_.bottom())
        return false;
    return std::none_of(taken_.begin(), taken_.end(), [&](const Box& other) { return other.meets(box); });
}

bool Labels::beside(Canvas& canvas, const Vec2& at, double away, std::string_view text, const Type& type,
                    const Theme& theme, std::string_view preference) {
    const Box size = plate_box(canvas, Vec2::Zero(), text, type);
    for (const double further : {0.0, 10.0, 20.0, 32.0})
        for (const char side : preference) {
            const double x = side == 'r' ? 0.5 * size.w : side == 'l' ? -0.5 * size.w : 0.0;
            const double y = side == 'a' ? -0.5 * size.h : side == 'b' ? 0.5 * size.h : 0.0;
            const Vec2 way(side == 'r' ? 1 : side == 'l' ? -1 : 0, side == 'b' ? 1 : side == 'a' ? -1 : 0);
            const Vec2 centre = at + Vec2(x, y) + (away + further) * way;
            const Box box = plate_box(canvas, centre, text, type);
            if (!free(box)) continue;
            draw_plate(canvas, box, text, type, theme);
            taken_.push_back(box);
            return true;
        }
    return false;
}

Box plate_box(const Canvas& canvas, const Vec2& centre, std::string_view text, const Type& type) {
    const double w = canvas.measure(text, type) + 8.0, h = 1.42 * type.size;
    return {centre.x() - 0.5 * w, centre.y() - 0.5 * h, w, h};
}

void draw_plate(Canvas& canvas, const Box& box, std::string_view text, const Type& type, const Theme& theme) {
    canvas.fill(box, theme.board, 0.88, 3.0);
    Type centred = type;
    centred.align = Align::centre;
    canvas.write_middle(text, box.centre(), box.w, centred);
}

Colour verdict_colour(const Theme& theme, Verdict verdict) {
    return verdict == Verdict::pass ? theme.pass : verdict == Verdict::look ? theme.look : theme.stop;
}

void draw_verdict(Canvas& canvas, const Vec2& c, const Theme& theme, Verdict verdict) {
    const Colour colour = verdict_colour(theme, verdict);
    const Pen pen{colour, 1.4, 1.0, {}, true};
    switch (verdict) {
        case Verdict::pass:
            canvas.circle(c, 5.6, pen);
            canvas.polyline({c + Vec2(-2.6, 0.1), c + Vec2(-0.7, 2.1), c + Vec2(2.7, -2.0)}, false, pen);
            break;
        case Verdict::look: {
            const std::vector<Vec2> diamond{c + Vec2(0, -7), c + Vec2(7, 0), c + Vec2(0, 7), c + Vec2(-7, 0)};
            canvas.fill({diamond}, theme.look_fill, 1.0);
            canvas.polyline(diamond, true, pen);
            canvas.line(c + Vec2(0, -3.2), c + Vec2(0, 0.8), pen);
            canvas.disc(c + Vec2(0, 3.1), 0.9, colour);
            break;
        }
        case Verdict::stop:
            canvas.fill(Box{c.x() - 6.0, c.y() - 6.0, 12.0, 12.0}, colour, 1.0, 2.0);
            canvas.fill(Box{c.x() - 3.5, c.y() - 1.0, 7.0, 2.0},
                        theme.dark ? theme.board : Colour::hex(0xFFFFFF));
            break;
    }
}

void draw_landmark(Canvas& canvas, const Vec2& at, const Theme& theme) {
    const double r = 5.5, arm = 8.5;
    for (const Pen& pen : {Pen{theme.board, 3.4, 0.85}, Pen{theme.ink, 1.3}}) {
        canvas.circle(at, r, pen);
        canvas.line(at - Vec2(arm, 0), at + Vec2(arm, 0), pen);
        canvas.line(at - Vec2(0, arm), at + Vec2(0, arm), pen);
    }
}

const char* plan_word(foot::LandmarkId id) {
    switch (id) {
        case foot::LandmarkId::heel_centre:
            return "heel centre";
        case foot::LandmarkId::first_head_plantar:
            return "1st head";
        case foot::LandmarkId::second_head_plantar:
            return "2nd head";
        case foot::LandmarkId::fifth_head_plantar:
            return "5th head";
        case foot::LandmarkId::fifth_base:
            return "5th base";
        case foot::LandmarkId::navicular:
            return "navicular";
        default:
            return "";
    }
}

}  // namespace archwright::picture
