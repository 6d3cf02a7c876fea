#include "exporters/pattern_sheet.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/design/words.hpp"
#include "engine/picture/font.hpp"

namespace archwright::exporters {

namespace {

using design::Cover;
using pattern::Pattern;
using picture::Weight;
using Layer = PatternSheet::Layer;
using Words = PatternSheet::Words;

constexpr double margin_mm = 10.0, gap_mm = 8.0;
constexpr double narrowest_column_mm = 50.0, widest_column_mm = 80.0;

double width_of(const std::string& text, double size_mm, Weight weight) {
    const picture::Font* font = picture::Font::of(weight);
    return font == nullptr ? 0.0 : size_mm * font->set(picture::code_points(text)).width;
}

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

struct Extent {
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    void add(const Vec2& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    Vec2 size() const { return high - low; }
};

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

const PatternSheet::Stroke cut_like{"cut", Layer::cut, {}, true, 0.35};
const PatternSheet::Stroke edge_like{"shell edge", Layer::mark, {}, true, 0.25, {3.0, 1.6}};
const PatternSheet::Stroke axis_like{"axis", Layer::mark, {}, false, 0.18, {7.0, 1.2, 1.0, 1.2}};

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

// Everything in the column; returns the y under it.
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

// Where a horizontal line runs inside the ring: its widest stretch.
std::optional<std::pair<double, double>> chord(const std::vector<Vec2>& ring, double y) {
    std::vector<double> at;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
        if ((a.y() > y) != (b.y() > y)) at.push_back(a.x() + (y - a.y()) / (b.y() - a.y()) * (b.x() - a.x()));
    }
    std::sort(at.begin(), at.end());
    std::optional<std::pair<double, double>> best;
    for (std::size_t i = 0; i + 1 < at.size(); i += 2)
        if (!best || at[i + 1] - at[i] > best->second - best->first) best = std::pair(at[i], at[i + 1]);
    return best;
}

// Free breadth of a band of y.
std::optional<std::pair<double, double>> band(const std::vector<Vec2>& ring, double y_low, double y_high) {
    std::optional<std::pair<double, double>> free;
    constexpr int steps = 8;
    for (int k = 0; k <= steps; ++k) {
        const auto here = chord(ring, y_low + (y_high - y_low) * k / steps);
        if (!here) return std::nullopt;
        free = free ? std::pair(std::max(free->first, here->first), std::min(free->second, here->second))
                    : *here;
    }
    if (!(free->second > free->first)) return std::nullopt;
    return free;
}

bool inside(const std::vector<Vec2>& ring, const Vec2& p) {
    bool in = false;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
        if ((a.y() > p.y()) != (b.y() > p.y()) &&
            p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x()))
            in = !in;
    }
    return in;
}

/// What already stands on the part: words keep off it.
class Taken {
  public:
    void add(const Vec2& low, const Vec2& high) { boxes_.push_back({low, high}); }
    void add(const std::vector<Vec2>& line) { points_.insert(points_.end(), line.begin(), line.end()); }
    /// Boxes met, each as bad as many points of a line.
    int met(const Vec2& low, const Vec2& high) const {
        constexpr int box = 100;
        int count = 0;
        for (const auto& [l, h] : boxes_)
            if (l.x() < high.x() && low.x() < h.x() && l.y() < high.y() && low.y() < h.y()) count += box;
        for (const Vec2& p : points_)
            if (p.x() > low.x() && p.x() < high.x() && p.y() > low.y() && p.y() < high.y()) ++count;
        return count;
    }

  private:
    std::vector<std::pair<Vec2, Vec2>> boxes_;
    std::vector<Vec2> points_;
};

void draw_spots(PatternSheet& sheet, const std::vector<pattern::Spot>& spots, const std::vector<Vec2>& cut,
                Taken& taken) {
    for (const pattern::Spot& spot : spots) {
        if (!inside(cut, spot.at)) continue;
        constexpr double arm = 2.0;
        for (const Vec2& way : {Vec2(arm, 0.0), Vec2(0.0, arm)})
            sheet.strokes.push_back({"spot", Layer::mark, {spot.at - way, spot.at + way}, false, 0.2});
        taken.add(spot.at - Vec2(4.0, 4.0), spot.at + Vec2(6.0, 4.0));
        if (spot.word.size() > 1) continue;  // the heel centre's cross tells for itself
        sheet.words.push_back({spot.word, spot.at + Vec2(2.6, 1.0), 2.8, Weight::regular,
                               width_of(spot.word, 2.8, Weight::regular)});
    }
}

