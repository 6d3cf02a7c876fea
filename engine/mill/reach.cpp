#include "engine/mill/reach.hpp"

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"

namespace archwright::mill {

namespace {

constexpr double most_nodes = 40e6;
// a cutter that would have to be lifted by less than this touches: what closed forms lose in their last
// digits
constexpr double touches_mm = 1e-6;
constexpr double least_let_in_mm = 1e-4;

/// Unit normal of a cutter's skin into it, at a place of the skin counted from the tip.
Vec3 inward_normal(const Cutter& cutter, const Vec3& place) {
    const double from_axis = place.head<2>().norm();
    const double beyond = from_axis - cutter.flat_radius();
    const double sine =
        cutter.flat() ? (beyond < 0.0 ? 0.0 : 1.0) : std::clamp(beyond / cutter.corner_radius, 0.0, 1.0);
    const Vec2 in = from_axis > 0.0 ? Vec2(-place.head<2>() / from_axis) : Vec2(Vec2::Zero());
    return {sine * in.x(), sine * in.y(), std::sqrt(1.0 - sine * sine)};
}

}  // namespace

Outcome<HeightGrid> grid_over(const Box3& box, double margin, double step) {
    HeightGrid grid;
    if (!(step > 0.0) || !(margin >= 0.0) || box.empty())
        return Fault{
            FaultKind::usage, "mill", "a grid of " + exact(step) + " mm cannot be; write more than 0.", {}};
    grid.step = step;
    const Vec3 size = box.size();
    const double nx = std::ceil((size.x() + 2.0 * margin) / step) + 1.0;
    const double ny = std::ceil((size.y() + 2.0 * margin) / step) + 1.0;
    if (!(nx * ny <= most_nodes))
        return Fault{FaultKind::usage,
                     "mill",
                     "a grid of " + exact(step) + " mm over " + rounded(size.x() + 2.0 * margin, 0) + " by " +
                         rounded(size.y() + 2.0 * margin, 0) +
                         " mm has more than 40 million nodes; take a wider step.",
                     {}};
    grid.nx = static_cast<int>(nx);
    grid.ny = static_cast<int>(ny);
    grid.x0 = box.low.x() - margin;
    grid.y0 = box.low.y() - margin;
    grid.z.assign(static_cast<std::size_t>(grid.nx) * grid.ny, no_height);
    return grid;
}

void top_heights(HeightGrid& grid, const TriangleMesh& mesh) {
    std::fill(grid.z.begin(), grid.z.end(), no_height);
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Vec3 n = mesh.normal2(t);
        if (n.z() == 0.0) continue;
        const Vec3 &a = mesh.points[mesh.triangles[t][0]], &b = mesh.points[mesh.triangles[t][1]],
                   &c = mesh.points[mesh.triangles[t][2]];
        const auto column = [&](double x) { return (x - grid.x0) / grid.step; };
        const auto row = [&](double y) { return (y - grid.y0) / grid.step; };
        const auto [xl, xh] = std::minmax({a.x(), b.x(), c.x()});
        const auto [yl, yh] = std::minmax({a.y(), b.y(), c.y()});
        const int i0 = std::max(0, static_cast<int>(std::ceil(column(xl) - 1e-9)));
        const int i1 = std::min(grid.nx - 1, static_cast<int>(std::floor(column(xh) + 1e-9)));
        const int k0 = std::max(0, static_cast<int>(std::ceil(row(yl) - 1e-9)));
        const int k1 = std::min(grid.ny - 1, static_cast<int>(std::floor(row(yh) + 1e-9)));
        for (int k = k0; k <= k1; ++k)
            for (int i = i0; i <= i1; ++i) {
                const double x = grid.x(i), y = grid.y(k);
                const auto side = [&](const Vec3& p, const Vec3& q) {
                    return (q.x() - p.x()) * (y - p.y()) - (q.y() - p.y()) * (x - p.x());
                };
                const double s0 = side(a, b), s1 = side(b, c), s2 = side(c, a);
                if (!((s0 >= 0.0 && s1 >= 0.0 && s2 >= 0.0) || (s0 <= 0.0 && s1 <= 0.0 && s2 <= 0.0)))
                    continue;
                const double z = (s1 * a.z() + s2 * b.z() + s0 * c.z()) / (s0 + s1 + s2);
                grid.at(i, k) = std::max(grid.at(i, k), z);
            }
    }
}

