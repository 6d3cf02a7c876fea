// Drawing on a page: strokes, fills and text that fits, all in logical pixels.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/picture/colour.hpp"
#include "engine/picture/image.hpp"

namespace archwright::picture {

/// A rectangle in logical pixels.
struct Box {
    double x = 0.0, y = 0.0, w = 0.0, h = 0.0;

    double right() const { return x + w; }
    double bottom() const { return y + h; }
    Vec2 centre() const { return {x + 0.5 * w, y + 0.5 * h}; }
    bool contains(const Vec2& p) const {
        return p.x() >= x && p.x() <= right() && p.y() >= y && p.y() <= bottom();
    }
    bool meets(const Box& o) const {
        return x < o.right() && o.x < right() && y < o.bottom() && o.y < bottom();
    }
    Box inset(double d) const { return {x + d, y + d, w - 2.0 * d, h - 2.0 * d}; }
    /// Cuts a strip off and returns it; what is left stays here.
    Box cut_top(double d);
    Box cut_bottom(double d);
    Box cut_left(double d);
    Box cut_right(double d);
};

enum class Weight { regular, semibold };
enum class Align { left, centre, right };

/// Sizes of type, em in logical pixels.
namespace type {
inline constexpr double body = 13.2, small = 11.6, stage = 16.5, heading = 23.0;
}

/// How a line is drawn.
struct Pen {
    Colour colour;
    double width = 1.0;
    double alpha = 1.0;
    std::vector<double> dashes = {};
    bool round = false;  ///< round ends; joints are always round
};

/// What stands behind a text.
struct Type {
    double size = type::body;
    Weight weight = Weight::regular;
    Colour colour;
    Align align = Align::left;
};

/// A page. Coordinates are logical pixels from the top left; `scale` device pixels each. Fonts come straight
/// from the packages' files (Inter, else DejaVu Sans), without a font cache or hinting, so that the same
/// page gives the same bytes on every machine.
class Canvas {
  public:
    /// Width and height in logical pixels.
    Canvas(int width, int height, double scale, const Colour& ground);
    /// A page that is clear where nothing is drawn, to lie over other pictures.
    Canvas(int width, int height, double scale);
    ~Canvas();
    Canvas(const Canvas&) = delete;
    Canvas& operator=(const Canvas&) = delete;

    /// True when a font was found. Without one nothing is written and `compose` says so.
    static bool has_font();

    double scale() const { return scale_; }
    /// What the page holds; or what a box of it holds, in whole device pixels.
    Image take() const;
    Image take(const Box& box) const;
    /// Red, green, blue and opacity of every device pixel, 8 bits each, colours not multiplied by opacity;
    /// row by row from the top left.
    std::vector<std::uint8_t> take_clear() const;
    int device_width() const;
    int device_height() const;

    void fill(const Box& box, const Colour& colour, double alpha = 1.0, double radius = 0.0);
    /// A frame drawn inside the box.
    void frame(const Box& box, const Pen& pen, double radius = 0.0);
    void line(const Vec2& a, const Vec2& b, const Pen& pen);
    void polyline(const std::vector<Vec2>& points, bool closed, const Pen& pen);
    void fill(const std::vector<std::vector<Vec2>>& rings, const Colour& colour, double alpha);
    /// 45 degree lines `step` apart within the rings (even-odd).
    void hatch(const std::vector<std::vector<Vec2>>& rings, double step, const Pen& pen);
    void disc(const Vec2& centre, double radius, const Colour& colour, double alpha = 1.0);
    void circle(const Vec2& centre, double radius, const Pen& pen);
    /// Puts a picture of device pixels at a box's corner (moved to the nearest device pixel).
    void place(const Image& image, const Box& box);

    /// Everything until the matching `unclip` stays within the box.
    void clip(const Box& box);
    void unclip();

    /// Width the text would take, logical pixels.
    double measure(std::string_view text, const Type& type) const;
    /// Writes with the baseline at y. Text wider than `room` is shortened with an ellipsis and remembered in
    /// `shortened()`. Digits are of one width. Returns the box it covers.
    Box write(std::string_view text, const Vec2& at, double room, const Type& type);
    /// The same, centred on the line y of the middle of the small letters.
    Box write_middle(std::string_view text, const Vec2& at, double room, const Type& type);
    /// The same, turned a quarter to the left about its place.
    void write_upwards(std::string_view text, const Vec2& at, double room, const Type& type);

    /// Texts that did not fit, in the order they were met.
    const std::vector<std::string>& shortened() const { return shortened_; }
    /// Every text as it was asked for, in order (tests look for the side letter here).
    const std::vector<std::string>& written() const { return written_; }
    /// Boxes of every text, in order.
    const std::vector<Box>& text_boxes() const { return text_boxes_; }

  private:
    struct State;
    void begin(int width, int height, bool clear);
    void stroke(const Pen& pen);

    std::unique_ptr<State> state_;
    double scale_;
    std::vector<std::string> shortened_, written_;
    std::vector<Box> text_boxes_;
};

}  // namespace archwright::picture