struct Block {
    Vec2 low = Vec2::Zero(), high = Vec2::Zero();
    bool empty() const { return !(high.y() > low.y()); }
};

// What goes with the part once it is cut out, where it covers least of what is drawn there.
Block write_on_part(PatternSheet& sheet, const Pattern& pattern, const std::vector<Vec2>& cut, Taken& taken) {
    Extent extent;
    for (const Vec2& p : cut) extent.add(p);
    struct Line {
        std::string text;
        double size;
        Weight weight;
    };
    const std::array lines{Line{pattern.case_code + "  " + pattern.revision, 4.0, Weight::semibold},
                           Line{pattern.cover.name, 3.6, Weight::semibold},
                           Line{"foot side up", 3.0, Weight::regular}};
    constexpr double full_letter_mm = 9.0, inset_mm = 4.0, least_mm = 1.6, widest_mm = 60.0, around_mm = 1.5;
    double full_height = 1.3 * full_letter_mm + 1.0, full_width = 1.3 * full_letter_mm;
    for (const Line& line : lines) {
        full_height += 1.3 * line.size;
        full_width = std::max(full_width, width_of(line.text, line.size, line.weight));
    }
    full_width = std::min(full_width, widest_mm);

    // a third of the way from the heel, or the middle of what has no heel
    const bool has_heel = pattern.cover.kind != Cover::Kind::extension && pattern.cover.outline.empty();
    const double wanted_y = extent.high.y() - (has_heel ? 0.36 : 0.5) * extent.size().y();
    Block best;
    double least = 1e300, scale = 1.0;
    constexpr double step_mm = 2.0;
    for (const double smaller : {1.0, 0.8, 0.65, 0.5}) {
        const double height = smaller * full_height;
        for (double top = extent.low.y() + inset_mm; top + height < extent.high.y() - inset_mm;
             top += step_mm) {
            const auto room = band(cut, top - around_mm, top + height + around_mm);
            if (!room) continue;
            const double free = room->second - room->first - 2.0 * inset_mm;
            const double breadth = std::min(smaller * full_width, free);
            if (breadth < std::min(smaller * full_width, 26.0)) continue;
            for (const double share : {0.5, 0.25, 0.75, 0.0, 1.0}) {
                const double left = room->first + inset_mm + share * (free - breadth);
                const Vec2 low(left - around_mm, top - around_mm),
                    high(left + breadth + around_mm, top + height + around_mm);
                // in mm of way: being off the middle, and being small
                constexpr double aside = 12.0, small = 120.0;
                const double cost = 5.0 * taken.met(low, high) + std::abs(top + 0.5 * height - wanted_y) +
                                    aside * std::abs(share - 0.5) + small * (1.0 - smaller);
                if (cost < least) {
                    least = cost;
                    scale = smaller;
                    best = {{left, top}, {left + breadth, top + height}};
                }
            }
        }
    }
    if (best.empty()) return best;
    const double centre = 0.5 * (best.low.x() + best.high.x()), breadth = best.high.x() - best.low.x();
    const double letter = scale * full_letter_mm;
    double y = best.low.y();
    y += side_letter(sheet, {centre - 0.65 * letter, y}, letter, pattern.side) + scale;
    for (const Line& line : lines) {
        const double asked = scale * line.size, own = width_of(line.text, asked, line.weight);
        const double size = own > breadth ? asked * breadth / own : asked;
        y += 1.3 * asked;
        if (size < least_mm) continue;
        const double width = width_of(line.text, size, line.weight);
        sheet.words.push_back(
            {line.text, {centre - 0.5 * width, y - 0.35 * asked}, size, line.weight, width});
    }
    best.low -= Vec2(around_mm, around_mm);
    best.high += Vec2(around_mm, around_mm);
    taken.add(best.low, best.high);
    return best;
}

