#include "engine/mould/base.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "engine/lettering/outline.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/triangles_within.hpp"

namespace archwright::mould {

namespace {

constexpr double letter_edge_mm = 4.0;  // of base round the letters
constexpr double highest_mm = 10.0, least_mm = 5.0, height_step_mm = 0.5;
constexpr double stroke_share = 0.18, letter_depth_mm = 0.6;

lettering::Style style_of(double height) {
    // strokes wide enough for their own flanks and a floor
    const double stroke = std::max(stroke_share * height, 1.2);
    return {height, stroke, letter_depth_mm};
}

/// The middle of the box of this half size with the most room in the outline; nothing where it has none.
std::optional<Vec2> room_for(const surface::Outline& outline, const Vec2& low, const Vec2& high,
                             const Vec2& half) {
    constexpr double step_mm = 3.0, spacing_mm = 2.0;
    double most = letter_edge_mm;
    std::optional<Vec2> best;
    for (double x = low.x() + half.x(); x <= high.x() - half.x(); x += step_mm)
        for (double y = low.y() + half.y(); y <= high.y() - half.y(); y += step_mm) {
            double least = 1e300;
            const auto look = [&](double dx, double dy) {
                const Vec2 p(x + dx, y + dy);
                least = std::min(least, outline.inside(p) ? outline.distance(p) : -1.0);
            };
            for (double d = -half.x(); d <= half.x() && least > most; d += spacing_mm) {
                look(d, -half.y());
                look(d, half.y());
            }
            for (const double aside : {-half.x(), half.x()})
                for (double d = -half.y(); d <= half.y() && least > most; d += spacing_mm) look(aside, d);
            if (least > most) {
                most = least + 0.5;  // a little more room is no reason to move
                best = Vec2(x, y);
            }
        }
    return best;
}

}  // namespace

Outcome<EngravedBase> engrave_base(const std::vector<Vec2>& border, const std::vector<std::string>& parts,
                                   bool mirrored) {
    EngravedBase base;
    base.points = border;
    std::vector<std::pair<std::size_t, std::size_t>> edges;
    for (std::size_t k = 0; k < border.size(); ++k) edges.emplace_back(k, (k + 1) % border.size());
    std::vector<char> floor(border.size(), 0);

    const surface::Outline outline(border);
    Vec2 low = border.front(), high = low;
    for (const Vec2& p : border) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    for (std::size_t count = parts.size(); count > 0 && base.text.empty(); --count) {
        std::string line;
        for (std::size_t k = 0; k < count; ++k) line += (k > 0 ? " " : "") + parts[k];
        if (line.empty() || !lettering::text_trouble(line).empty()) continue;
        for (double height = highest_mm; height >= least_mm && base.text.empty(); height -= height_step_mm) {
            const lettering::Style style = style_of(height);
            const lettering::Layout layout = lettering::set_lines({line}, style);
            const auto middle = room_for(outline, low, high, layout.half_size);
            if (!middle) continue;
            const lettering::Outlines rings = lettering::outlines(layout, style);
            for (const auto* kind : {&rings.edge, &rings.floor})
                for (const lettering::Ring& ring : *kind) {
                    const std::size_t begin = base.points.size();
                    for (std::size_t k = 0; k < ring.size(); ++k) {
                        const Vec2 p(ring[k].x(), mirrored ? -ring[k].y() : ring[k].y());
                        base.points.push_back(*middle + p);
                        floor.push_back(kind == &rings.floor ? 1 : 0);
                        edges.emplace_back(begin + k, begin + (k + 1) % ring.size());
                    }
                }
            base.text = line;
            base.height_mm = height;
            base.depth_mm = style.depth_mm;
        }
    }
    base.floor = std::move(floor);
    // the border's edges alone bound it
    std::vector<char> on_border(base.points.size(), 0);
    std::fill_n(on_border.begin(), border.size(), char{1});
    auto triangles = surface::triangles_within(base.points, edges, on_border);
    if (!triangles)
        return Fault{FaultKind::internal,
                     "mould",
                     "The mould's base could not be made of triangles: " + triangles.fault().message,
                     {}};
    base.triangles = std::move(*triangles);
    return base;
}

}  // namespace archwright::mould
