#include "engine/base/parallel.hpp"
#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double sharp_bend = 0.05;         // change of slope
constexpr double sharp_radius_mm = 0.35;    // within less than this
constexpr double one_valley_mm = 0.3;       // bends nearer than this are one
constexpr double valley_touch_mm = 1e-6;    // above the floor
constexpr double upright_mm = 1e-6;         // points over one another
constexpr double wall_mm = 0.05;            // a step this high is a wall
constexpr double wall_run_mm = 1.0;         // of the ground before it
constexpr double least_valley_steps = 2.0;  // shorter ones are a lone bend

std::vector<std::pair<double, double>> along_y(const Area& where, double x) {
    std::vector<double> crossings;
    for (const Loop& loop : where)
        for (std::size_t i = 0; i < loop.size(); ++i) {
            const Vec2 &a = loop[i], &b = loop[(i + 1) % loop.size()];
            if ((a.x() > x) != (b.x() > x))
                crossings.push_back(a.y() + (b.y() - a.y()) * (x - a.x()) / (b.x() - a.x()));
        }
    std::sort(crossings.begin(), crossings.end());
    std::vector<std::pair<double, double>> spans;
    for (std::size_t i = 0; i + 1 < crossings.size(); i += 2)
        spans.emplace_back(crossings[i], crossings[i + 1]);
    return spans;
}

}  // namespace

std::vector<std::vector<Vec3>> valleys(const Area& where, const DropGrid& drop, double step, double floor,
                                       double chord) {
    double low = 1e300, high = -1e300;
    for (const Loop& loop : where)
        for (const Vec2& p : loop) {
            low = std::min(low, p.x());
            high = std::max(high, p.x());
        }
    if (!(low < high)) return {};
    std::vector<std::vector<Vec3>> bends(static_cast<std::size_t>((high - low) / step) + 1);
    std::vector<std::vector<std::vector<Vec3>>> walls(bends.size());
    parallel_for(bends.size(), 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t n = begin; n < end; ++n) {
            const double x = low + step * (static_cast<double>(n) + 0.25);
            for (const auto& [y0, y1] : along_y(where, x)) {
                std::vector<Vec3> line{{x, y0, drop.z(x, y0, floor)}};
                follow(drop, {x, y0, floor}, {x, y1, floor}, chord, line);
                double strongest = 0.0;
                for (std::size_t i = 1; i + 1 < line.size(); ++i) {
                    const Vec3 &a = line[i - 1], &b = line[i], &c = line[i + 1];
                    if (std::min({a.z(), b.z(), c.z()}) <= floor + valley_touch_mm) continue;
                    const double ab = b.y() - a.y(), bc = c.y() - b.y();
                    // a wall: the ball comes to its foot along the line, and goes up or down it
                    if (bc <= upright_mm && c.z() > b.z() + wall_mm) {
                        std::size_t from = i;
                        while (from > 0 && b.y() - line[from - 1].y() < wall_run_mm &&
                               line[from - 1].z() > floor + valley_touch_mm)
                            --from;
                        walls[n].emplace_back(line.begin() + static_cast<std::ptrdiff_t>(from),
                                              line.begin() + static_cast<std::ptrdiff_t>(i + 2));
                    }
                    if (ab <= upright_mm && a.z() > b.z() + wall_mm) {
                        std::size_t to = i + 1;
                        while (to < line.size() && line[to].y() - b.y() < wall_run_mm &&
                               line[to].z() > floor + valley_touch_mm)
                            ++to;
                        walls[n].emplace_back(line.begin() + static_cast<std::ptrdiff_t>(i - 1),
                                              line.begin() + static_cast<std::ptrdiff_t>(to));
                    }
                    if (!(ab > upright_mm && bc > upright_mm)) continue;
                    const double bend = (c.z() - b.z()) / bc - (b.z() - a.z()) / ab;
                    if (bend < sharp_bend || bend * sharp_radius_mm < 0.5 * (ab + bc)) continue;
                    auto& here = bends[n];
                    if (!here.empty() && b.y() - here.back().y() < one_valley_mm && b.y() > here.back().y()) {
                        if (bend > strongest) {
                            here.back() = b;
                            strongest = bend;
                        }
                        continue;
                    }
                    here.push_back(b);
                    strongest = bend;
                }
            }
        }
    });
    // bends of neighbouring lines that are nearest to each other are one valley's
    std::vector<std::vector<Vec3>> chains, open;
    for (const auto& line : bends) {
        std::vector<std::vector<Vec3>> next;
        std::vector<char> taken(line.size(), 0);
        for (auto& chain : open) {
            std::size_t best = line.size();
            double least = 1.5 * step;
            for (std::size_t i = 0; i < line.size(); ++i) {
                const double d = std::abs(line[i].y() - chain.back().y());
                if (taken[i] == 0 && d < least) {
                    least = d;
                    best = i;
                }
            }
            if (best == line.size()) {
                chains.push_back(std::move(chain));
                continue;
            }
            taken[best] = 1;
            chain.push_back(line[best]);
            next.push_back(std::move(chain));
        }
        for (std::size_t i = 0; i < line.size(); ++i)
            if (taken[i] == 0) next.push_back({line[i]});
        open = std::move(next);
    }
    for (auto& chain : open) chains.push_back(std::move(chain));
    std::vector<std::vector<Vec3>> runs;
    for (const auto& chain : chains) {
        if (static_cast<double>(chain.size()) < least_valley_steps) continue;
        std::vector<Vec3> run{chain.front()};
        for (std::size_t i = 1; i < chain.size(); ++i)
            follow(drop, {chain[i - 1].x(), chain[i - 1].y(), floor}, {chain[i].x(), chain[i].y(), floor},
                   chord, run);
        thin_out(run, 0.5 * chord);
        runs.push_back(std::move(run));
    }
    shorten_ways(runs);
    std::vector<std::vector<Vec3>> pieces;
    for (auto& line : walls)
        for (auto& run : line) {
            thin_out(run, 0.5 * chord);
            pieces.push_back(std::move(run));
        }
    shorten_ways(pieces);  // along each wall, not from wall to wall
    for (auto& piece : pieces) runs.push_back(std::move(piece));
    return runs;
}

}  // namespace archwright::mill
