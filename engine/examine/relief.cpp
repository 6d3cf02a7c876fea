#include "engine/examine/relief.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/foot/survey.hpp"
#include "engine/surface/carpet_fit.hpp"
#include "engine/surface/fit.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/patch.hpp"

namespace archwright::examine {

namespace {

constexpr double knot_mm = 11.0;
constexpr double relief_fairness = 5000.0;  // mm^2: bends over 11 mm, not over a finger's dent
constexpr double beyond_heads_mm = 12.0;    // with the patch's own margin: to the toe roots
constexpr double far_mm = 8.0;              // off the base: another sheet or debris
constexpr double pinhole_mm = 2.0;
constexpr double spike_mm = 1.2;
constexpr double smooth_mm = 0.8;
constexpr double unjudged_mm = 5.0;   // no judgement nearer to the end of the cast
constexpr double faces_down = -0.35;  // of the base's normal away from the foot

Fault fault(FaultKind kind, std::string message) {
    return {kind, "examine", std::move(message), {}};
}

std::optional<Vec3> landmark(const foot::Standing& standing, foot::LandmarkId id, foot::LandmarkId other) {
    for (const foot::LandmarkId each : {id, other})
        if (const auto at = standing.landmarks.find(each); at != standing.landmarks.end())
            return at->second.position;
    return std::nullopt;
}

Outcome<surface::TrimRule> rule_for(const foot::Standing& standing) {
    using enum foot::LandmarkId;
    const auto first = landmark(standing, first_head_border, first_head_plantar),
               fifth = landmark(standing, fifth_head_border, fifth_head_plantar),
               heel = landmark(standing, heel_centre, heel_centre);
    if (!first || !fifth || !heel)
        return fault(FaultKind::input,
                     "The heel centre and the 1st and 5th metatarsal heads are not known on this cast: set "
                     "them, then examine it.");
    surface::TrimRule rule;
    rule.heel_centre = *heel;
    rule.first_head = *first;
    rule.fifth_head = *fifth;
    rule.distal_first_mm = rule.distal_fifth_mm = -beyond_heads_mm;
    return rule;
}

// The patch laid flat, by flattening, and where that fails by a gutter.
Outcome<surface::Start> laid_flat(const foot::Standing& standing, const surface::TrimRule& rule) {
    surface::CarpetSettings settings;
    settings.count_u = 60;  // of the first surface, which only has to place the points
    settings.count_v = 36;
    const auto patch = surface::select_patch(standing.mesh, {}, rule);
    if (patch) {
        auto start = surface::start_flattened(*patch, settings, 5);
        if (start && start->flips == 0) return start;
        if (auto smoother = surface::start_flattened(*patch, settings, 25)) return smoother;
    }
    surface::PatchSettings pieces;
    pieces.connected = false;
    const auto all = surface::select_patch(standing.mesh, {}, rule, pieces);
    if (!all) return all.fault();
    return surface::start_gutter(*all, rule, settings);
}

std::vector<double> areas_of(const TriangleMesh& mesh) {
    std::vector<double> area(mesh.points.size(), 0.0);
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        for (std::int32_t p : mesh.triangles[t]) area[static_cast<std::size_t>(p)] += mesh.area(t) / 3.0;
    return area;
}

surface::SplineSurface stiff_base(const surface::Start& start) {
    const auto basis = [](double length) {
        return surface::Basis{std::max(4, static_cast<int>(std::ceil(length / knot_mm)) + 3), length};
    };
    return surface::PenalisedFit(basis(start.coarse.u.length), basis(start.coarse.v.length),
                                 {relief_fairness})
        .fit({start.uv, start.mesh.points, areas_of(start.mesh)});
}

// Heights of the points over the base, away from the foot.
std::vector<double> heights_of(const surface::SplineSurface& base, surface::Start& start) {
    surface::project_all(base, start.mesh.points, start.uv, 4);
    std::vector<double> height(start.uv.size());
    parallel_for(height.size(), 4096, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const surface::SurfacePoint at = base.first(start.uv[k]);
            height[k] = (at.s - start.mesh.points[k]).dot(at.normal());
        }
    });
    return height;
}

