// The words on a part that is cut out of a sheet, where they cover least of what is drawn there.
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "exporters/pattern_words.hpp"

namespace archwright::exporters {

namespace {

using design::Cover;
using pattern::Pattern;
using picture::Weight;
using Layer = PatternSheet::Layer;

struct Extent {
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    void add(const Vec2& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    Vec2 size() const { return high - low; }
};

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
    const surface::Outline part(cut);
    for (const pattern::Spot& spot : spots) {
        if (!part.inside(spot.at)) continue;
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
Block write_block(PatternSheet& sheet, const Pattern& pattern, const std::vector<Vec2>& cut, Taken& taken) {
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
    const surface::Outline part(cut);
    std::size_t first = fine.size(), last = 0;
    for (std::size_t i = 0; i < fine.size(); ++i)
        if (part.inside(fine[i])) {
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

}  // namespace

void write_on_part(PatternSheet& sheet, const Pattern& pattern, const std::vector<Vec2>& cut,
                   const std::vector<Vec2>& edge, const std::vector<pattern::Spot>& spots,
                   const std::vector<Vec2>& axis) {
    Taken taken;
    taken.add(edge);
    draw_spots(sheet, spots, cut, taken);
    const Block block = write_block(sheet, pattern, cut, taken);
    write_sides(sheet, pattern, cut, taken);
    draw_axis(sheet, axis, cut, block);
}

}  // namespace archwright::exporters
