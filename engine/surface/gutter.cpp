#include "engine/surface/gutter.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/surface/fans.hpp"
#include "engine/surface/fit.hpp"
#include "engine/surface/flatten.hpp"
#include "engine/surface/grid_fit.hpp"

namespace archwright::surface {

namespace {

// Borders in plan and lowest points of the patch by x, smoothed over some 15 mm.
class Outlines {
  public:
    Outlines(const TriangleMesh& patch, double from, double to)
        : from_(from), count_(static_cast<std::size_t>(std::max(4.0, (to - from) / step))) {
        low_.assign(count_, 1e300);
        lateral_.assign(count_, 1e300);
        medial_.assign(count_, -1e300);
        for (const Vec3& p : patch.points) {
            const double at = (p.x() - from_) / step;
            if (!(at >= 0.0 && at < static_cast<double>(count_))) continue;
            const std::size_t i = static_cast<std::size_t>(at);
            low_[i] = std::min(low_[i], p.z());
            lateral_[i] = std::min(lateral_[i], p.y());
            medial_[i] = std::max(medial_[i], p.y());
        }
        for (auto* row : {&low_, &lateral_, &medial_}) fill_and_smooth(*row);
    }
    double low(double x) const { return at(low_, x); }
    double middle(double x) const { return 0.5 * (at(medial_, x) + at(lateral_, x)); }
    double half_width(double x) const { return 0.5 * (at(medial_, x) - at(lateral_, x)); }

  private:
    static constexpr double step = 5.0;

    static void fill_and_smooth(std::vector<double>& row) {
        const auto missing = [](double value) { return std::abs(value) > 1e200; };
        for (std::size_t i = 1; i < row.size(); ++i)
            if (missing(row[i])) row[i] = row[i - 1];
        for (std::size_t i = row.size() - 1; i-- > 0;)
            if (missing(row[i])) row[i] = row[i + 1];
        for (int pass = 0; pass < 4; ++pass) {
            const std::vector<double> rough = row;
            for (std::size_t i = 0; i < row.size(); ++i)
                row[i] = 0.25 * rough[i == 0 ? 0 : i - 1] + 0.5 * rough[i] +
                         0.25 * rough[std::min(i + 1, row.size() - 1)];
        }
    }
    double at(const std::vector<double>& row, double x) const {
        const double q = std::clamp((x - from_) / step - 0.5, 0.0, static_cast<double>(count_) - 1.001);
        const std::size_t i = static_cast<std::size_t>(q);
        const double t = q - static_cast<double>(i);
        return (1.0 - t) * row[i] + t * row[i + 1];
    }

