// The words beside a pattern.
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/words.hpp"
#include "engine/picture/font.hpp"
#include "exporters/pattern_words.hpp"

namespace archwright::exporters {

namespace {

using design::Cover;
using pattern::Pattern;
using picture::Weight;
using Layer = PatternSheet::Layer;

}  // namespace

double width_of(const std::string& text, double size_mm, Weight weight) {
    const picture::Font* font = picture::Font::of(weight);
    return font == nullptr ? 0.0 : size_mm * font->set(picture::code_points(text)).width;
}

namespace {

std::string utf8(std::u32string_view text) {
    std::string out;
    for (const char32_t c : text) {
        const auto put = [&](char32_t byte) { out += static_cast<char>(static_cast<unsigned char>(byte)); };
        if (c < 0x80) {
            put(c);
        } else if (c < 0x800) {
            put(0xC0 | (c >> 6));
            put(0x80 | (c & 0x3F));
        } else if (c < 0x10000) {
            put(0xE0 | (c >> 12));
            put(0x80 | ((c >> 6) & 0x3F));
            put(0x80 | (c & 0x3F));
        } else {
            put(0xF0 | (c >> 18));
            put(0x80 | ((c >> 12) & 0x3F));
            put(0x80 | ((c >> 6) & 0x3F));
            put(0x80 | (c & 0x3F));
        }
    }
    return out;
}

// Blanks for control characters: the words of a job may hold line ends.
std::u32string plain(const std::string& text) {
    std::u32string out = picture::code_points(text);
    for (char32_t& c : out)
        if (c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0xFFFE || c == 0xFFFF) c = U' ';
    return out;
}

// Lines no wider than `room`; what does not go into `most` lines ends with an ellipsis.
std::vector<std::string> wrapped(const std::string& text, double size_mm, Weight weight, double room,
                                 std::size_t most) {
    std::vector<std::string> lines;
    const std::u32string all = plain(text);
    const auto width = [&](std::u32string_view part) { return width_of(utf8(part), size_mm, weight); };
    std::size_t at = 0;
    while (at < all.size()) {
        while (at < all.size() && all[at] == U' ') ++at;
        if (at == all.size()) break;
        if (lines.size() == most) {
            std::u32string last = picture::code_points(lines.back()) + U"\u2026";
            while (last.size() > 1 && width(last) > room) last.erase(last.size() - 2, 1);
            lines.back() = utf8(last);
            break;
        }
        std::size_t end = at, whole = at;  // the longest part that fits; the same to the end of a word
        while (end < all.size() && width(std::u32string_view(all).substr(at, end + 1 - at)) <= room) {
            ++end;
            if (end == all.size() || all[end] == U' ') whole = end;
        }
        if (end == at) ++end;  // one letter wider than the column: on its own
        if (whole > at) end = whole;
        lines.push_back(utf8(std::u32string_view(all).substr(at, end - at)));
        at = end;
    }
    return lines;
}

// The words beside the pattern: set downward from the column's top.
class Column {
  public:
    Column(PatternSheet& sheet, double x, double y, double room) : sheet_(sheet), x_(x), y_(y), room_(room) {}

    double y() const { return y_; }
    void skip(double mm) { y_ += mm; }
    void write(const std::string& text, double size_mm, Weight weight, std::size_t most = 4,
               double indent = 0.0) {
        for (const std::string& line : wrapped(text, size_mm, weight, room_ - indent, most)) {
            y_ += 1.25 * size_mm;
            sheet_.words.push_back(
                {line, {x_ + indent, y_ - 0.3 * size_mm}, size_mm, weight, width_of(line, size_mm, weight)});
        }
    }
    void entry(const std::string& name, const std::string& value, std::size_t most = 4) {
        skip(1.6);
        write(name, 2.5, Weight::regular);
        write(value, 3.4, Weight::semibold, most);
    }
    void legend(const PatternSheet::Stroke& like, const std::string& text) {
        skip(0.6);
        PatternSheet::Stroke sample = like;
        sample.what = "legend";
        sample.layer = Layer::mark;
        sample.closed = false;
        sample.points = {{x_, y_ + 2.1}, {x_ + 11.0, y_ + 2.1}};
        sheet_.strokes.push_back(sample);
        write(text, 2.7, Weight::regular, 3, 13.0);
    }

