#include "engine/pattern/region.hpp"

#include <algorithm>
#include <cmath>
#include <polyclipping/clipper.hpp>

#include "engine/base/tolerances.hpp"

namespace archwright::pattern {

namespace {

namespace cl = ClipperLib;

constexpr double grid = tolerance::pattern_grid_mm;
constexpr double tidy_points = 3.0;  // times the last decimal of a file

cl::Path to_grid(const Ring& ring) {
    cl::Path path;
    path.reserve(ring.size());
    for (const Vec2& p : ring) path.emplace_back(std::llround(p.x() / grid), std::llround(p.y() / grid));
    return path;
}

cl::Paths to_grid(const std::vector<Ring>& rings) {
    cl::Paths paths;
    paths.reserve(rings.size());
    for (const Ring& ring : rings) paths.push_back(to_grid(ring));
    return paths;
}

std::vector<Ring> from_grid(const cl::Paths& paths) {
    std::vector<Ring> rings;
    for (const cl::Path& path : paths) {
        if (path.size() < 3) continue;
        Ring ring;
        ring.reserve(path.size());
        for (const cl::IntPoint& p : path)
            ring.emplace_back(grid * static_cast<double>(p.X), grid * static_cast<double>(p.Y));
        rings.push_back(std::move(ring));
    }
    return rings;
}

std::vector<Ring> combined(const std::vector<Ring>& a, const std::vector<Ring>& b, cl::ClipType how) {
    cl::Clipper clipper;
    clipper.StrictlySimple(true);
    clipper.AddPaths(to_grid(a), cl::ptSubject, true);
    clipper.AddPaths(to_grid(b), cl::ptClip, true);
    cl::Paths result;
    clipper.Execute(how, result, cl::pftNonZero, cl::pftNonZero);
    return from_grid(result);
}

}  // namespace

double signed_area(const Ring& ring) {
    double sum = 0.0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vec2 a = ring[i] - ring[0], b = ring[(i + 1) % ring.size()] - ring[0];
        sum += 0.5 * (a.x() * b.y() - a.y() * b.x());
    }
    return sum;
}

double perimeter(const Ring& ring) {
    double sum = 0.0;
    for (std::size_t i = 0; i < ring.size(); ++i) sum += (ring[(i + 1) % ring.size()] - ring[i]).norm();
    return sum;
}

Region::Region(const Ring& ring) {
    cl::Paths result;
    cl::SimplifyPolygon(to_grid(ring), result, cl::pftNonZero);
    rings_ = from_grid(result);
}

Region Region::along(const std::vector<Vec2>& line, double radius) {
    cl::ClipperOffset offset(2.0, 0.5 * tolerance::outline_chord_mm / grid);
    offset.AddPath(to_grid(line), cl::jtRound, cl::etOpenRound);
    cl::Paths result;
    offset.Execute(result, radius / grid);
    Region out;
    out.rings_ = from_grid(result);
    return out;
}

Region Region::joined(const Region& other) const {
    Region out;
    out.rings_ = combined(rings_, other.rings_, cl::ctUnion);
    return out;
}

Region Region::common(const Region& other) const {
    Region out;
    out.rings_ = combined(rings_, other.rings_, cl::ctIntersection);
    return out;
}

Region Region::without(const Region& other) const {
    Region out;
    out.rings_ = combined(rings_, other.rings_, cl::ctDifference);
    return out;
}

Region Region::grown(double mm) const {
    if (mm == 0.0) return *this;
    cl::ClipperOffset offset(2.0, 0.5 * tolerance::outline_chord_mm / grid);
    offset.AddPaths(to_grid(rings_), cl::jtRound, cl::etClosedPolygon);
    cl::Paths result;
    offset.Execute(result, mm / grid);
    Region out;
    out.rings_ = from_grid(result);
    return out;
}

Region Region::closed(double radius) const {
    return grown(radius).grown(-radius);
}

Region Region::opened(double radius) const {
    return grown(-radius).grown(radius);
}

Ring Region::largest() const {
    // what rounding to the decimals of a file could make cross goes first
    cl::Paths clean = to_grid(rings_), simple;
    cl::CleanPolygons(clean, tidy_points * tolerance::pattern_file_mm / grid);
    cl::SimplifyPolygons(clean, simple, cl::pftNonZero);
    Ring best;
    double most = 0.0;
    for (Ring& ring : from_grid(simple))
        if (const double area = signed_area(ring); area > most) {
            most = area;
            best = std::move(ring);
        }
    return best;
}

}  // namespace archwright::pattern
