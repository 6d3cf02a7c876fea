#include "engine/lettering/layout.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::lettering {

namespace {

// Clear space between letters, over the stroke's breadth; between lines, over the height.
constexpr double letter_gap = 1.1, line_gap = 0.6;
// A stroke broader than this share of the height fills the eyes of A, B and 8.
constexpr double stroke_share = 0.2, stroke_more_mm = 0.1;

}  // namespace

double flank_run_mm(const Style& style) {
    return style.depth_mm / std::tan(flank_deg * std::numbers::pi / 180.0);
}

std::string text_trouble(std::string_view text) {
    if (text.size() > longest_text)
        return "has " + std::to_string(text.size()) + " characters: write " + std::to_string(longest_text) +
               " at most";
    for (const char c : text) {
        if (characters.find(c) != std::string_view::npos) continue;
        const bool small = c >= 'a' && c <= 'z';
        return std::string("holds ") + (small ? "small letters" : "a character that cannot be lettered") +
               ": write A-Z 0-9 - . / and spaces alone";
    }
    return {};
}

std::string style_trouble(const Style& style) {
    const double most = stroke_share * style.height_mm + stroke_more_mm;
    if (style.stroke_mm > most)
        return ".stroke_mm is " + exact(style.stroke_mm) + ": letters of " + exact(style.height_mm) +
               " mm fill up with strokes broader than " + rounded(most, 2) +
               " mm; write less, or a greater height_mm";
    const double floor = style.stroke_mm - 2.0 * flank_run_mm(style);
    if (floor < tolerance::lettering_floor_mm)
        return ".depth_mm is " + exact(style.depth_mm) + ": the flanks of a stroke " +
               exact(style.stroke_mm) + " mm broad leave " + rounded(std::max(0.0, floor), 2) +
               " mm between them, " + rounded(tolerance::lettering_floor_mm, 1) +
               " mm are needed; write less depth or a broader stroke_mm";
    return {};
}

double Layout::stroke_length() const {
    double length = 0.0;
    for (const Letter& letter : letters)
        for (const Stroke& stroke : letter.strokes)
            for (std::size_t k = 1; k < stroke.size(); ++k) length += (stroke[k] - stroke[k - 1]).norm();
    return length;
}

Layout set_lines(const std::vector<std::string>& lines, const Style& style) {
    const double unit = (style.height_mm - style.stroke_mm) / capital_units;
    const double gap = letter_gap * style.stroke_mm + style.stroke_mm;
    const double pitch = style.height_mm * (1.0 + line_gap);
    Layout out;
    const double rows = static_cast<double>(std::max<std::size_t>(lines.size(), 1));
    for (std::size_t row = 0; row < lines.size(); ++row) {
        const double base = 0.5 * (rows - 1.0) * pitch - static_cast<double>(row) * pitch -
                            0.5 * (style.height_mm - style.stroke_mm);
        std::vector<std::pair<char, Glyph>> glyphs;
        double breadth = 0.0;
        for (const char c : lines[row])
            if (auto one = glyph(c)) {
                breadth += one->width * unit + (glyphs.empty() ? 0.0 : gap);
                glyphs.emplace_back(c, std::move(*one));
            }
        double x = -0.5 * breadth;
        for (auto& [c, one] : glyphs) {
            Letter letter{c, std::move(one.strokes)};
            for (Stroke& stroke : letter.strokes)
                for (Vec2& p : stroke) p = Vec2(x, base) + unit * p;
            x += one.width * unit + gap;
            if (!letter.strokes.empty()) out.letters.push_back(std::move(letter));
        }
        out.half_size.x() = std::max(out.half_size.x(), 0.5 * (breadth + style.stroke_mm));
    }
    out.half_size.y() = 0.5 * ((rows - 1.0) * pitch + style.height_mm);
    return out;
}

}  // namespace archwright::lettering
