#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double detail_beyond_mm = 0.4;  // past where something is left: twice the grid's step

}  // namespace

Outcome<Area> left_for(const TriangleMesh& devices, const DropGrid& before, const DropGrid& finer,
                       double floor, double step, double told) {
    auto tops = grid_over(devices.box(), before.cutter().radius() + step, step);
    if (!tops) return tops.fault();
    HeightGrid tips = *tops, rest = *tops;
    top_heights(*tops, devices);
    tip_heights(tips, before, floor);
    const HeightGrid left = cut_heights(tips, before.cutter());
    tip_heights(tips, finer, floor);
    const HeightGrid reached = cut_heights(tips, finer.cutter());
    // below 0 where there is work for the finer one
    for (std::size_t i = 0; i < rest.z.size(); ++i)
        rest.z[i] = tops->z[i] == no_height || tops->z[i] < floor
                        ? 1.0
                        : told - (left.z[i] - std::max(reached.z[i], tops->z[i]));
    return grown(at_or_below(rest, 0.0), finer.cutter().radius() + detail_beyond_mm);
}

std::vector<std::vector<Vec3>> parts_over(const std::vector<std::vector<Vec3>>& runs, const Area& where) {
    // where a line passes the area's borders, as shares of it
    const auto borders = [&](const Vec3& a, const Vec3& b) {
        std::vector<double> shares;
        const Vec2 p = a.head<2>(), d = b.head<2>() - p;
        for (const Loop& loop : where)
            for (std::size_t i = 0; i < loop.size(); ++i) {
                const Vec2 &u = loop[i], &v = loop[(i + 1) % loop.size()];
                if (std::max(u.x(), v.x()) < std::min(a.x(), b.x()) ||
                    std::min(u.x(), v.x()) > std::max(a.x(), b.x()) ||
                    std::max(u.y(), v.y()) < std::min(a.y(), b.y()) ||
                    std::min(u.y(), v.y()) > std::max(a.y(), b.y()))
                    continue;
                const Vec2 e = v - u;
                const double across = d.x() * e.y() - d.y() * e.x();
                if (across == 0.0) continue;
                const Vec2 to = u - p;
                const double share = (to.x() * e.y() - to.y() * e.x()) / across,
                             on = (to.x() * d.y() - to.y() * d.x()) / across;
                if (share > 0.0 && share < 1.0 && on >= 0.0 && on <= 1.0) shares.push_back(share);
            }
        std::sort(shares.begin(), shares.end());
        shares.push_back(1.0);
        return shares;
    };
    std::vector<std::vector<Vec3>> parts;
    for (const auto& run : runs) {
        std::vector<Vec3> part;
        const auto end = [&] {
            if (part.size() > 1) parts.push_back(part);
            part.clear();
        };
        for (std::size_t i = 0; i + 1 < run.size(); ++i) {
            double from = 0.0;
            for (const double to : borders(run[i], run[i + 1])) {
                const Vec3 a = run[i] + from * (run[i + 1] - run[i]), b = run[i] + to * (run[i + 1] - run[i]);
                from = to;
                if (!contains(where, 0.5 * (a + b).head<2>())) {
                    end();
                    continue;
                }
                if (part.empty()) part.push_back(a);
                part.push_back(b);
            }
        }
        end();
    }
    return parts;
}

}  // namespace archwright::mill
