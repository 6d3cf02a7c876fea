#include "engine/picture/canvas.hpp"

#include <cairo/cairo.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/picture/font.hpp"

namespace archwright::picture {

Box Box::cut_top(double d) {
    const Box cut{x, y, w, d};
    y += d;
    h -= d;
    return cut;
}
Box Box::cut_bottom(double d) {
    h -= d;
    return {x, y + h, w, d};
}
Box Box::cut_left(double d) {
    const Box cut{x, y, d, h};
    x += d;
    w -= d;
    return cut;
}
Box Box::cut_right(double d) {
    w -= d;
    return {x + w, y, d, h};
}

struct Canvas::State {
    cairo_surface_t* surface = nullptr;
    cairo_t* page = nullptr;

    void source(const Colour& c, double alpha) { cairo_set_source_rgba(page, c.r, c.g, c.b, alpha); }
    void path(const std::vector<Vec2>& points, bool closed) {
        for (std::size_t i = 0; i < points.size(); ++i)
            (i == 0 ? cairo_move_to : cairo_line_to)(page, points[i].x(), points[i].y());
        if (closed) cairo_close_path(page);
    }
    void path(const Box& box, double radius) {
        if (radius <= 0.0) {
            cairo_rectangle(page, box.x, box.y, box.w, box.h);
            return;
        }
        const double quarter = 0.5 * std::numbers::pi;
        cairo_new_sub_path(page);
        cairo_arc(page, box.right() - radius, box.y + radius, radius, -quarter, 0.0);
        cairo_arc(page, box.right() - radius, box.bottom() - radius, radius, 0.0, quarter);
        cairo_arc(page, box.x + radius, box.bottom() - radius, radius, quarter, 2.0 * quarter);
        cairo_arc(page, box.x + radius, box.y + radius, radius, 2.0 * quarter, 3.0 * quarter);
        cairo_close_path(page);
    }
    void rings(const std::vector<std::vector<Vec2>>& all) {
        for (const auto& ring : all) path(ring, true);
        cairo_set_fill_rule(page, CAIRO_FILL_RULE_EVEN_ODD);
    }
};

Canvas::Canvas(int width, int height, double scale, const Colour& ground)
    : state_(std::make_unique<State>()), scale_(scale) {
    begin(width, height, false);
    state_->source(ground, 1.0);
    cairo_paint(state_->page);
}

Canvas::Canvas(int width, int height, double scale) : state_(std::make_unique<State>()), scale_(scale) {
    begin(width, height, true);
}

void Canvas::begin(int width, int height, bool clear) {
    const int w = std::max(1, static_cast<int>(std::lround(width * scale_)));
    const int h = std::max(1, static_cast<int>(std::lround(height * scale_)));
    state_->surface = cairo_image_surface_create(clear ? CAIRO_FORMAT_ARGB32 : CAIRO_FORMAT_RGB24, w, h);
    state_->page = cairo_create(state_->surface);
    cairo_scale(state_->page, scale_, scale_);
    cairo_set_line_join(state_->page, CAIRO_LINE_JOIN_ROUND);
    cairo_set_antialias(state_->page, CAIRO_ANTIALIAS_GRAY);
}

Canvas::~Canvas() {
    cairo_destroy(state_->page);
    cairo_surface_destroy(state_->surface);
}

bool Canvas::has_font() {
    return Font::of(Weight::regular) != nullptr && Font::of(Weight::semibold) != nullptr;
}

Image Canvas::take() const {
    return take({0.0, 0.0, cairo_image_surface_get_width(state_->surface) / scale_,
                 cairo_image_surface_get_height(state_->surface) / scale_});
}

Image Canvas::take(const Box& box) const {
    cairo_surface_flush(state_->surface);
    const auto device = [this](double v) { return static_cast<int>(std::lround(v * scale_)); };
    const int width = cairo_image_surface_get_width(state_->surface);
    const int height = cairo_image_surface_get_height(state_->surface);
    const int x0 = std::clamp(device(box.x), 0, width), x1 = std::clamp(device(box.right()), x0, width);
    const int y0 = std::clamp(device(box.y), 0, height), y1 = std::clamp(device(box.bottom()), y0, height);
    Image image(x1 - x0, y1 - y0, Colour{});
    const unsigned char* data = cairo_image_surface_get_data(state_->surface);
    const int stride = cairo_image_surface_get_stride(state_->surface);
    for (int y = y0; y < y1; ++y) {
        const auto* row =
            reinterpret_cast<const std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
        for (int x = x0; x < x1; ++x) image.at(x - x0, y - y0) = row[x] & 0xFFFFFFu;
    }
    return image;
}

int Canvas::device_width() const {
    return cairo_image_surface_get_width(state_->surface);
}
int Canvas::device_height() const {
    return cairo_image_surface_get_height(state_->surface);
}

std::vector<std::uint8_t> Canvas::take_clear() const {
    cairo_surface_flush(state_->surface);
    const bool clear = cairo_image_surface_get_format(state_->surface) == CAIRO_FORMAT_ARGB32;
    const int width = device_width(), height = device_height();
    const unsigned char* data = cairo_image_surface_get_data(state_->surface);
    const int stride = cairo_image_surface_get_stride(state_->surface);
    std::vector<std::uint8_t> out;
    out.reserve(4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    for (int y = 0; y < height; ++y) {
        const auto* row =
            reinterpret_cast<const std::uint32_t*>(data + static_cast<std::ptrdiff_t>(y) * stride);
        for (int x = 0; x < width; ++x) {
            const std::uint32_t pixel = row[x], opacity = clear ? pixel >> 24 : 255u;
            for (const int shift : {16, 8, 0}) {
                const std::uint32_t c = (pixel >> shift) & 255u;
                out.push_back(static_cast<std::uint8_t>(
                    opacity == 0 ? 0u : std::min(255u, (c * 255u + opacity / 2u) / opacity)));
            }
            out.push_back(static_cast<std::uint8_t>(opacity));
        }
    }
    return out;
}

void Canvas::fill(const Box& box, const Colour& colour, double alpha, double radius) {
    state_->path(box, radius);
    state_->source(colour, alpha);
    cairo_set_fill_rule(state_->page, CAIRO_FILL_RULE_WINDING);
    cairo_fill(state_->page);
}

void Canvas::stroke(const Pen& pen) {
    state_->source(pen.colour, pen.alpha);
    cairo_set_line_width(state_->page, pen.width);
    cairo_set_line_cap(state_->page, pen.round ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_dash(state_->page, pen.dashes.data(), static_cast<int>(pen.dashes.size()), 0.0);
    cairo_stroke(state_->page);
}

void Canvas::frame(const Box& box, const Pen& pen, double radius) {
    state_->path(box.inset(0.5 * pen.width), radius);
    stroke(pen);
}
void Canvas::line(const Vec2& a, const Vec2& b, const Pen& pen) {
    cairo_move_to(state_->page, a.x(), a.y());
    cairo_line_to(state_->page, b.x(), b.y());
    stroke(pen);
}
void Canvas::polyline(const std::vector<Vec2>& points, bool closed, const Pen& pen) {
    state_->path(points, closed);
    stroke(pen);
}
void Canvas::fill(const std::vector<std::vector<Vec2>>& rings, const Colour& colour, double alpha) {
    state_->rings(rings);
    state_->source(colour, alpha);
    cairo_fill(state_->page);
}

void Canvas::hatch(const std::vector<std::vector<Vec2>>& rings, double step, const Pen& pen) {
    cairo_t* page = state_->page;
    cairo_save(page);
    state_->rings(rings);
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    cairo_path_extents(page, &x0, &y0, &x1, &y1);
    cairo_clip(page);
    // lines x + y = k * along, `step` apart square to themselves, fixed to the page
    const double along = step * std::numbers::sqrt2;
    for (double k = std::floor((x0 + y0) / along); k * along <= x1 + y1; k += 1.0) {
        cairo_move_to(page, k * along - y0, y0);
        cairo_line_to(page, k * along - y1, y1);
    }
    stroke(pen);
    cairo_restore(page);
}

void Canvas::disc(const Vec2& centre, double radius, const Colour& colour, double alpha) {
    cairo_new_sub_path(state_->page);
    cairo_arc(state_->page, centre.x(), centre.y(), radius, 0.0, 2.0 * std::numbers::pi);
    state_->source(colour, alpha);
    cairo_fill(state_->page);
}
void Canvas::circle(const Vec2& centre, double radius, const Pen& pen) {
    cairo_new_sub_path(state_->page);
    cairo_arc(state_->page, centre.x(), centre.y(), radius, 0.0, 2.0 * std::numbers::pi);
    stroke(pen);
}

void Canvas::place(const Image& image, const Box& box) {
    auto* data = reinterpret_cast<unsigned char*>(const_cast<std::uint32_t*>(image.pixels.data()));
    cairo_surface_t* surface = cairo_image_surface_create_for_data(data, CAIRO_FORMAT_RGB24, image.width,
                                                                   image.height, 4 * image.width);
    cairo_save(state_->page);
    cairo_identity_matrix(state_->page);
    const double x = std::round(box.x * scale_), y = std::round(box.y * scale_);
    cairo_set_source_surface(state_->page, surface, x, y);
    cairo_pattern_set_filter(cairo_get_source(state_->page), CAIRO_FILTER_NEAREST);
    cairo_rectangle(state_->page, x, y, image.width, image.height);
    cairo_fill(state_->page);
    cairo_restore(state_->page);
    cairo_surface_destroy(surface);
}

void Canvas::clip(const Box& box) {
    cairo_save(state_->page);
    state_->path(box, 0.0);
    cairo_clip(state_->page);
}
void Canvas::unclip() {
    cairo_restore(state_->page);
}

double Canvas::measure(std::string_view text, const Type& type) const {
    const Font* font = Font::of(type.weight);
    return font == nullptr ? 0.0 : type.size * font->set(code_points(text)).width;
}

namespace {

/// Above and below the baseline, as a part of the em (Inter's).
constexpr double ascent = 0.97, descent = 0.24;
/// Half the height of the small letters (Inter's x-height is 0.546 em).
constexpr double middle_of_type = 0.273;

}  // namespace

Box Canvas::write(std::string_view text, const Vec2& at, double room, const Type& type) {
    written_.emplace_back(text);
    const Font* font = Font::of(type.weight);
    if (font == nullptr || text.empty()) return {at.x(), at.y(), 0.0, 0.0};
    std::u32string letters = code_points(text);
    SetText set = font->set(letters);
    if (type.size * set.width > room) {
        shortened_.emplace_back(text);
        while (!letters.empty()) {
            letters.pop_back();
            while (!letters.empty() && letters.back() == U' ') letters.pop_back();
            set = font->set(letters + U"\u2026");
            if (type.size * set.width <= room) break;
        }
    }
    const double width = type.size * set.width;
    const double shift = type.align == Align::left ? 0.0 : type.align == Align::right ? width : 0.5 * width;
    cairo_t* page = state_->page;
    // a whole device pixel for the baseline keeps the letters' feet sharp
    const double x = at.x() - shift;
    const double y = std::round(at.y() * scale_) / scale_;
    cairo_set_font_size(page, type.size);
    state_->source(type.colour, 1.0);
    for (std::size_t i = 0; i < set.glyphs.size();) {
        const int face = set.glyphs[i].face;
        cairo_set_font_face(page, font->face(face));
        std::vector<cairo_glyph_t> run;
        for (; i < set.glyphs.size() && set.glyphs[i].face == face; ++i)
            run.push_back({set.glyphs[i].glyph, x + type.size * set.glyphs[i].x, y});
        cairo_glyph_path(page, run.data(), static_cast<int>(run.size()));
    }
    cairo_set_fill_rule(page, CAIRO_FILL_RULE_WINDING);
    cairo_fill(page);
    const Box covered{x, y - ascent * type.size, width, (ascent + descent) * type.size};
    text_boxes_.push_back(covered);
    return covered;
}

Box Canvas::write_middle(std::string_view text, const Vec2& at, double room, const Type& type) {
    return write(text, {at.x(), at.y() + 1.25 * middle_of_type * type.size}, room, type);
}

void Canvas::write_upwards(std::string_view text, const Vec2& at, double room, const Type& type) {
    cairo_save(state_->page);
    cairo_translate(state_->page, at.x(), at.y());
    cairo_rotate(state_->page, -0.5 * std::numbers::pi);
    const Box turned = write(text, {0.0, middle_of_type * type.size}, room, type);
    cairo_restore(state_->page);
    if (!text.empty()) text_boxes_.back() = {at.x() + turned.y, at.y() - turned.right(), turned.h, turned.w};
}

}  // namespace archwright::picture