// White noise of the points: each against the mean of its neighbours, which has its share of it.
double noise_of(const TriangleMesh& mesh, const std::vector<double>& height) {
    std::vector<double> sum(height.size(), 0.0), count(height.size(), 0.0);
    for (const Triangle& t : mesh.triangles)
        for (std::size_t k = 0; k < 3; ++k) {
            const std::size_t a = static_cast<std::size_t>(t[k]),
                              b = static_cast<std::size_t>(t[(k + 1) % 3]);
            sum[a] += height[b];
            sum[b] += height[a];
            count[a] += 1.0;
            count[b] += 1.0;
        }
    std::vector<double> off;
    for (std::size_t k = 0; k < height.size(); ++k)
        if (count[k] >= 6.0)  // three neighbours, each seen from two triangles
            off.push_back(std::abs(height[k] - sum[k] / count[k]) / std::sqrt(1.0 + 2.0 / count[k]));
    if (off.empty()) return 0.0;
    const auto middle = off.begin() + static_cast<std::ptrdiff_t>(off.size() / 2);
    std::nth_element(off.begin(), middle, off.end());
    return 1.4826 * *middle;
}

// Linear between the points of each triangle; where two lie over one node, the one nearer the base.
void rasterise(const surface::Start& start, const std::vector<double>& height, Image& image, Mask& seen) {
    for (const Triangle& t : start.mesh.triangles) {
        std::array<Vec2, 3> q;
        std::array<double, 3> h{};
        bool far = false;
        for (std::size_t k = 0; k < 3; ++k) {
            q[k] = start.uv[static_cast<std::size_t>(t[k])] / relief_step_mm;
            h[k] = height[static_cast<std::size_t>(t[k])];
            far = far || !(std::abs(h[k]) < far_mm);
        }
        const Vec2 a = q[1] - q[0], b = q[2] - q[0];
        const double twice = a.x() * b.y() - a.y() * b.x();
        if (far || !(std::abs(twice) > 1e-12)) continue;
        const auto low = [&](int axis) {
            return static_cast<int>(std::ceil(std::min({q[0][axis], q[1][axis], q[2][axis]}) - 1e-9));
        };
        const auto high = [&](int axis) {
            return static_cast<int>(std::floor(std::max({q[0][axis], q[1][axis], q[2][axis]}) + 1e-9));
        };
        for (int i = std::max(0, low(0)); i <= std::min(image.nu - 1, high(0)); ++i)
            for (int j = std::max(0, low(1)); j <= std::min(image.nv - 1, high(1)); ++j) {
                const Vec2 p = Vec2(i, j) - q[0];
                const double s = (p.x() * b.y() - p.y() * b.x()) / twice,
                             r = (a.x() * p.y() - a.y() * p.x()) / twice;
                constexpr double edge = -1e-9;
                if (s < edge || r < edge || s + r > 1.0 - edge) continue;
                const float value = static_cast<float>((1.0 - s - r) * h[0] + s * h[1] + r * h[2]);
                const std::size_t k = image.index(i, j);
                if (seen.a[k] && std::abs(image.a[k]) <= std::abs(value)) continue;
                image.a[k] = value;
                seen.a[k] = 1;
            }
    }
}

// Pinholes closed, slivers and islands dropped.
Mask tidied(const Mask& seen) {
    Mask closed = shrunk(grown(seen, pinhole_mm / relief_step_mm), pinhole_mm / relief_step_mm);
    for (std::size_t k = 0; k < closed.size(); ++k) closed.a[k] = closed.a[k] || seen.a[k];
    const Mask opened = grown(shrunk(closed, 2.0), 2.0);
    for (std::size_t k = 0; k < closed.size(); ++k) closed.a[k] = closed.a[k] && opened.a[k];
    const Labels parts = parts_of(closed);
    if (parts.sizes.empty()) return closed;
    const auto largest = std::max_element(parts.sizes.begin(), parts.sizes.end()) - parts.sizes.begin();
    for (std::size_t k = 0; k < closed.size(); ++k) closed.a[k] = parts.of.a[k] == largest;
    return closed;
}

// Lone spikes against the median of the 5 x 5 nodes round them.
void drop_spikes(const Image& image, Mask& seen) {
    std::vector<char> bad(seen.size(), 0);
    parallel_for(static_cast<std::size_t>(image.nu), 16, [&](std::size_t begin, std::size_t end) {
        std::vector<float> around;
        for (std::size_t row = begin; row < end; ++row)
            for (int j = 0; j < image.nv; ++j) {
                const int i = static_cast<int>(row);
                if (!seen.at(i, j)) continue;
                around.clear();
                for (int a = -2; a <= 2; ++a)
                    for (int b = -2; b <= 2; ++b)
                        if (seen.has(i + a, j + b) && seen.at(i + a, j + b))
                            around.push_back(image.at(i + a, j + b));
                const auto middle = around.begin() + static_cast<std::ptrdiff_t>(around.size() / 2);
                std::nth_element(around.begin(), middle, around.end());
                bad[seen.index(i, j)] = std::abs(image.at(i, j) - *middle) > static_cast<float>(spike_mm);
            }
    });
    for (std::size_t k = 0; k < seen.size(); ++k)
        if (bad[k]) seen.a[k] = 0;
}

}  // namespace

