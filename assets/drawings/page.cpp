#include "assets/drawings/page.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::drawings {

using picture::Align;
using picture::Box;
using picture::Type;
using picture::Weight;

namespace {

constexpr double head_height = 28.0, margin = 10.0;
/// Tints of plaster that comes and goes.
constexpr double fill_alpha = 1.0, hatch_step = 7.0;
/// Of each channel along edges of the finished picture; divides 255, so that white stays white.
constexpr std::uint32_t colour_step = 17;
static_assert(255 % colour_step == 0);

std::uint32_t coarse(std::uint32_t pixel) {
    std::uint32_t out = 0;
    for (const int shift : {16, 8, 0}) {
        const std::uint32_t channel = pixel >> shift & 0xFFu;
        out |= (channel + colour_step / 2) / colour_step * colour_step << shift;
    }
    return out;
}

}  // namespace

Page::Page(int height)
    : height_(height),
      canvas_(page_width, height, page_scale, picture::theme(false).panel),
      theme_(picture::theme(false)) {}

Box Page::panel(const Box& box, std::string_view letter, std::string_view name, std::string_view detail) {
    canvas_.fill(box, theme_.board);
    Box rest = box;
    picture::draw_head(canvas_, rest.cut_top(head_height), theme_, letter, name, detail);
    canvas_.frame(box, {theme_.rule, 1.0});
    return rest;
}

picture::DimensionStyle Page::plain() const {
    return {theme_.soft, theme_.board, {picture::type::body, Weight::regular, theme_.text, Align::centre}};
}
picture::DimensionStyle Page::strong() const {
    picture::DimensionStyle style{
        theme_.accent, theme_.board, {14.0, Weight::semibold, theme_.accent, Align::centre}};
    style.width = 1.5;
    return style;
}
Type Page::words(Align align) const {
    return {picture::type::body, Weight::regular, theme_.text, align};
}

void Page::cast(const std::vector<std::vector<Vec2>>& rings) {
    canvas_.fill(rings, theme_.cast, 0.55);
    for (const auto& ring : rings) canvas_.polyline(ring, false, {theme_.faint, 1.3});
}
void Page::shell(const std::vector<std::vector<Vec2>>& rings) {
    canvas_.fill(rings, theme_.board, 0.8);
    canvas_.fill(rings, theme_.ink, theme_.shell_tint);
    canvas_.hatch(rings, 6.0, {theme_.ink, 0.8, 0.75});
    for (const auto& ring : rings) canvas_.polyline(ring, true, {theme_.ink, 1.2});
}

void Page::added(const std::vector<Vec2>& ring) {
    canvas_.fill({ring}, theme_.look_fill, fill_alpha);
    canvas_.hatch({ring}, hatch_step, {theme_.look, 0.9, 0.8});
}
void Page::cut_off(const std::vector<Vec2>& ring) {
    canvas_.fill({ring}, theme_.stop_fill, fill_alpha);
    canvas_.hatch({ring}, hatch_step, {theme_.stop, 0.9, 0.8});
}

void Page::ground(const Box& box, double y, std::string_view words) {
    canvas_.line({box.x, y}, {box.right(), y}, {theme_.ink, 1.4});
    canvas_.clip({box.x, y, box.w, 7.0});
    for (double x = box.x - 8.0; x < box.right() + 8.0; x += 10.0)
        canvas_.line({x + 6.0, y + 1.0}, {x, y + 7.0}, {theme_.soft, 1.0});
    canvas_.unclip();
    if (!words.empty())
        canvas_.write(words, {box.x + 10.0, y + 21.0}, box.w - 20.0,
                      {picture::type::small, Weight::regular, theme_.soft, Align::left});
}

void Page::ends(const Box& box, std::string_view left, std::string_view right) {
    picture::DimensionStyle style = plain();
    style.words = {picture::type::small, Weight::regular, theme_.soft, Align::left};
    picture::draw_words(canvas_, {box.x + 6.0, box.y + 14.0}, left, Align::left, style);
    picture::draw_words(canvas_, {box.right() - 6.0, box.y + 14.0}, right, Align::right, style);
}