void tip_heights(HeightGrid& grid, const DropGrid& drop, double floor) {
    parallel_for(static_cast<std::size_t>(grid.ny), 4, [&](std::size_t begin, std::size_t end) {
        DropGrid::Near near;
        for (std::size_t row = begin; row < end; ++row) {
            const int k = static_cast<int>(row);
            for (int i = 0; i < grid.nx; ++i) grid.at(i, k) = drop.z(grid.x(i), grid.y(k), floor, &near);
        }
    });
}

HeightGrid cut_heights(const HeightGrid& tips, const Cutter& cutter) {
    HeightGrid cut = tips;
    std::fill(cut.z.begin(), cut.z.end(), -no_height);
    const int reach = static_cast<int>(cutter.radius() / tips.step);
    std::vector<double> rise(static_cast<std::size_t>(2 * reach + 1));
    parallel_for(static_cast<std::size_t>(tips.ny), 8, [&](std::size_t begin, std::size_t end) {
        for (std::size_t row = begin; row < end; ++row) {
            const int k = static_cast<int>(row);
            for (int dk = -reach; dk <= reach; ++dk) {
                if (k + dk < 0 || k + dk >= tips.ny) continue;
                double* to = &cut.at(0, k);
                const double* from = tips.z.data() + static_cast<std::ptrdiff_t>(k + dk) * tips.nx;
                for (int di = -reach; di <= reach; ++di) {
                    const double away = tips.step * std::hypot(di, dk);
                    if (away > cutter.radius()) continue;
                    const double up = cutter.rise(away);
                    const int first = std::max(0, -di), last = std::min(tips.nx, tips.nx - di);
                    for (int i = first; i < last; ++i) to[i] = std::min(to[i], from[i + di] + up);
                }
            }
        }
    });
    return cut;
}

Outcome<Reach> reach(const TriangleMesh& mesh, const Cutter& cutter, double step, double floor,
                     Progress* progress) {
    auto tips = grid_over(mesh.box(), cutter.radius() + step, step);
    if (!tips) return tips.fault();
    const auto gone_on = [&](double share) {
        return progress == nullptr || progress->report("What the cutter reaches", share);
    };
    const Fault given_up{FaultKind::cancelled, "mill", "Cancelled; nothing was changed.", {}};
    if (!gone_on(0.0)) return given_up;
    const DropGrid drop(mesh, cutter);
    if (!gone_on(0.2)) return given_up;
    Reach result;
    result.stays = *tips;
    top_heights(result.stays, mesh);
    if (!gone_on(0.3)) return given_up;
    tip_heights(*tips, drop, floor);
    // what is above the flutes keeps it up
    const double deepest = mesh.box().high.z() - floor;
    const auto keep_up = [&](double diameter, double above_tip) {
        if (deepest <= above_tip) return;
        Cutter body;
        body.diameter = diameter;
        body.corner_radius = 0.0;
        HeightGrid ends = *tips;
        tip_heights(ends, DropGrid(mesh, body), floor + above_tip);
        for (std::size_t i = 0; i < ends.z.size(); ++i)
            tips->z[i] = std::max(tips->z[i], ends.z[i] - above_tip);
    };
    if (cutter.shank_diameter > cutter.diameter) keep_up(cutter.shank_diameter, cutter.flute_length);
    keep_up(cutter.holder_diameter, cutter.stick_out);
    if (!gone_on(0.8)) return given_up;
    const HeightGrid cut = cut_heights(*tips, cutter);
    for (int k = 0; k < cut.ny; ++k)
        for (int i = 0; i < cut.nx; ++i) {
            double& z = result.stays.at(i, k);
            if (z == no_height) {
                z = 0.0;
                continue;
            }
            const double top = z;
            z = std::max(0.0, cut.at(i, k) - top);
            result.volume_mm3 += z * step * step;
            if (z > Reach::told_mm) result.area_mm2 += step * step;
            if (z > result.most_mm) {
                result.most_mm = z;
                result.where = {cut.x(i), cut.y(k), top};
            }
        }
    return result;
}

