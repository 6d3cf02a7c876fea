#include "engine/surface/carpet_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

#include "engine/mesh/topology.hpp"
#include "engine/surface/fans.hpp"
#include "engine/surface/fit.hpp"
#include "engine/surface/flatten.hpp"
#include "engine/surface/gutter.hpp"

namespace archwright::surface {

namespace {

std::vector<double> point_areas(const TriangleMesh& mesh) {
    std::vector<double> area(mesh.points.size(), 0.0);
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        for (std::int32_t p : mesh.triangles[t]) area[static_cast<std::size_t>(p)] += mesh.area(t) / 3.0;
    return area;
}

// Lays the domain round the points' (u,v) and fits the coarse surface.
Start start_from(TriangleMesh mesh, std::vector<Vec2> uv, double room, const CarpetSettings& settings) {
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    for (const Vec2& q : uv) {
        low = low.cwiseMin(q);
        high = high.cwiseMax(q);
    }
    const Vec2 size = high - low + Vec2::Constant(2.0 * room);
    for (Vec2& q : uv) q += Vec2::Constant(room) - low;
    const PenalisedFit fit({settings.count_u / 2, size.x()}, {settings.count_v / 2, size.y()}, {});
    Start start;
    start.coarse = fit.fit({uv, mesh.points, point_areas(mesh)});
    start.mesh = std::move(mesh);
    start.uv = std::move(uv);
    return start;
}

// Samples of the patch: its points where triangles are small, and places inside the large ones, each with the
// area it stands for times the trust in its triangle's corners (all of it when `trust` is empty): a spike
// takes the triangles round it along. Of very many points every n-th is taken.
FitPoints sample(const TriangleMesh& mesh, const std::vector<Vec2>& uv, const std::vector<double>& trust) {
    constexpr double small_mm = 1.5, apart_mm = 1.2;
    constexpr int most_pieces = 24;
    constexpr std::size_t most_points = 300'000;
    FitPoints inside;
    std::vector<double> weight(mesh.points.size(), 0.0);
    std::vector<char> stands(mesh.points.size(), 0);
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Triangle& q = mesh.triangles[t];
        const std::size_t a = static_cast<std::size_t>(q[0]), b = static_cast<std::size_t>(q[1]),
                          c = static_cast<std::size_t>(q[2]);
        const double longest = std::sqrt(std::max({(mesh.points[a] - mesh.points[b]).squaredNorm(),
                                                   (mesh.points[b] - mesh.points[c]).squaredNorm(),
                                                   (mesh.points[c] - mesh.points[a]).squaredNorm()}));
        const double whole = mesh.area(t) * (trust.empty() ? 1.0 : std::min({trust[a], trust[b], trust[c]}));
        if (longest <= small_mm) {
            for (std::size_t p : {a, b, c}) {
                weight[p] += whole / 3.0;
                stands[p] = 1;
            }
            continue;
        }
        const int k = std::min(most_pieces, static_cast<int>(std::ceil(longest / apart_mm)));
        const auto add = [&](double x, double y) {
            const double z = 1.0 - x - y;
            inside.uv.push_back(z * uv[a] + x * uv[b] + y * uv[c]);
            inside.position.push_back(z * mesh.points[a] + x * mesh.points[b] + y * mesh.points[c]);
            inside.weight.push_back(whole / (k * k));
        };
        for (int i = 0; i < k; ++i)
            for (int j = 0; j < k - i; ++j) {
                add((i + 1.0 / 3.0) / k, (j + 1.0 / 3.0) / k);
                if (i + j < k - 1) add((i + 2.0 / 3.0) / k, (j + 2.0 / 3.0) / k);
            }
    }
    FitPoints all;
    const std::size_t stride = 1 + (mesh.points.size() + inside.size()) / most_points;
    const auto take = [&](const Vec2& at, const Vec3& position, double w) {
        all.uv.push_back(at);
        all.position.push_back(position);
        all.weight.push_back(w * static_cast<double>(stride));
    };
    for (std::size_t i = 0; i < mesh.points.size(); i += stride)
        if (stands[i]) take(uv[i], mesh.points[i], weight[i]);
    for (std::size_t i = 0; i < inside.size(); i += stride)
        take(inside.uv[i], inside.position[i], inside.weight[i]);
    return all;
}

// The border and the holes of the patch, on the finished surface.
void trace_borders(const TriangleMesh& mesh, const std::vector<Vec2>& uv, const SplineSurface& surface,
                   CarpetEvidence& evidence) {
    const std::vector<BoundaryLoop> loops = boundary_loops(mesh, find_topology(mesh));
    std::size_t outer = 0;
    for (std::size_t k = 0; k < loops.size(); ++k)
        if (loops[k].length > loops[outer].length) outer = k;
    constexpr double smallest_hole_mm = 1.5, apart_mm = 1.0;
    for (std::size_t k = 0; k < loops.size(); ++k) {
        std::vector<Vec2> ring;
        Vec3 centre = Vec3::Zero();
        for (std::int32_t p : loops[k].points) {
            ring.push_back(uv[static_cast<std::size_t>(p)]);
            surface.project(mesh.points[static_cast<std::size_t>(p)], ring.back());
            centre += mesh.points[static_cast<std::size_t>(p)];
        }
        if (ring.empty()) continue;
        const double count = static_cast<double>(ring.size());
        if (k != outer) {
            double twice_area = 0.0;
            for (std::size_t i = 0; i < ring.size(); ++i) {
                const Vec2 &p = ring[i], &q = ring[(i + 1) % ring.size()];
                twice_area += p.x() * q.y() - p.y() * q.x();
            }
            const double diameter = 2.0 * std::sqrt(0.5 * std::abs(twice_area) / std::numbers::pi);
            if (diameter < smallest_hole_mm) continue;
            Vec2 middle = Vec2::Zero();
            for (const Vec2& q : ring) middle += q;
            evidence.holes.push_back({centre / count, diameter});
            evidence.hole_places.push_back(middle / count);
            continue;
        }
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Vec2 &a = ring[i], b = ring[(i + 1) % ring.size()];
            const int pieces = std::max(1, static_cast<int>(std::ceil((b - a).norm() / apart_mm)));
            for (int j = 0; j < pieces; ++j) evidence.border.push_back(a + (b - a) * j / pieces);
        }
    }
}

