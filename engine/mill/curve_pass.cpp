#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"
#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr int halvings = 13;      // of a grid's step: 0.06 um of 0.5 mm
constexpr double cliff_mm = 0.1;  // a change of height within the last halving: an edge fallen off
constexpr double least_curve_mm = 0.4;
constexpr double slope_overlap_deg = 4.0;
constexpr double lead_radius_mm = 1.5;

/// A place between two nodes where the tip's height passes `level`: the low side of it, and the heights of
/// both.
struct Crossing {
    Vec2 low = Vec2::Zero();
    double low_z = 0.0, high_z = 0.0;
};

Crossing crossing(const DropGrid& drop, Vec2 low, Vec2 high, double low_z, double high_z, double level,
                  double floor) {
    DropGrid::Near near;
    for (int i = 0; i < halvings; ++i) {
        const Vec2 m = 0.5 * (low + high);
        const double z = drop.z(m.x(), m.y(), floor, &near);
        (z <= level ? low : high) = m;
        (z <= level ? low_z : high_z) = z;
    }
    return {low, low_z, high_z};
}

/// The nodes beside each point of a level curve, low one first, by the point's place on the grid.
std::pair<Vec2, Vec2> nodes_of(const HeightGrid& tips, const Vec2& p, double level) {
    const double fx = (p.x() - tips.x0) / tips.step, fy = (p.y() - tips.y0) / tips.step;
    const bool along_x = std::abs(fy - std::round(fy)) <= std::abs(fx - std::round(fx));
    const int i = std::clamp(static_cast<int>(along_x ? std::floor(fx) : std::round(fx)), 0, tips.nx - 1);
    const int k = std::clamp(static_cast<int>(along_x ? std::round(fy) : std::floor(fy)), 0, tips.ny - 1);
    const int i2 = std::min(i + (along_x ? 1 : 0), tips.nx - 1),
              k2 = std::min(k + (along_x ? 0 : 1), tips.ny - 1);
    const Vec2 a(tips.x(i), tips.y(k)), b(tips.x(i2), tips.y(k2));
    return tips.at(i, k) <= level ? std::pair(a, b) : std::pair(b, a);
}

double grid_z(const HeightGrid& tips, const Vec2& p) {
    return tips.at(static_cast<int>(std::lround((p.x() - tips.x0) / tips.step)),
                   static_cast<int>(std::lround((p.y() - tips.y0) / tips.step)));
}

void turn(Area& curves, Direction direction) {
    if (direction == Direction::conventional)
        for (Loop& loop : curves) std::reverse(loop.begin(), loop.end());
}

}  // namespace

std::vector<std::vector<Vec3>> waterlines(const HeightGrid& tips, const DropGrid& drop, double step,
                                          double floor, double steep_deg, double chord, Direction direction) {
    double high = -1e300;
    for (const double z : tips.z) high = std::max(high, z);
    const int count = static_cast<int>((high - floor) / step);
    const double steep = std::tan(radians(steep_deg - slope_overlap_deg));
    std::vector<std::vector<std::vector<Vec3>>> levels(static_cast<std::size_t>(std::max(0, count)));
    parallel_for(levels.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t n = begin; n < end; ++n) {
            const double level = high - step * (static_cast<double>(n) + 0.5);
            if (level <= floor) continue;
            Area curves = at_or_below(tips, level);
            turn(curves, direction);
            for (const Loop& loop : curves) {
                std::vector<Vec3> run, first;
                bool whole = true;
                const auto close = [&] {
                    if (run.size() > 1) levels[n].push_back(run);
                    run.clear();
                };
                for (std::size_t i = 0; i < loop.size(); ++i) {
                    const auto [a, b] = nodes_of(tips, loop[i], level);
                    const double az = grid_z(tips, a), bz = grid_z(tips, b);
                    bool wanted = az <= level && bz > level;
                    Crossing at;
                    if (wanted) {
                        // the slope across the curve, not along the grid's line
                        const Vec2 along =
                            loop[(i + 1) % loop.size()] - loop[(i + loop.size() - 1) % loop.size()];
                        const Vec2 grid = (b - a).normalized();
                        const double sine =
                            along.norm() > 0.0
                                ? std::abs(grid.x() * along.y() - grid.y() * along.x()) / along.norm()
                                : 1.0;
                        wanted = (bz - az) / tips.step >= steep * std::max(sine, 0.2);
                    }
                    if (wanted) {
                        at = crossing(drop, a, b, az, bz, level, floor);
                        wanted = at.high_z - at.low_z < cliff_mm;
                    }
                    if (!wanted) {
                        whole = false;
                        close();
                        continue;
                    }
                    const Vec3 next(at.low.x(), at.low.y(), level);
                    if (run.empty())
                        run.push_back(next);
                    else {
                        Vec3 from = run.back();
                        from.z() = level;
                        follow(drop, from, next, chord, run);
                    }
                }
                if (whole && !run.empty()) follow(drop, run.back(), run.front(), chord, run);
                close();
            }
            std::vector<std::vector<Vec3>> kept;
            for (auto& run : levels[n]) {
                double length = 0.0;
                for (std::size_t i = 1; i < run.size(); ++i) length += (run[i] - run[i - 1]).norm();
                if (length < least_curve_mm) continue;
                thin_out(run, 0.5 * chord);
                lead(run, drop, lead_radius_mm);
                kept.push_back(std::move(run));
            }
            levels[n] = std::move(kept);
        }
    });
    std::vector<std::vector<Vec3>> runs;
    for (auto& level : levels)
        for (auto& run : level) runs.push_back(std::move(run));
    shorten_ways(runs);  // down one wall, then down the next
    return runs;
}

std::vector<std::vector<Vec3>> contours(const HeightGrid& tips, const DropGrid& drop, double floor,
                                        double below, double chord, Direction direction) {
    Area curves = at_or_below(tips, floor + 1e-6);
    turn(curves, direction);
    std::vector<std::vector<Vec3>> runs;
    for (const Loop& loop : curves) {
        std::vector<Vec3> run;
        double round = 0.0;
        for (std::size_t i = 0; i <= loop.size(); ++i) {
            const Vec2& p = loop[i % loop.size()];
            if (i > 0) round += (p - loop[i - 1]).norm();
            const auto [a, b] = nodes_of(tips, p, floor + 1e-6);
            const double az = grid_z(tips, a), bz = grid_z(tips, b);
            if (!(az <= floor + 1e-6 && bz > floor + 1e-6)) continue;  // the grid's own border
            const Crossing at = crossing(drop, a, b, az, bz, floor + 1e-6, floor);
            const Vec3 next(at.low.x(), at.low.y(), std::max(floor, at.high_z - below));
            if (run.empty())
                run.push_back(next);
            else {
                const Vec3 from = run.back();
                // a step in height, as beside a tab: over it first, down after
                const double over = std::max(from.z(), next.z());
                if (from.z() < over) run.emplace_back(from.x(), from.y(), over);
                follow(drop, {from.x(), from.y(), over}, {next.x(), next.y(), over}, chord, run);
                if (next.z() < over) run.push_back(next);
            }
        }
        if (run.size() < 3 || round < 4.0) continue;
        thin_out(run, 0.5 * chord);
        lead(run, drop, lead_radius_mm);
        runs.push_back(std::move(run));
    }
    return runs;
}

}  // namespace archwright::mill