void Page::point(const Vec2& at, std::string_view name, const Vec2& offset, Align align) {
    canvas_.disc(at, 5.0, theme_.board);
    canvas_.disc(at, 3.6, theme_.accent);
    if (!name.empty()) picture::draw_words(canvas_, at + offset, name, align, strong());
}

void Page::keys(const Box& strip, const std::vector<Key>& keys) {
    double x = strip.x + margin;
    const double y = strip.centre().y();
    for (const Key& key : keys) {
        const Box sample{x, y - 7.0, 26.0, 14.0};
        const std::vector<Vec2> ring{{sample.x, sample.y},
                                     {sample.right(), sample.y},
                                     {sample.right(), sample.bottom()},
                                     {sample.x, sample.bottom()}};
        switch (key.kind) {
            case Key::Kind::added:
                added(ring);
                break;
            case Key::Kind::cut_off:
                cut_off(ring);
                break;
            case Key::Kind::before:
                canvas_.line({sample.x, y}, {sample.right(), y}, before());
                break;
            case Key::Kind::after:
                canvas_.line({sample.x, y}, {sample.right(), y}, ink(2.2));
                break;
            case Key::Kind::cast:
                canvas_.fill({ring}, theme_.cast, 0.55);
                canvas_.polyline(ring, true, {theme_.faint, 1.3});
                break;
            case Key::Kind::shell:
                canvas_.fill({ring}, theme_.ink, theme_.shell_tint);
                canvas_.hatch({ring}, hatch_step, {theme_.ink, 0.8, 0.75});
                canvas_.polyline(ring, true, {theme_.ink, 1.2});
                break;
            case Key::Kind::meaning:
                canvas_.line({sample.x, y}, {sample.right(), y}, meaning());
                break;
        }
        const Box written = canvas_.write_middle(key.words, {sample.right() + 7.0, y},
                                                 strip.right() - margin - sample.right() - 7.0, words());
        x = written.right() + 22.0;
    }
}

void Page::sentence(const Vec2& at, double room, std::string_view strong, std::string_view rest) {
    Type bold = words();
    bold.weight = Weight::semibold;
    const Box written = canvas_.write(strong, at, room, bold);
    if (!rest.empty()) canvas_.write(rest, {written.right() + 7.0, at.y()}, room - written.w - 7.0, words());
}

Drawing Page::finish() const {
    picture::Image image = canvas_.take();
    // few colours make small files: a pixel unlike both its neighbours, across or up and
    // down, is an edge's smoothing and may be coarser than what stands in the flat
    const picture::Image fine = image;
    for (int y = 1; y + 1 < image.height; ++y)
        for (int x = 1; x + 1 < image.width; ++x) {
            const std::uint32_t here = fine.at(x, y);
            if ((here != fine.at(x - 1, y) && here != fine.at(x + 1, y)) ||
                (here != fine.at(x, y - 1) && here != fine.at(x, y + 1)))
                image.at(x, y) = coarse(here);
        }
    return {{}, std::move(image), canvas_.written(), canvas_.shortened(), canvas_.text_boxes(), whole()};
}

picture::Align outward(bool to_right) {
    return to_right ? picture::Align::left : picture::Align::right;
}

std::string signed_degrees(double degrees) {
    const std::string size = rounded(std::abs(degrees), 1);
    const bool none = size == rounded(0.0, 1);
    return (none ? "" : degrees < 0.0 ? "\u2212" : "+") + size + "\u00b0";
}
std::string degrees_with_word(double degrees) {
    const std::string size = rounded(std::abs(degrees), 1);
    const bool none = size == rounded(0.0, 1);
    return size + "\u00b0" + (none ? "" : degrees < 0.0 ? " everted" : " inverted");
}
std::string millimetres(double mm, int decimals) {
    return rounded(mm, decimals) + " mm";
}

}  // namespace archwright::drawings