// The fairness that balances noise against flattening. With noise of standard deviation sigma on points of
// area a each, a smoothing spline of two variables errs by about sigma^2 a / lambda^(1/2) through noise and
// by lambda^2 through bias (G. Wahba, Spline Models for Observational Data, 1990), so the best lambda grows
// as (sigma^2 a)^0.4. The factor is from generated feet: 0.3 for 0.05 mm of noise at 500k triangles, 1.3 for
// the noise of a bad scan; 0.1 halves the worst error of a clean one.
double fairness_for(const std::vector<double>& distance, const TriangleMesh& patch) {
    std::vector<double> sorted = distance;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    const double sigma = 1.4826 * *middle;
    const double area = patch.area() / static_cast<double>(patch.points.size());
    constexpr double factor = 4.0, least = 0.1, most = 2.0;
    return std::clamp(factor * std::pow(sigma * sigma * area, 0.4), least, most);
}

}  // namespace

Outcome<Start> start_flattened(const Patch& patch, const CarpetSettings& settings, int smoothing) {
    FlattenSettings how;
    how.smoothing = smoothing;
    auto flat = flatten(patch.mesh, how);
    if (!flat) return flat.fault();
    spread_known(patch.mesh, flat->uv, flat->known);
    // room for the points at the border, which stand up to a cell beyond their cell's middle
    Start start = start_from(patch.mesh, std::move(flat->uv), 2.0 + how.coarse_mm, settings);
    start.flips = flat->flips;
    return start;
}

