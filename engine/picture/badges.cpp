#include "engine/picture/badges.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace archwright::picture {

std::vector<Vec2> place_badges(const std::vector<Vec2>& anchors, const std::vector<Vec2>& half,
                               const Box& within, const std::vector<Box>& keep_off) {
    constexpr double gap = 1.5, nearest = 13.0, ring = 6.0;
    constexpr int ways = 16;
    std::vector<Box> taken = keep_off;
    std::vector<Vec2> out;
    for (std::size_t i = 0; i < anchors.size(); ++i) {
        const Vec2 size = half[i] + Vec2(gap, gap);
        const auto box_at = [&](const Vec2& p) {
            return Box{p.x() - size.x(), p.y() - size.y(), 2.0 * size.x(), 2.0 * size.y()};
        };
        const auto free = [&](const Vec2& p) {
            const Box b = box_at(p);
            return b.x >= within.x && b.y >= within.y && b.right() <= within.right() &&
                   b.bottom() <= within.bottom() &&
                   std::none_of(taken.begin(), taken.end(), [&](const Box& o) { return o.meets(b); });
        };
        Vec2 best = anchors[i];
        bool found = false;
        const double furthest = within.w + within.h;
        for (double r = nearest; r < furthest && !found; r += ring)
            for (int k = 0; k < ways && !found; ++k) {
                // from the upper right, to either side in turn
                const int step = (k + 1) / 2 * (k % 2 == 0 ? 1 : -1);
                const double angle = std::numbers::pi * (0.25 + 2.0 * step / ways);
                const Vec2 p = anchors[i] + r * Vec2(std::cos(angle), -std::sin(angle));
                if (!free(p)) continue;
                best = p;
                found = true;
            }
        taken.push_back(box_at(best));
        out.push_back(best);
    }
    return out;
}

}  // namespace archwright::picture