    double from_;
    std::size_t count_;
    std::vector<double> low_, lateral_, medial_;
};

// The first gutter: half an ellipse in section, closed behind the heel by a quarter of a bowl.
SplineSurface first_gutter(const TriangleMesh& patch, const TrimRule& rule) {
    constexpr double across = 82.0 * std::numbers::pi / 180.0, behind = 80.0 * std::numbers::pi / 180.0;
    const Box3 box = patch.box();
    const double heel = rule.heel_centre.x(), back = heel - box.low.x(), front = box.high.x() + 2.0;
    const double top =
        std::max(30.0, box.high.z() - box.low.z());  // height of the gutter's axis over its floor
    const Outlines outlines(patch, heel, front);
    double widest = 0.0;
    for (double x = heel; x < front; x += 5.0) widest = std::max(widest, outlines.half_width(x));
    const double bowl = 0.5 * (back + top) * behind;
    const Basis u{40, bowl + front - heel}, v{22, 2.0 * across * 0.5 * (widest + top)};
    const GridFit grid(u, v, 2);
    std::vector<Vec3> samples;
    samples.reserve(grid.size());
    for (double a : grid.us())
        for (double b : grid.vs()) {
            const double angle = across * (2.0 * b / v.length - 1.0);  // lateral to medial
            const double x = heel + a - bowl, xs = std::max(x, heel);
            const double floor = outlines.low(xs), axis = box.low.z() + top, depth = axis - floor;
            const double y = outlines.middle(xs) + outlines.half_width(xs) * std::sin(angle);
            if (x >= heel) {
                samples.emplace_back(x, y, axis - depth * std::cos(angle));
            } else {
                const double down = behind * (heel - x) / bowl;
                samples.emplace_back(heel - back * std::sin(down) * std::cos(angle), y,
                                     axis - depth * std::cos(down) * std::cos(angle));
            }
        }
    return grid.fit(samples);
}

struct RayHit {
    Vec2 uv;
    double height = 0.0;
    std::int32_t triangle = -1;
};

// Nearest hit along the normal, up or down, on a triangle that faces as the gutter does.
RayHit shoot(const Bvh& tree, const SplineSurface& gutter, const Vec2& uv, double range) {
    constexpr double facing = 0.25;
    const SurfacePoint at = gutter.first(uv);
    const Vec3 n = at.normal();
    RayHit best{uv, range, -1};
    for (const Hit& hit : tree.ray_all(at.s, n, -range, range)) {
        const Vec3 face = tree.mesh().normal2(static_cast<std::size_t>(hit.triangle));
        if (std::abs(hit.t) < std::abs(best.height) && face.dot(n) > facing * face.norm())
            best = {uv, hit.t, hit.triangle};
    }
    return best;
}

// The gutter's own (u,v) is stretched by half here and there; so the gutter, which is a sound grid, is
// flattened where it has the cast, and its points bring the patch's along.
std::optional<Fault> flatten_gutter(const TriangleMesh& patch, Gutter& gutter) {
    constexpr double cell_mm = 2.5, near_mm = 3.0;
    const std::vector<double> off = project_all(gutter.surface, patch.points, gutter.uv, 8);
    const Basis &u = gutter.surface.u, &v = gutter.surface.v;
    const int nu = std::max(4, static_cast<int>(u.length / cell_mm)),
              nv = std::max(4, static_cast<int>(v.length / cell_mm));
    const auto cell_of = [&](const Vec2& q, double& s, double& t) {
        const double x = q.x() / u.length * nu, y = q.y() / v.length * nv;
        const int i = std::clamp(static_cast<int>(x), 0, nu - 1),
                  j = std::clamp(static_cast<int>(y), 0, nv - 1);
        s = x - i;
        t = y - j;
        return static_cast<std::size_t>(i) * nv + j;
    };
    double s = 0.0, t = 0.0;
    std::vector<char> used(static_cast<std::size_t>(nu) * nv, 0), wide = used;
    for (std::size_t k = 0; k < off.size(); ++k)
        if (off[k] < near_mm) used[cell_of(gutter.uv[k], s, t)] = 1;
    for (int i = 0; i < nu; ++i)  // neighbours too: closes the cells that hold no point
        for (int j = 0; j < nv; ++j)
            for (int a = std::max(0, i - 1); a <= std::min(nu - 1, i + 1); ++a)
                for (int b = std::max(0, j - 1); b <= std::min(nv - 1, j + 1); ++b)
                    if (used[static_cast<std::size_t>(a) * nv + b])
                        wide[static_cast<std::size_t>(i) * nv + j] = 1;
    TriangleMesh grid;
    for (int i = 0; i <= nu; ++i)
        for (int j = 0; j <= nv; ++j)
            grid.points.push_back(gutter.surface.point({u.length * i / nu, v.length * j / nv}));
    const auto corner = [&](int i, int j) { return static_cast<std::int32_t>(i * (nv + 1) + j); };
    for (int i = 0; i < nu; ++i)
        for (int j = 0; j < nv; ++j) {
            if (!wide[static_cast<std::size_t>(i) * nv + j]) continue;
            grid.triangles.push_back({corner(i, j), corner(i + 1, j), corner(i + 1, j + 1)});
            grid.triangles.push_back({corner(i, j), corner(i + 1, j + 1), corner(i, j + 1)});
        }
    const Parts parts = find_parts(grid, find_topology(grid));
    const auto largest = std::max_element(parts.area.begin(), parts.area.end()) - parts.area.begin();
    std::vector<char> keep(grid.triangles.size());
    for (std::size_t k = 0; k < keep.size(); ++k) keep[k] = parts.of_triangle[k] == largest;
    std::vector<std::int32_t> origin(grid.points.size());
    std::iota(origin.begin(), origin.end(), 0);
    TriangleMesh sheet = keep_triangles(grid, keep, origin);
    for (std::int32_t copied : split_pinched(sheet, find_topology(sheet)))
        origin.push_back(origin[static_cast<std::size_t>(copied)]);
    FlattenSettings how;
    how.direct_points = sheet.points.size();
    how.smoothing = 0;
    const auto flat = flatten(sheet, how);
    if (!flat) return flat.fault();

    std::vector<std::int32_t> place(grid.points.size(), -1);
    for (std::size_t k = 0; k < origin.size(); ++k)
        place[static_cast<std::size_t>(origin[k])] = static_cast<std::int32_t>(k);
    std::vector<Vec2> uv(patch.points.size(), Vec2::Zero());
    std::vector<char> known(uv.size(), 0);
    for (std::size_t k = 0; k < uv.size(); ++k) {
        const int cell = static_cast<int>(cell_of(gutter.uv[k], s, t)), i = cell / nv, j = cell % nv;
        const std::array<std::int32_t, 4> at = {place[static_cast<std::size_t>(corner(i, j))],
                                                place[static_cast<std::size_t>(corner(i + 1, j))],
                                                place[static_cast<std::size_t>(corner(i, j + 1))],
                                                place[static_cast<std::size_t>(corner(i + 1, j + 1))]};
        if (!(off[k] < near_mm) || *std::min_element(at.begin(), at.end()) < 0) continue;
        const auto q = [&](std::size_t c) { return flat->uv[static_cast<std::size_t>(at[c])]; };
        uv[k] = (1.0 - s) * ((1.0 - t) * q(0) + t * q(2)) + s * ((1.0 - t) * q(1) + t * q(3));
        known[k] = 1;
    }
    gutter.uv = std::move(uv);
    gutter.known = std::move(known);
    gutter.flips = flat->flips;
    gutter.room_mm = 2.0 + cell_mm;
    return std::nullopt;
}

}  // namespace

Outcome<Gutter> lay_gutter(const TriangleMesh& patch, const TrimRule& rule) {
    if (patch.triangles.empty())
        return Fault{FaultKind::input, "carpet", "The cast has no sole for a gutter to be laid under.", {}};
    const Bvh tree(patch);
    Gutter gutter;
    gutter.surface = first_gutter(patch, rule);
    gutter.uv.assign(patch.points.size(), Vec2::Zero());
    gutter.known.assign(patch.points.size(), 0);
    constexpr int rounds = 2;
    for (int round = 0; round < rounds; ++round) {
        const bool last = round + 1 == rounds;
        const int nu = last ? 240 : 140, nv = last ? 120 : 70;
        const double range_mm = last ? 10.0 : 28.0, outlier_mm = last ? 3.0 : 6.0;
        const SplineSurface& from = gutter.surface;
        std::vector<RayHit> hits(static_cast<std::size_t>(nu) * nv);
        parallel_for(hits.size(), 256, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k)
                hits[k] = shoot(tree, from,
                                Vec2(from.u.length * (static_cast<double>(k / nv) + 0.5) / nu,
                                     from.v.length * (static_cast<double>(k % nv) + 0.5) / nv),
                                range_mm);
        });
        // a height that is not like its neighbours' is another sheet
        FitPoints points;
        std::vector<std::int32_t> triangles;
        std::vector<double> heights;
        for (int i = 0; i < nu; ++i)
            for (int j = 0; j < nv; ++j) {
                const RayHit& hit = hits[static_cast<std::size_t>(i) * nv + j];
                if (hit.triangle < 0) continue;
                heights.clear();
                for (int a = std::max(0, i - 3); a <= std::min(nu - 1, i + 3); ++a)
                    for (int b = std::max(0, j - 3); b <= std::min(nv - 1, j + 3); ++b) {
                        const RayHit& other = hits[static_cast<std::size_t>(a) * nv + b];
                        if (other.triangle >= 0) heights.push_back(other.height);
                    }
                constexpr std::size_t company = 10;
                if (heights.size() < company) continue;
                const auto middle = heights.begin() + static_cast<std::ptrdiff_t>(heights.size() / 2);
                std::nth_element(heights.begin(), middle, heights.end());
                if (std::abs(hit.height - *middle) > outlier_mm) continue;
                points.uv.push_back(hit.uv);
                points.position.emplace_back(hit.height, 0.0, 0.0);
                const SurfacePoint at = from.first(hit.uv);
                points.weight.push_back(at.su.cross(at.sv).norm() * from.u.length / nu * from.v.length / nv);
                triangles.push_back(hit.triangle);
            }
        gutter.rays = hits.size();
        gutter.met = points.size();
        if (gutter.met * 4 < gutter.rays)
            return Fault{FaultKind::input, "carpet",
                         "Rays from under the foot hardly meet the cast: it has no usable sole.",
                         rule.heel_centre};
        if (last)  // places to start from
            for (std::size_t k = 0; k < triangles.size(); ++k)
                for (std::int32_t p : patch.triangles[static_cast<std::size_t>(triangles[k])]) {
                    gutter.uv[static_cast<std::size_t>(p)] = points.uv[k];
                    gutter.known[static_cast<std::size_t>(p)] = 1;
                }
        // S = T + h N with the smooth height, refitted
        constexpr double first_fairness = 10.0;
        const SplineSurface height = PenalisedFit(from.u, from.v, {last ? 1.0 : first_fairness}).fit(points);
        const GridFit grid(from.u, from.v, 3);
        std::vector<Vec3> samples(grid.size());
        std::size_t k = 0;
        for (double a : grid.us())
            for (double b : grid.vs()) {
                const SurfacePoint at = from.first({a, b});
                samples[k++] = at.s + height.point({a, b}).x() * at.normal();
            }
        gutter.surface = grid.fit(samples);
    }
    if (!spread_known(patch, gutter.uv, gutter.known))
        return Fault{FaultKind::input, "carpet", "No ray from under the foot meets the cast.",
                     rule.heel_centre};
    if (auto trouble = flatten_gutter(patch, gutter)) return *trouble;
    return gutter;
}

}  // namespace archwright::surface