Outcome<Start> start_gutter(const Patch& patch, const TrimRule& rule, const CarpetSettings& settings) {
    const auto gutter = lay_gutter(patch.mesh, rule);
    if (!gutter) return gutter.fault();
    // what does not lie on the gutter is another sheet, or debris
    std::vector<char> keep(patch.mesh.triangles.size());
    for (std::size_t t = 0; t < keep.size(); ++t) {
        const Triangle& q = patch.mesh.triangles[t];
        keep[t] = std::all_of(q.begin(), q.end(), [&](std::int32_t p) {
            return gutter->known[static_cast<std::size_t>(p)] != 0;
        });
    }
    std::vector<std::int32_t> origin(patch.mesh.points.size());
    std::iota(origin.begin(), origin.end(), 0);
    TriangleMesh mesh = keep_triangles(patch.mesh, keep, origin);
    if (mesh.triangles.empty())
        return Fault{FaultKind::input, "carpet", "No ray from under the foot meets the cast.",
                     rule.heel_centre};
    std::vector<Vec2> uv;
    uv.reserve(origin.size());
    for (std::int32_t p : origin) uv.push_back(gutter->uv[static_cast<std::size_t>(p)]);
    Start start = start_from(std::move(mesh), std::move(uv), gutter->room_mm, settings);
    start.flips = gutter->flips;
    return start;
}

Carpet fit_carpet(Start start, const CarpetSettings& settings, Progress* progress) {
    const auto say = [&](const char* what, double fraction) {
        if (progress != nullptr) progress->report(what, fraction);
    };
    const TriangleMesh& mesh = start.mesh;
    const Basis u{settings.count_u, start.coarse.u.length}, v{settings.count_v, start.coarse.v.length};
    // what lies far off the coarse surface is another sheet or debris; what lies off the fine one, a spike
    constexpr double far_mm = 3.0, multiple = 6.0;
    // a coarse cast shows a crease in a single point: there a spike has to stand out more
    const double edge =
        std::sqrt(mesh.area() / static_cast<double>(mesh.triangles.size()) * 4.0 / std::sqrt(3.0));
    const double spike_mm = 0.3 * std::max(1.0, edge / 1.5);
    std::vector<double> off = project_all(start.coarse, mesh.points, start.uv, 5);
    std::vector<double> trust = robust_factors(off, multiple, far_mm);
    say("fitting", 0.6);
    double fairness = settings.fairness > 0.0 ? settings.fairness : 1.0;
    Carpet carpet;
    {
        FitPoints points = sample(mesh, start.uv, trust);
        project_all(start.coarse, points.position, points.uv, 1);
        carpet.surface = PenalisedFit(u, v, {fairness}).fit(points);
    }
    FitPoints points;
    constexpr int most_rounds = 3;
    for (int round = 0; round < most_rounds; ++round) {
        say("fitting", 0.7 + 0.05 * round);
        off = project_all(carpet.surface, mesh.points, start.uv, 3);
        if (settings.fairness <= 0.0) fairness = fairness_for(off, mesh);
        const std::vector<double> before = std::exchange(trust, robust_factors(off, multiple, spike_mm));
        points = sample(mesh, start.uv, trust);
        carpet.surface = PenalisedFit(u, v, {fairness}).fit(points);
        // spikes bend the surface, and so hide their neighbours' worth: once more when many points changed
        // side
        constexpr double half = 0.5, many = 0.002;
        std::size_t changed = 0;
        for (std::size_t i = 0; i < trust.size(); ++i) changed += (trust[i] < half) != (before[i] < half);
        if (static_cast<double>(changed) < many * static_cast<double>(trust.size())) break;
    }
    say("measuring", 0.85);
    auto evidence = std::make_shared<CarpetEvidence>();
    evidence->distance = project_all(carpet.surface, points.position, points.uv, 3);
    evidence->uv = std::move(points.uv);
    evidence->position = std::move(points.position);
    evidence->flattened_flips = start.flips;
    trace_borders(mesh, start.uv, carpet.surface, *evidence);
    carpet.evidence = std::move(evidence);
    return carpet;
}

}  // namespace archwright::surface