Vec3 Relief::place(double i, double j) const {
    const double x = std::clamp(i, 0.0, map.nu - 1.0), y = std::clamp(j, 0.0, map.nv - 1.0);
    const int a = std::min(static_cast<int>(x), map.nu - 2), b = std::min(static_cast<int>(y), map.nv - 2);
    const double s = x - a, t = y - b;
    return (1 - s) * ((1 - t) * place(a, b) + t * place(a, b + 1)) +
           s * ((1 - t) * place(a + 1, b) + t * place(a + 1, b + 1));
}

Outcome<Relief> lay_relief(const foot::Standing& standing, Progress* progress) {
    const auto rule = rule_for(standing);
    if (!rule) return rule.fault();
    auto start = laid_flat(standing, *rule);
    if (!start) {
        Fault why = start.fault();
        why.stage = "examine";
        return why;
    }
    if (progress != nullptr && !progress->report("laying a base", 0.3))
        return fault(FaultKind::cancelled, "Cancelled while the cast was examined.");
    const surface::SplineSurface base = stiff_base(*start);
    const std::vector<double> height = heights_of(base, *start);

    Relief relief;
    relief.noise_mm = noise_of(start->mesh, height);
    relief.edge_mm = std::sqrt(start->mesh.area() / static_cast<double>(start->mesh.triangles.size()) * 4.0 /
                               std::numbers::sqrt3);
    // nodes at whole steps; the last fraction of a step is left out
    const int nu = static_cast<int>(base.u.length / relief_step_mm) + 1,
              nv = static_cast<int>(base.v.length / relief_step_mm) + 1;
    const surface::Lattice exact{nu, nv, (nu - 1) * relief_step_mm, (nv - 1) * relief_step_mm};
    Image image(nu, nv);
    Mask hit(nu, nv);
    rasterise(*start, height, image, hit);
    drop_spikes(image, hit);
    relief.seen = tidied(hit);
    for (std::size_t k = 0; k < hit.size(); ++k) hit.a[k] = hit.a[k] && relief.seen.a[k];
    const Image near = blurred(image, hit, 0.7 / relief_step_mm);
    for (std::size_t k = 0; k < hit.size(); ++k)
        if (!hit.a[k]) image.a[k] = near.a[k];

    HeightMap& map = relief.map;
    map.nu = image.nu;
    map.nv = image.nv;
    map.step_mm = relief_step_mm;
    map.valid = relief.seen.a;
    map.height.assign(image.size(), 0.0f);
    map.position.resize(image.size());
    map.away.resize(image.size());
    parallel_for(static_cast<std::size_t>(image.nu), 8, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            for (int j = 0; j < image.nv; ++j) {
                const std::size_t k = image.index(static_cast<int>(i), j);
                const surface::SurfacePoint at = base.first(exact.uv(static_cast<int>(i), j));
                map.away[k] = -at.normal();
                if (map.valid[k]) map.height[k] = image.a[k];
                map.position[k] = at.s + static_cast<double>(map.height[k]) * map.away[k];
            }
    });

    const Distance border = distance_inside(relief.seen);
    relief.inside = border.to;
    relief.sole = Mask(image.nu, image.nv);
    for (std::size_t k = 0; k < image.size(); ++k) {
        relief.inside.a[k] *= static_cast<float>(relief_step_mm);
        relief.sole.a[k] = relief.seen.a[k] && relief.inside.a[k] > static_cast<float>(unjudged_mm) &&
                           map.away[k].z() < faces_down;
    }
    if (std::count(relief.sole.a.begin(), relief.sole.a.end(), char{1}) < 400)
        return fault(
            FaultKind::input,
            "There is too little sole on this cast to examine: check that it is the plantar surface, "
            "the right way up.");
    relief.height = std::move(image);
    fill_nearest(relief.height, relief.seen);
    relief.smooth = blurred(relief.height, relief.seen, smooth_mm / relief_step_mm);
    for (std::size_t k = 0; k < relief.smooth.size(); ++k)
        if (!relief.seen.a[k]) relief.smooth.a[k] = relief.map.height[k];
    return relief;
}

}  // namespace archwright::examine
