#include "engine/lettering/outline.hpp"

#include <algorithm>
#include <cmath>
#include <polyclipping/clipper.hpp>

#include "engine/base/tolerances.hpp"

namespace archwright::lettering {

namespace {

namespace cl = ClipperLib;

constexpr double grid = tolerance::pattern_grid_mm;
// So that edges along straight strokes follow a surface that bends.
constexpr double longest_edge_mm = 0.5;

std::vector<Ring> offset_by(const cl::Paths& lines, double half_mm) {
    cl::ClipperOffset offset(2.0, 0.5 * tolerance::outline_chord_mm / grid);
    offset.AddPaths(lines, cl::jtRound, cl::etOpenRound);
    cl::Paths wide, clean;
    offset.Execute(wide, half_mm / grid);
    // what is left of points that all but fall together makes needles of triangles
    cl::CleanPolygons(wide, tolerance::lettering_points_mm / grid);
    cl::SimplifyPolygons(wide, clean, cl::pftNonZero);
    std::vector<Ring> rings;
    for (const cl::Path& path : clean) {
        if (path.size() < 3) continue;
        Ring ring;
        for (std::size_t k = 0; k < path.size(); ++k) {
            const auto point = [](const cl::IntPoint& p) {
                return Vec2(grid * static_cast<double>(p.X), grid * static_cast<double>(p.Y));
            };
            const Vec2 a = point(path[k]), b = point(path[(k + 1) % path.size()]);
            const int parts = std::max(1, static_cast<int>(std::ceil((b - a).norm() / longest_edge_mm)));
            for (int i = 0; i < parts; ++i) ring.push_back(a + (b - a) * (static_cast<double>(i) / parts));
        }
        rings.push_back(std::move(ring));
    }
    return rings;
}

}  // namespace

Outlines outlines(const Layout& layout, const Style& style) {
    cl::Paths lines;
    for (const Letter& letter : layout.letters)
        for (const Stroke& stroke : letter.strokes) {
            cl::Path path;
            for (const Vec2& p : stroke)
                path.emplace_back(std::llround(p.x() / grid), std::llround(p.y() / grid));
            lines.push_back(std::move(path));
        }
    const double half = 0.5 * style.stroke_mm;
    return {offset_by(lines, half), offset_by(lines, half - flank_run_mm(style))};
}

}  // namespace archwright::lettering
