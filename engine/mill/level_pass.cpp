#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double rough_chord_mm = 0.05;
constexpr double least_loop_mm = 2.0;  // shorter ones cut nothing their neighbours leave

}  // namespace

std::vector<std::vector<Vec3>> level_loops(const Area& where, double level, double step, const DropGrid& drop,
                                           double offset, Direction direction) {
    std::vector<Area> rings;
    for (Area ring = where; !ring.empty() && rings.size() < 400; ring = grown(ring, -step))
        rings.push_back(ring);
    std::vector<std::vector<Vec3>> loops;
    for (auto ring = rings.rbegin(); ring != rings.rend(); ++ring) {
        std::vector<std::vector<Vec3>> here;
        for (Loop loop : *ring) {
            if (direction == Direction::conventional) std::reverse(loop.begin(), loop.end());
            double round = 0.0;
            for (std::size_t i = 0; i < loop.size(); ++i)
                round += (loop[(i + 1) % loop.size()] - loop[i]).norm();
            if (round < least_loop_mm) continue;
            std::vector<Vec3> points;
            for (std::size_t i = 0; i <= loop.size(); ++i) {
                const Vec2 p = loop[i % loop.size()];
                const Vec3 next(p.x(), p.y(), level - offset);
                if (points.empty())
                    points.emplace_back(p.x(), p.y(), drop.z(p.x(), p.y(), level - offset));
                else {
                    Vec3 from = points.back();
                    from.z() = level - offset;
                    follow(drop, from, next, rough_chord_mm, points);
                }
            }
            for (Vec3& p : points) p.z() += offset;
            thin_out(points, rough_chord_mm);
            here.push_back(std::move(points));
        }
        shorten_ways(here);
        loops.insert(loops.end(), here.begin(), here.end());
    }
    return loops;
}

void shorten_ways(std::vector<std::vector<Vec3>>& runs) {
    for (std::size_t i = 0; i + 1 < runs.size(); ++i) {
        const Vec3 at = i == 0 ? runs[0].back() : runs[i].back();
        std::size_t best = i + 1;
        double least = 1e300;
        for (std::size_t k = i + 1; k < runs.size(); ++k)
            if (const double d = (runs[k].front() - at).squaredNorm(); d < least) {
                least = d;
                best = k;
            }
        std::swap(runs[i + 1], runs[best]);
    }
}

}  // namespace archwright::mill
