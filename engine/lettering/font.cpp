#include "engine/lettering/font.hpp"

#include <cmath>
#include <numbers>

namespace archwright::lettering {

namespace {

// A pen that draws on the grid.
class Pen {
  public:
    explicit Pen(double width) { glyph_.width = width; }

    Pen& from(double x, double y) {
        glyph_.strokes.push_back({Vec2(x, y)});
        return *this;
    }
    Pen& to(double x, double y) {
        glyph_.strokes.back().emplace_back(x, y);
        return *this;
    }
    // Part of an ellipse about (x, y), angles in degrees from +x to +y; joined to where the pen is.
    Pen& arc(double x, double y, double rx, double ry, double begin, double end) {
        constexpr double step = 9.0;
        const int steps = static_cast<int>(std::ceil(std::abs(end - begin) / step));
        for (int k = 0; k <= steps; ++k) {
            const double a = (begin + (end - begin) * k / steps) * std::numbers::pi / 180.0;
            const Vec2 p(x + rx * std::cos(a), y + ry * std::sin(a));
            Stroke& stroke = glyph_.strokes.back();
            constexpr double same = 1e-6;
            if (stroke.empty() || (p - stroke.back()).norm() > same) stroke.push_back(p);
        }
        return *this;
    }
    // A stroke that begins with an arc.
    Pen& from_arc(double x, double y, double rx, double ry, double begin, double end) {
        glyph_.strokes.emplace_back();
        return arc(x, y, rx, ry, begin, end);
    }
    operator Glyph() const { return glyph_; }  // NOLINT(google-explicit-constructor)