// "medial" and "lateral" inside the borders, where nothing else stands.
void write_sides(PatternSheet& sheet, const Pattern& pattern, const std::vector<Vec2>& cut, Taken& taken) {
    Extent extent;
    for (const Vec2& p : cut) extent.add(p);
    constexpr double size = 2.8, inset = 5.0, least_height = 60.0, step_mm = 3.0;
    if (extent.size().y() < least_height) return;
    // toes up: medial of a right foot lies on its left
    for (const bool medial : {true, false}) {
        const bool left = medial == (pattern.side == Side::right);
        const std::string text = medial ? "medial" : "lateral";
        const double wide = width_of(text, size, Weight::regular),
                     wanted = extent.low.y() + 0.55 * extent.size().y();
        double least = 1e300;
        Vec2 at = Vec2::Zero();
        for (double y = extent.low.y() + 0.3 * extent.size().y();
             y < extent.low.y() + 0.75 * extent.size().y(); y += step_mm) {
            const auto room = band(cut, y - size, y + 0.5 * size);
            if (!room || room->second - room->first < 2.0 * wide + 4.0 * inset) continue;
            const double x = left ? room->first + inset : room->second - inset - wide;
            const int met = taken.met({x - 1.0, y - size}, {x + wide + 1.0, y + 0.3 * size});
            const double cost = 20.0 * met + std::abs(y - wanted);
            if (met == 0 && cost < least) {
                least = cost;
                at = Vec2(x, y);
            }
        }
        if (least == 1e300) continue;
        sheet.words.push_back({text, at, size, Weight::regular, wide});
        taken.add(at - Vec2(1.0, size), at + Vec2(wide + 1.0, 1.0));
    }
}

// The heel-toe axis from a little behind the part to a little in front of it, not through its words.
void draw_axis(PatternSheet& sheet, const std::vector<Vec2>& axis, const std::vector<Vec2>& cut,
               const Block& block) {
    // fine steps, so that it ends where it is to end
    std::vector<Vec2> fine;
    constexpr double step_mm = 0.25, over_mm = 4.0;
    for (std::size_t i = 0; i + 1 < axis.size(); ++i) {
        const Vec2 way = axis[i + 1] - axis[i];
        const int steps = std::max(1, static_cast<int>(way.norm() / step_mm));
        for (int k = 0; k < steps; ++k) fine.push_back(axis[i] + way * (static_cast<double>(k) / steps));
    }
    std::size_t first = fine.size(), last = 0;
    for (std::size_t i = 0; i < fine.size(); ++i)
        if (inside(cut, fine[i])) {
            first = std::min(first, i);
            last = i;
        }
    if (first >= last) return;
    constexpr auto over = static_cast<std::size_t>(over_mm / step_mm);
    first -= std::min(first, over);
    last = std::min(last + over, fine.size() - 1);
    std::vector<Vec2> piece;
    const auto end_piece = [&] {
        constexpr std::size_t every = 8;
        if (piece.size() > every) {
            PatternSheet::Stroke line = axis_like;
            for (std::size_t i = 0; i < piece.size(); i += every) line.points.push_back(piece[i]);
            line.points.push_back(piece.back());
            sheet.strokes.push_back(line);
        }
        piece.clear();
    };
    for (std::size_t i = first; i <= last; ++i) {
        const Vec2& p = fine[i];
        const bool in_words = !block.empty() && p.x() > block.low.x() && p.x() < block.high.x() &&
                              p.y() > block.low.y() && p.y() < block.high.y();
        if (in_words)
            end_piece();
        else
            piece.push_back(p);
    }
    end_piece();
    const Vec2 tip = fine[last], way = (tip - fine[last - std::min<std::size_t>(last, 8)]).normalized();
    const Vec2 aside(-way.y(), way.x());
    PatternSheet::Stroke arrow{"axis", Layer::mark, {}, false, 0.25};
    arrow.points = {tip - 2.7 * way + 1.1 * aside, tip, tip - 2.7 * way - 1.1 * aside};
    sheet.strokes.push_back(arrow);
}

struct Paper {
    const char* name;
    double short_mm, long_mm;
};
// ISO 216
constexpr std::array papers{Paper{"A4", 210, 297}, Paper{"A3", 297, 420}, Paper{"A2", 420, 594},
                            Paper{"A1", 594, 841}, Paper{"A0", 841, 1189}};

}  // namespace

const PatternSheet::Stroke& PatternSheet::cut() const {
    return *std::find_if(strokes.begin(), strokes.end(),
                         [](const Stroke& stroke) { return stroke.layer == Layer::cut; });
}