  private:
    PatternSheet& sheet_;
    double x_, y_, room_;
};

std::string upper_side(Side side) {
    return side == Side::left ? "LEFT" : "RIGHT";
}

}  // namespace

// The letter of the side in a box; returns the box's breadth.
double side_letter(PatternSheet& sheet, const Vec2& top_left, double size_mm, Side side) {
    const std::string letter = side == Side::left ? "L" : "R";
    const double box = 1.3 * size_mm, width = width_of(letter, size_mm, Weight::semibold);
    PatternSheet::Stroke frame{"side", Layer::mark, {}, true, 0.5};
    for (const Vec2& corner : {Vec2(0, 0), Vec2(box, 0), Vec2(box, box), Vec2(0, box)})
        frame.points.push_back(top_left + corner);
    sheet.strokes.push_back(frame);
    constexpr double capital = 0.727;  // of the em: Inter's capitals
    sheet.words.push_back({letter, top_left + Vec2(0.5 * (box - width), 0.5 * (box + capital * size_mm)),
                           size_mm, Weight::semibold, width});
    return box;
}

namespace {

std::string length_words(const Cover& cover) {
    if (!cover.outline.empty()) return "outline drawn by hand";
    std::string text = design::title_of(cover.length);
    if (cover.length != Cover::Length::shell && cover.distal_mm != 0.0)
        text +=
            ", " + exact(std::abs(cover.distal_mm)) + " mm " + (cover.distal_mm > 0.0 ? "longer" : "shorter");
    if (cover.kind == Cover::Kind::extension && cover.overlap_mm > 0.0)
        text += "; over the shell by " + exact(cover.overlap_mm) + " mm";
    return text;
}

std::string margin_words(const Cover& cover) {
    if (!cover.outline.empty()) return "none: as drawn";
    if (cover.margin_mm > 0.0) return exact(cover.margin_mm) + " mm in the line: cut on it";
    if (cover.margin_mm < 0.0) return "none: " + exact(-cover.margin_mm) + " mm inside, cut on the line";
    return "none in the line: leave what you grind off";
}

// A vertical bar with a tick every 10 mm, and a shorter one across.
void check_bar(PatternSheet& sheet, const Vec2& top) {
    constexpr double across_mm = 40.0;
    const auto stroke = [&](const Vec2& a, const Vec2& b, const char* what, double width) {
        sheet.strokes.push_back({what, Layer::mark, {a, b}, false, width});
    };
    const Vec2 foot = top + Vec2(0.0, check_bar_mm);
    stroke(top, foot, "bar", 0.3);
    stroke(foot, foot + Vec2(across_mm, 0.0), "bar across", 0.3);
    const auto tick = [](int k, int last) { return k == 0 || k == last ? 5.0 : k == 5 ? 3.5 : 2.0; };
    for (int k = 0; k < 10; ++k)
        stroke(top + Vec2(0.0, 10.0 * k), top + Vec2(tick(k, 10), 10.0 * k), "tick", 0.2);
    for (int k = 1; k <= 4; ++k)
        stroke(foot + Vec2(10.0 * k, 0.0), foot + Vec2(10.0 * k, -tick(k, 4)), "tick", 0.2);
    const auto word = [&](const std::string& text, const Vec2& at) {
        sheet.words.push_back({text, at, 3.0, Weight::semibold, width_of(text, 3.0, Weight::semibold)});
    };
    word("100 mm", top + Vec2(6.5, 3.0));
    word("40 mm", foot + Vec2(across_mm - 12.0, -2.0));
}

}  // namespace

double write_column(PatternSheet& sheet, const Pattern& pattern, double x, double y, double room) {
    const Cover& cover = pattern.cover;
    Column column(sheet, x, y, room);
    const double box = side_letter(sheet, {x, y}, 11.0, pattern.side);
    const std::string side = upper_side(pattern.side);
    sheet.words.push_back({side,
                           {x + box + 3.0, y + 0.5 * box + 2.0},
                           6.0,
                           Weight::semibold,
                           width_of(side, 6.0, Weight::semibold)});
    column.skip(box + 2.0);
    column.write(pattern.case_code, 5.0, Weight::semibold, 3);
    column.write("revision " + pattern.revision + (pattern.date.empty() ? "" : ", " + pattern.date), 3.0,
                 Weight::regular);
    column.entry("Part", cover.name, 3);
    column.write(design::title_of(cover.kind), 3.0, Weight::regular);
    column.entry("Material", cover.material, 5);
    column.entry("Thickness", exact(cover.thickness_mm) + " mm");
    column.entry("Length", length_words(cover));
    column.entry("Allowance for grinding", margin_words(cover));
    column.entry("Up", "foot side up, seen from above");
    column.skip(3.0);
    column.legend(cut_like, "cut");
    column.legend(edge_like, "edge of the shell");
    column.legend(axis_like, "heel-toe axis");
    column.skip(2.0);
    column.write("+ heel centre; metatarsal heads 1, 2, 5", 2.7, Weight::regular);
    column.write("Laid on the shell this flat stretches by " + rounded(pattern.stretch_low, 2) + " to " +
                     rounded(pattern.stretch_high, 2) + ": fit it there before you trim it to the line.",
                 2.7, Weight::regular, 4);
    column.skip(3.0);
    column.write("1:1", 8.0, Weight::semibold);
    column.write("Print at 100 %, never fitted to the page, and measure the bar.", 2.7, Weight::semibold, 4);
    column.skip(4.0);
    check_bar(sheet, {x, column.y()});
    return column.y() + check_bar_mm;
}

}  // namespace archwright::exporters