  private:
    Glyph glyph_;
};

// Round and wide, so that it is no zero.
Pen round_o() {
    Pen pen(4.8);
    pen.from_arc(2.4, 3, 2.4, 3, 90, 450);
    return pen;
}

Pen bowl_of_p() {
    Pen pen(3.9);
    pen.from(0, 0).to(0, 6).to(2.2, 6).arc(2.2, 4.35, 1.7, 1.65, 90, -90).to(0, 2.7);
    return pen;
}

Glyph letter(char c) {
    switch (c) {
        case 'A':
            return Pen(4.4).from(0, 0).to(2.2, 6).to(4.4, 0).from(0.66, 1.8).to(3.74, 1.8);
        case 'B':
            return Pen(3.9)
                .from(0, 0)
                .to(0, 6)
                .to(2.2, 6)
                .arc(2.2, 4.6, 1.5, 1.4, 90, -90)
                .to(0, 3.2)
                .from(2.2, 3.2)
                .arc(2.2, 1.6, 1.7, 1.6, 90, -90)
                .to(0, 0);
        case 'C':
            return Pen(4).from_arc(2.2, 3.6, 2.2, 2.4, 38, 180).arc(2.2, 2.4, 2.2, 2.4, 180, 322);
        case 'D':
            return Pen(4.1)
                .from(0, 0)
                .to(0, 6)
                .to(1.6, 6)
                .arc(1.6, 3.5, 2.5, 2.5, 90, 0)
                .arc(1.6, 2.5, 2.5, 2.5, 0, -90)
                .to(0, 0);
        case 'E':
            return Pen(3.5).from(3.5, 6).to(0, 6).to(0, 0).to(3.5, 0).from(0, 3.1).to(3, 3.1);
        case 'F':
            return Pen(3.5).from(3.5, 6).to(0, 6).to(0, 0).from(0, 3.1).to(3, 3.1);
        case 'G':
            return Pen(4.3)
                .from_arc(2.2, 3.6, 2.2, 2.4, 38, 180)
                .arc(2.2, 2.4, 2.2, 2.4, 180, 270)
                .arc(2.2, 2.1, 2.1, 2.1, 270, 360)
                .to(4.3, 2.7)
                .to(2.6, 2.7);
        case 'H':
            return Pen(4).from(0, 0).to(0, 6).from(4, 0).to(4, 6).from(0, 3.1).to(4, 3.1);
        case 'I':
            return Pen(2).from(0, 6).to(2, 6).from(0, 0).to(2, 0).from(1, 0).to(1, 6);
        case 'J':
            return Pen(3.2).from(1.2, 6).to(3.2, 6).to(3.2, 1.7).arc(1.6, 1.7, 1.6, 1.7, 0, -165);
        case 'K':
            return Pen(4).from(0, 0).to(0, 6).from(3.8, 6).to(0, 2.3).from(1.3, 3.566).to(4, 0);
        case 'L':
            return Pen(3.4).from(0, 6).to(0, 0).to(3.4, 0);
        case 'M':
            return Pen(5).from(0, 0).to(0, 6).to(2.5, 1.8).to(5, 6).to(5, 0);
        case 'N':
            return Pen(4.2).from(0, 0).to(0, 6).to(4.2, 0).to(4.2, 6);
        case 'O':
            return round_o();
        case 'P':
            return bowl_of_p();
        case 'Q':
            return round_o().from(3.0, 1.8).to(4.8, 0);
        case 'R':
            return bowl_of_p().from(1.9, 2.7).to(3.9, 0);
        case 'S':
            return Pen(3.8).from_arc(1.9, 4.55, 1.7, 1.45, 32, 270).arc(1.9, 1.55, 1.9, 1.55, 90, -148);
        case 'T':
            return Pen(4.2).from(0, 6).to(4.2, 6).from(2.1, 6).to(2.1, 0);
        case 'U':
            return Pen(4).from(0, 6).to(0, 2).arc(2, 2, 2, 2, 180, 360).to(4, 6);
        case 'V':
            return Pen(4.4).from(0, 6).to(2.2, 0).to(4.4, 6);
        case 'W':
            return Pen(6).from(0, 6).to(1.5, 0).to(3, 4.8).to(4.5, 0).to(6, 6);
        case 'X':
            return Pen(4.2).from(0, 0).to(4.2, 6).from(0, 6).to(4.2, 0);
        case 'Y':
            return Pen(4.4).from(0, 6).to(2.2, 2.8).to(4.4, 6).from(2.2, 2.8).to(2.2, 0);
        default:
            return Pen(4).from(0, 6).to(4, 6).to(0, 0).to(4, 0);
    }
}

Glyph digit(char c) {
    switch (c) {
        case '0':
            return Pen(3.2)
                .from_arc(1.6, 4.4, 1.6, 1.6, 0, 180)
                .arc(1.6, 1.6, 1.6, 1.6, 180, 360)
                .to(3.2, 4.4);
        case '1':
            return Pen(1.7).from(0, 4.6).to(1.7, 6).to(1.7, 0);
        case '2':
            return Pen(3.7).from_arc(1.85, 4.2, 1.8, 1.8, 160, -38).to(0, 0).to(3.7, 0);
        case '3':
            return Pen(3.6).from_arc(1.7, 4.6, 1.6, 1.4, 150, -90).arc(1.7, 1.6, 1.9, 1.6, 90, -150);
        case '4':
            return Pen(3.9).from(2.8, 0).to(2.8, 6).to(0, 1.7).to(3.9, 1.7);
        case '5':
            return Pen(3.7).from(3.3, 6).to(0.5, 6).to(0.3, 3.25).arc(1.75, 1.95, 1.95, 1.95, 138, -150);
        case '6':  // the stem touches the bowl at 150 degrees
            return Pen(3.8).from(2.07, 6).to(0.2546, 2.85).arc(1.9, 1.9, 1.9, 1.9, 150, 510);
        case '7':
            return Pen(3.7).from(0, 6).to(3.7, 6).to(1.2, 0);
        case '8':
            return Pen(3.7).from_arc(1.85, 4.6, 1.6, 1.4, -90, 270).from_arc(1.85, 1.6, 1.85, 1.6, 90, 450);
        default:
            return Pen(3.8).from(1.73, 0).to(3.5454, 3.15).arc(1.9, 4.1, 1.9, 1.9, -30, 330);
    }
}

}  // namespace

std::optional<Glyph> glyph(char character) {
    if (character >= 'A' && character <= 'Z') return letter(character);
    if (character >= '0' && character <= '9') return digit(character);
    switch (character) {
        case '-':
            return Pen(2.2).from(0, 3).to(2.2, 3);
        case '.':
            return Pen(0).from(0, 0);
        case '/':
            return Pen(2.6).from(0, 0).to(2.6, 6);
        case ' ':
            return Pen(1.6);
        default:
            return std::nullopt;
    }
}

}  // namespace archwright::lettering