Outcome<PatternSheet> lay_out(const Pattern& pattern) {
    if (picture::Font::of(Weight::regular) == nullptr || picture::Font::of(Weight::semibold) == nullptr)
        return Fault{FaultKind::input,
                     "pattern",
                     "No font was found: install the packages fonts-inter or fonts-dejavu-core.",
                     {}};
    // page coordinates: y down
    const auto turned = [](Vec2 p) { return Vec2(p.x(), -p.y()); };
    const auto on_page = [&](const pattern::Ring& ring) {
        std::vector<Vec2> points = pattern::as_seen(ring, pattern.side);
        for (Vec2& p : points) p = turned(p);
        return points;
    };
    const std::vector<Vec2> cut = on_page(pattern.cut), edge = on_page(pattern.shell_edge);
    Extent extent;
    for (const Vec2& p : cut) extent.add(p);
    // an extension shows the shell's edge near it alone; everything else shows it whole
    const bool whole_edge = pattern.cover.kind != Cover::Kind::extension;
    if (whole_edge)
        for (const Vec2& p : edge) extent.add(p);
    constexpr double around_mm = 5.0;  // for the axis beyond both ends
    const Vec2 size = extent.size() + Vec2(0.0, 2.0 * around_mm);

    for (const Paper& paper : papers)
        for (const bool portrait : {true, false}) {
            PatternSheet sheet;
            sheet.width_mm = portrait ? paper.short_mm : paper.long_mm;
            sheet.height_mm = portrait ? paper.long_mm : paper.short_mm;
            const double free_w = sheet.width_mm - 2.0 * margin_mm,
                         free_h = sheet.height_mm - 2.0 * margin_mm;
            const double room = std::min(widest_column_mm, free_w - size.x() - gap_mm);
            if (room < narrowest_column_mm || size.y() > free_h) continue;
            sheet.paper = std::string(paper.name) + (portrait ? " portrait" : " landscape");
            sheet.title = pattern.case_code + " " + word(pattern.side) + " revision " + pattern.revision +
                          ": " + pattern.cover.name;
            sheet.date = pattern.date;
            const Vec2 shift = Vec2(margin_mm, margin_mm + around_mm) - extent.low +
                               Vec2(0.0, 0.5 * std::max(0.0, std::min(free_h - size.y(), 20.0)));
            const auto moved = [&](std::vector<Vec2> points) {
                for (Vec2& p : points) p += shift;
                return points;
            };
            const auto place = [&](const Vec2& p) {
                return Vec2(turned(pattern::as_seen(p, pattern.side)) + shift);
            };
            PatternSheet::Stroke line = cut_like;
            line.points = moved(cut);
            PatternSheet::Stroke dashed = edge_like;
            dashed.points = moved(edge);
            if (!whole_edge) {  // the part of it on the page's pattern, as an open line
                const double lowest = extent.high.y() + shift.y() + around_mm;
                std::vector<Vec2> near;
                const auto& all = dashed.points;
                std::size_t begin = 0;
                while (begin < all.size() && all[begin].y() < lowest) ++begin;
                for (std::size_t i = 0; i < all.size(); ++i) {
                    const Vec2& p = all[(begin + i) % all.size()];
                    if (p.y() < lowest) near.push_back(p);
                }
                dashed.points = near;
                dashed.closed = false;
            }
            sheet.strokes.push_back(line);
            if (dashed.points.size() > 1) sheet.strokes.push_back(dashed);
            Taken taken;
            taken.add(dashed.points);
            std::vector<pattern::Spot> spots = pattern.spots;
            for (pattern::Spot& spot : spots) spot.at = place(spot.at);
            draw_spots(sheet, spots, line.points, taken);
            const Block block = write_on_part(sheet, pattern, line.points, taken);
            write_sides(sheet, pattern, line.points, taken);
            draw_axis(sheet, moved(on_page(pattern.axis)), line.points, block);
            const double end =
                write_column(sheet, pattern, sheet.width_mm - margin_mm - room, margin_mm, room);
            if (end > sheet.height_mm - margin_mm) continue;
            return sheet;
        }
    return Fault{FaultKind::check,
                 "pattern",
                 "\"" + pattern.cover.name + "\" is " + rounded(extent.size().x(), 0) + " by " +
                     rounded(extent.size().y(), 0) +
                     " mm: with its words that is more than a sheet of A0. Draw "
                     "a smaller outline.",
                 {}};
}

}  // namespace archwright::exporters
