#include "engine/picture/dimension.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace archwright::picture {

namespace {

/// Half the breadth of an arrow head, as a part of its length.
constexpr double slenderness = 0.24;
/// The tail of an arrow that stands outside, as a multiple of its head.
constexpr double tail = 1.9;
constexpr double page_room = 4000.0;

Vec2 square_to(const Vec2& way) {
    return {-way.y(), way.x()};
}

void extension(Canvas& canvas, const Vec2& feature, const Vec2& end, const DimensionStyle& style) {
    const double length = (end - feature).norm();
    if (length <= style.beyond) return;
    const Vec2 way = (end - feature) / length;
    canvas.line(feature + style.beyond * way, end + style.beyond * way, {style.line, 0.7 * style.width});
}

/// An arc of a page by its angles, the shorter way round.
struct Arc {
    Vec2 centre;
    double radius, begin, turn;

    Arc(const Vec2& centre_, double radius_, const Vec2& from, const Vec2& to)
        : centre(centre_),
          radius(radius_),
          begin(std::atan2(from.y(), from.x())),
          turn(std::remainder(std::atan2(to.y(), to.x()) - begin, 2.0 * std::numbers::pi)) {}
    Vec2 place(double angle) const { return centre + radius * Vec2(std::cos(angle), std::sin(angle)); }
    void draw(Canvas& canvas, double first, double last, const DimensionStyle& style) const {
        const int steps = std::max(8, static_cast<int>(std::abs(last - first) * radius / 2.0));
        std::vector<Vec2> line;
        for (int i = 0; i <= steps; ++i) line.push_back(place(first + (last - first) * i / steps));
        canvas.polyline(line, false, {style.line, style.width});
    }
    /// A head follows its arc: it points along the chord over its own length.
    void head(Canvas& canvas, double at, double behind, const DimensionStyle& style) const {
        draw_arrow_head(canvas, place(at), (place(at) - place(behind)).normalized(), style);
    }
};

Box words_box(const Canvas& canvas, const Vec2& at, std::string_view words, Align align,
              const DimensionStyle& style) {
    const double w = canvas.measure(words, style.words) + 6.0, h = 1.34 * style.words.size;
    const double x = align == Align::left ? at.x() : align == Align::right ? at.x() - w : at.x() - 0.5 * w;
    return {x, at.y() - 0.5 * h, w, h};
}

}  // namespace

Box draw_words(Canvas& canvas, const Vec2& at, std::string_view words, Align align,
               const DimensionStyle& style) {
    const Box box = words_box(canvas, at, words, align, style);
    if (words.empty()) return {at.x(), at.y(), 0.0, 0.0};
    canvas.fill(box, style.plate, 0.9, 3.0);
    Type centred = style.words;
    centred.align = Align::centre;
    canvas.write_middle(words, box.centre(), page_room, centred);
    return box;
}

void draw_arrow_head(Canvas& canvas, const Vec2& tip, const Vec2& way, const DimensionStyle& style) {
    const Vec2 back = tip - style.arrow * way, square = slenderness * style.arrow * square_to(way);
    canvas.fill({{tip, back + square, back - square}}, style.line, 1.0);
}

Box draw_dimension(Canvas& canvas, const Vec2& a, const Vec2& b, const Vec2& p, const Vec2& q,
                   std::string_view words, const DimensionStyle& style) {
    extension(canvas, a, p, style);
    extension(canvas, b, q, style);
    const double length = (q - p).norm();
    const Vec2 way = length > 0.0 ? Vec2((q - p) / length) : Vec2(1.0, 0.0);
    const Box plain = words_box(canvas, Vec2::Zero(), words, Align::centre, style);
    // what the words take of the line, which may run at any slope
    const double taken =
        std::min(plain.w / std::max(std::abs(way.x()), 1e-6), plain.h / std::max(std::abs(way.y()), 1e-6));
    const Pen pen{style.line, style.width};
    if (length > taken + 3.0 * style.arrow) {
        canvas.line(p, q, pen);
        draw_arrow_head(canvas, p, -way, style);
        draw_arrow_head(canvas, q, way, style);
        return draw_words(canvas, 0.5 * (p + q), words, Align::centre, style);
    }
    if (length > 2.6 * style.arrow) {  // arrows inside, words beyond
        canvas.line(p, q, pen);
        draw_arrow_head(canvas, p, -way, style);
        draw_arrow_head(canvas, q, way, style);
    } else {
        canvas.line(p - tail * style.arrow * way, q + tail * style.arrow * way, pen);
        draw_arrow_head(canvas, p, way, style);
        draw_arrow_head(canvas, q, -way, style);
    }
    const double past = (length > 2.6 * style.arrow ? style.beyond : tail * style.arrow) + 3.0;
    const Vec2 end = q + past * way;
    const bool level = std::abs(way.x()) > std::abs(way.y());
    const Align align = !level ? Align::centre : way.x() > 0.0 ? Align::left : Align::right;
    const Vec2 at = level ? end : Vec2(end + Vec2(0.0, std::copysign(0.5 * plain.h, way.y())));
    return draw_words(canvas, at, words, align, style);
}

Vec2 draw_angle(Canvas& canvas, const Vec2& centre, double radius, const Vec2& from, const Vec2& to,
                const DimensionStyle& style) {
    const Arc arc(centre, radius, from, to);
    const double sense = arc.turn < 0.0 ? -1.0 : 1.0;
    const double head = style.arrow / radius;  // the angle a head takes
    const bool inside = std::abs(arc.turn) > 2.6 * head;
    const double past = inside ? 0.0 : sense * tail * head;
    arc.draw(canvas, arc.begin - past, arc.begin + arc.turn + past, style);
    const double inward = inside ? sense * head : -sense * head;
    arc.head(canvas, arc.begin, arc.begin + inward, style);
    arc.head(canvas, arc.begin + arc.turn, arc.begin + arc.turn - inward, style);
    return arc.place(arc.begin + 0.5 * arc.turn);
}

void draw_turn(Canvas& canvas, const Vec2& centre, double radius, const Vec2& from, const Vec2& to,
               const DimensionStyle& style) {
    const Arc arc(centre, radius, from, to);
    const double end = arc.begin + arc.turn, head = std::copysign(style.arrow / radius, arc.turn);
    arc.draw(canvas, arc.begin, end - 0.5 * head, style);
    arc.head(canvas, end, end - head, style);
}

Box draw_leader(Canvas& canvas, const Vec2& at, const Vec2& to, std::string_view words, Align align,
                const DimensionStyle& style) {
    canvas.line(at, to, {style.line, 0.9 * style.width});
    canvas.disc(at, 2.2, style.line);
    return draw_words(canvas, to, words, align, style);
}

}  // namespace archwright::picture
