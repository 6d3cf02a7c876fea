#include "exporters/pattern_sheet.hpp"

#include <algorithm>
#include <array>

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

constexpr double margin_mm = 10.0, gap_mm = 8.0;
constexpr double narrowest_column_mm = 50.0, widest_column_mm = 80.0;

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
    Vec2 low = Vec2::Constant(1e300), high = -low;
    const auto reach = [&](const std::vector<Vec2>& points) {
        for (const Vec2& p : points) {
            low = low.cwiseMin(p);
            high = high.cwiseMax(p);
        }
    };
    reach(cut);
    // an extension shows the shell's edge near it alone; everything else shows it whole
    const bool whole_edge = pattern.cover.kind != Cover::Kind::extension;
    if (whole_edge) reach(edge);
    constexpr double around_mm = 5.0;  // for the axis beyond both ends
    const Vec2 size = high - low + Vec2(0.0, 2.0 * around_mm);

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
            const Vec2 shift = Vec2(margin_mm, margin_mm + around_mm) - low +
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
                const double lowest = high.y() + shift.y() + around_mm;
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
            std::vector<pattern::Spot> spots = pattern.spots;
            for (pattern::Spot& spot : spots) spot.at = place(spot.at);
            write_on_part(sheet, pattern, line.points, dashed.points, spots, moved(on_page(pattern.axis)));
            const double end =
                write_column(sheet, pattern, sheet.width_mm - margin_mm - room, margin_mm, room);
            if (end > sheet.height_mm - margin_mm) continue;
            return sheet;
        }
    return Fault{FaultKind::check,
                 "pattern",
                 "\"" + pattern.cover.name + "\" is " + rounded((high - low).x(), 0) + " by " +
                     rounded((high - low).y(), 0) +
                     " mm: with its words that is more than a sheet of A0. Draw "
                     "a smaller outline.",
                 {}};
}

}  // namespace archwright::exporters