std::vector<double> unreached(const DropGrid& drop, const HeightGrid& tips, const std::vector<Vec3>& places,
                              const std::vector<Vec3>& normals, double floor, std::vector<double>* square) {
    const Cutter& cutter = drop.cutter();
    // so far that a node lies beyond the cutter's breadth: beside an upright wall it can stand on no other
    const int reach = static_cast<int>(cutter.radius() / tips.step) + 1;
    std::vector<double> left(places.size(), Needle::length_mm);
    if (square != nullptr) square->assign(places.size(), 1.0);
    parallel_for(places.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3 &p = places[i], &n = normals[i];
            if (n.z() < 0.0) continue;
            const double level = std::hypot(n.x(), n.y());
            const double out = level > 0.0 ? cutter.flat_radius() / level + cutter.corner_radius : 0.0;
            Vec3 tip(p.x() + out * n.x(), p.y() + out * n.y(), p.z() + cutter.corner_radius * (n.z() - 1.0));
            // a hair off, or beside an upright wall the cutter would stand on the wall's upper edge
            if (level > 0.0) tip.head<2>() += (touches_mm / level) * n.head<2>();
            const double lowest = drop.z(tip.x(), tip.y(), floor);
            if (lowest <= tip.z() + touches_mm) {
                left[i] = 0.0;
                continue;
            }
            Needle needle{p, n};
            Vec3 best = Vec3::Zero();  // the stand that leaves least
            const auto stand_at = [&](const Vec3& stand) {
                const double before = needle.left;
                needle.meet(cutter, stand, stand);
                if (needle.left < before) best = stand;
            };
            tip.z() = lowest;
            stand_at(tip);
            const int at_i = static_cast<int>(std::lround((p.x() - tips.x0) / tips.step));
            const int at_k = static_cast<int>(std::lround((p.y() - tips.y0) / tips.step));
            for (int k = std::max(0, at_k - reach); k <= std::min(tips.ny - 1, at_k + reach); ++k)
                for (int j = std::max(0, at_i - reach); j <= std::min(tips.nx - 1, at_i + reach); ++j)
                    stand_at({tips.x(j), tips.y(k), tips.at(j, k)});
            left[i] = needle.left;
            if (square != nullptr && needle.left < Needle::length_mm)
                (*square)[i] = std::clamp(n.dot(inward_normal(cutter, p + needle.left * n - best)), 0.0, 1.0);
        }
    });
    return left;
}

double concave_radius(const Bvh& bvh, const Vec3& place, const Vec3& normal, double most, double let_in) {
    let_in = std::max(let_in, least_let_in_mm);  // a ball that touches is not within
    double radius = most;
    for (int round = 0; round < 30; ++round) {
        const Vec3 centre = place + radius * normal;
        const auto near = bvh.nearest(centre, radius - let_in);
        if (!near) break;
        // the ball through that point of the mesh, `let_in` inside it, that still touches in `place`
        const Vec3 to = near->point - place;
        const double along = normal.dot(to) - let_in;
        const double square = to.squaredNorm() - let_in * let_in;
        if (!(along > 0.0) || !(square > 0.0)) break;
        const double next = 0.5 * square / along;
        if (!(next < radius * (1.0 - 1e-6))) break;
        radius = std::max(next, let_in);
        if (radius == let_in) break;
    }
    return radius;
}

}  // namespace archwright::mill
