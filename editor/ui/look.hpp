// How everything looks: fonts, colours, scale, and the shapes that panels are made of.
#pragma once

#include <imgui.h>

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/picture/canvas.hpp"
#include "engine/picture/colour.hpp"

namespace archwright::editor::ui {

using picture::Align;
using picture::Box;
using picture::Colour;

/// Faces and sizes of the house (em in logical pixels: 13.2, 11.6, 16.5, 23).
enum class Face { body, strong, small, small_strong, title, heading };
inline constexpr std::size_t face_count = 6;

/// A text that did not fit where it was to stand.
struct Overflow {
    std::string where, text;
    double needed = 0, room = 0;  ///< logical pixels
};

/// What a station, a check or a foot says of itself.
enum class Sign { pass, look, looked_signed, stop, working, waiting };
Sign sign_of(Verdict verdict);

class Look {
  public:
    /// Loads the fonts at this scale into ImGui's atlas (the caller builds its texture). Fault (output) names
    /// the package that is missing.
    static Outcome<Done> load_fonts(double scale, Look& look);

    bool dark = false;
    double scale = 1;
    bool narrow = false;  ///< the smaller set of the layout
    const picture::Theme& theme() const { return picture::theme(dark); }

    // colours beside those every drawing shares
    Colour field() const { return dark ? Colour::hex(0x111518) : Colour::hex(0xFFFFFF); }
    Colour accent_fill() const { return dark ? Colour::hex(0x21384A) : Colour::hex(0xDCE8F1); }

    /// Logical pixels to whole device pixels.
    float px(double logical) const;
    ImU32 ink(const Colour& colour, double alpha = 1.0) const;
    ImFont* font(Face face) const { return fonts_[static_cast<std::size_t>(face)]; }
    void apply_style() const;

    /// Where the panels draw; set at the start of each.
    ImDrawList* list = nullptr;
    /// The part of the screen that is drawn, for the fit report.
    std::string part;

    // all in logical pixels
    void fill(const Box& box, const Colour& colour, double radius = 0, double alpha = 1);
    void frame(const Box& box, const Colour& colour, double radius = 0, double width = 1);
    void rule_across(double x0, double x1, double y, const Colour& colour);
    void rule_down(double x, double y0, double y1, const Colour& colour);
    void line(const Vec2& a, const Vec2& b, const Colour& colour, double width, double alpha = 1);
    void polyline(const std::vector<Vec2>& points, bool closed, const Colour& colour, double width,
                  double alpha = 1);
    void dashed(const std::vector<Vec2>& points, bool closed, const Colour& colour, double width,
                const std::vector<double>& dashes, double alpha = 1);
    void disc(const Vec2& at, double radius, const Colour& colour, double alpha = 1);
    void ring(const Vec2& at, double radius, const Colour& colour, double width, double alpha = 1);
    void clip(const Box& box);
    void unclip();

    /// Width a text takes.
    double measure(std::string_view text, Face face) const;
    /// Writes with the middle of its small letters at y; returns the width it took. What is wider than `room`
    /// is shortened with an ellipsis and reported.
    double text(std::string_view words, const Vec2& at, double room, Face face, const Colour& colour,
                Align align = Align::left);
    /// The same, for texts of a person that may be of any length: shortened without a report.
    double name(std::string_view words, const Vec2& at, double room, Face face, const Colour& colour,
                Align align = Align::left);
    /// In lines of at most `width`; returns the height they took, at most `most` lines (the last with an
    /// ellipsis, reported).
    double paragraph(std::string_view words, const Vec2& top_left, double width, int most, Face face,
                     const Colour& colour);
    double line_height(Face face) const;

    /// The sign of a state, 14 across.
    void sign(const Vec2& at, Sign sign, double size = 1);
    Colour sign_colour(Sign sign) const;
    /// Ring with ticks inward (hollow) or outward (raised).
    void relief_sign(const Vec2& at, bool hollow, const Colour& colour);
    /// A cap with the name of a key; its right edge at x. Returns its width.
    double key_cap(double right, double y, std::string_view key);
    void disc_letter(const Vec2& at, std::string_view letter);

    /// What did not fit since `forget_overflows`.
    const std::vector<Overflow>& overflows() const { return overflows_; }
    void forget_overflows() { overflows_.clear(); }
    /// Letters that no face has, of all texts that were written.
    const std::string& missing() const { return missing_; }

  private:
    struct Glyph;
    double write(std::string_view words, const Vec2& at, double room, Face face, const Colour& colour,
                 Align align, bool report);
    double advance(const std::vector<unsigned>& letters, Face face) const;
    ImVec2 at(const Vec2& p) const;

    ImFont* fonts_[face_count] = {};
    std::vector<Overflow> overflows_;
    std::string missing_;
};

}  // namespace archwright::editor::ui
