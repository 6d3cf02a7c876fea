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
    std::vector<std::vector<Vec3>> parts;
    for (const auto& run : runs) {
        std::vector<Vec3> part;
        for (const Vec3& p : run) {
            if (contains(where, p.head<2>())) {
                part.push_back(p);
                continue;
            }
            if (part.size() > 1) parts.push_back(part);
            part.clear();
        }
        if (part.size() > 1) parts.push_back(part);
    }
    return parts;
}

}  // namespace archwright::mill
