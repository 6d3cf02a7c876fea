#include "engine/mill/areas.hpp"

#include <map>
#include <polyclipping/clipper.hpp>

namespace archwright::mill {

namespace {

namespace cl = ClipperLib;

constexpr double area_grid_mm = 1e-5;
constexpr double area_tidy_mm = 0.005;  // of a round corner as of noise
constexpr double arc_chord_mm = 0.01;

cl::Paths to_grid(const Area& area) {
    cl::Paths paths;
    for (const Loop& loop : area) {
        cl::Path path;
        path.reserve(loop.size());
        for (const Vec2& p : loop)
            path.emplace_back(std::llround(p.x() / area_grid_mm), std::llround(p.y() / area_grid_mm));
        paths.push_back(std::move(path));
    }
    return paths;
}

Area from_grid(cl::Paths paths) {
    cl::CleanPolygons(paths, area_tidy_mm / area_grid_mm);
    Area area;
    for (const cl::Path& path : paths) {
        if (path.size() < 3) continue;
        Loop loop;
        loop.reserve(path.size());
        for (const cl::IntPoint& p : path)
            loop.emplace_back(area_grid_mm * static_cast<double>(p.X),
                              area_grid_mm * static_cast<double>(p.Y));
        area.push_back(std::move(loop));
    }
    return area;
}

Area combined(const Area& a, const Area& b, cl::ClipType how) {
    cl::Clipper clipper;
    clipper.AddPaths(to_grid(a), cl::ptSubject, true);
    clipper.AddPaths(to_grid(b), cl::ptClip, true);
    cl::Paths result;
    clipper.Execute(how, result, cl::pftNonZero, cl::pftNonZero);
    return from_grid(std::move(result));
}

/// Level curves by marching squares: what is inside lies on the left. Of the two ways through a saddle the
/// one that keeps the inside apart is taken: it is the smaller area.
template <class Inside, class Share>
Area level_loops(int nx, int ny, const Inside& inside, const Share& share, const HeightGrid& grid) {
    // a crossing is named by its grid edge: 2 * node for the edge to the right, + 1 for the one upward
    const auto horizontal = [&](int i, int k) { return 2 * (static_cast<std::int64_t>(k) * nx + i); };
    const auto vertical = [&](int i, int k) { return horizontal(i, k) + 1; };
    std::map<std::int64_t, std::int64_t> next;
    const auto join = [&](std::int64_t from, std::int64_t to) { next[from] = to; };
    for (int k = 0; k + 1 < ny; ++k)
        for (int i = 0; i + 1 < nx; ++i) {
            const bool a = inside(i, k), b = inside(i + 1, k), c = inside(i + 1, k + 1), d = inside(i, k + 1);
            const int what = (a ? 1 : 0) | (b ? 2 : 0) | (c ? 4 : 0) | (d ? 8 : 0);
            const std::int64_t low = horizontal(i, k), right = vertical(i + 1, k), up = horizontal(i, k + 1),
                               left = vertical(i, k);
            switch (what) {
                case 1:
                    join(low, left);
                    break;
                case 2:
                    join(right, low);
                    break;
                case 3:
                    join(right, left);
                    break;
                case 4:
                    join(up, right);
                    break;
                case 5:
                    join(low, left), join(up, right);
                    break;
                case 6:
                    join(up, low);
                    break;
                case 7:
                    join(up, left);
                    break;
                case 8:
                    join(left, up);
                    break;
                case 9:
                    join(low, up);
                    break;
                case 10:
                    join(right, low), join(left, up);
                    break;
                case 11:
                    join(right, up);
                    break;
                case 12:
                    join(left, right);
                    break;
                case 13:
                    join(low, right);
                    break;
                case 14:
                    join(left, low);
                    break;
                default:
                    break;
            }
        }
    Area area;
    while (!next.empty()) {
        Loop loop;
        const std::int64_t first = next.begin()->first;
        for (std::int64_t at = first;;) {
            const auto node = at / 2;
            const int i = static_cast<int>(node % nx), k = static_cast<int>(node / nx);
            const bool upward = at % 2 != 0;
            const double part = share(i, k, i + (upward ? 0 : 1), k + (upward ? 1 : 0));
            loop.emplace_back(grid.x(i) + (upward ? 0.0 : part * grid.step),
                              grid.y(k) + (upward ? part * grid.step : 0.0));
            const auto found = next.find(at);
            if (found == next.end()) break;
            const std::int64_t then = found->second;
            next.erase(found);
            if (then == first) break;
            at = then;
        }
        if (loop.size() >= 3) area.push_back(std::move(loop));
    }
    return area;
}

}  // namespace

Area at_or_below(const HeightGrid& grid, double level) {
    const auto inside = [&](int i, int k) {
        return i > 0 && k > 0 && i + 1 < grid.nx && k + 1 < grid.ny && grid.at(i, k) <= level;
    };
    const auto share = [&](int i, int k, int i2, int k2) {
        const double a = grid.at(i, k), b = grid.at(i2, k2);
        if ((a <= level) == (b <= level)) return inside(i, k) ? 0.0 : 1.0;  // at the grid's border
        return std::clamp((level - a) / (b - a), 0.0, 1.0);
    };
    return level_loops(grid.nx, grid.ny, inside, share, grid);
}

Area shadow(const HeightGrid& tops) {
    const auto inside = [&](int i, int k) {
        return i > 0 && k > 0 && i + 1 < tops.nx && k + 1 < tops.ny && tops.at(i, k) != no_height;
    };
    return level_loops(
        tops.nx, tops.ny, inside, [](int, int, int, int) { return 0.5; }, tops);
}

Area common(const Area& a, const Area& b) {
    return combined(a, b, cl::ctIntersection);
}
Area joined(const Area& a, const Area& b) {
    return combined(a, b, cl::ctUnion);
}
Area without(const Area& a, const Area& b) {
    return combined(a, b, cl::ctDifference);
}

Area grown(const Area& area, double mm) {
    cl::ClipperOffset offset(2.0, arc_chord_mm / area_grid_mm);
    offset.AddPaths(to_grid(area), cl::jtRound, cl::etClosedPolygon);
    cl::Paths result;
    offset.Execute(result, mm / area_grid_mm);
    return from_grid(std::move(result));
}

double size(const Area& area) {
    double sum = 0.0;
    for (const Loop& loop : area)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Vec2 &p = loop[i], &q = loop[(i + 1) % loop.size()];
            sum += 0.5 * (p.x() * q.y() - p.y() * q.x());
        }
    return sum;
}

bool contains(const Area& area, const Vec2& p) {
    bool in = false;
    for (const Loop& loop : area)
        for (std::size_t i = 0, j = loop.size() - 1; i < loop.size(); j = i++) {
            const Vec2 &a = loop[i], &b = loop[j];
            if ((a.y() > p.y()) != (b.y() > p.y()) &&
                p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x())
                in = !in;
        }
    return in;
}

}  // namespace archwright::mill
