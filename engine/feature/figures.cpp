#include "engine/feature/figures.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::feature {

namespace {

constexpr double figure_spacing_mm = 0.6;

struct Samples {
    surface::Lattice lattice;
    std::vector<surface::SurfacePoint> carpet;
    std::vector<char> inside;
    std::vector<double> height, asked;  // of the foot side; of all features together
};

Samples sample(const FeatureMap& map, const surface::SplineSurface& carpet,
               const surface::SplineSurface& foot_side, const surface::TrimRegion& inside) {
    Samples s;
    s.lattice = surface::Lattice::spaced(carpet.u, carpet.v, figure_spacing_mm);
    s.carpet = surface::sample_second(carpet, s.lattice);
    const std::vector<Vec3> finished = surface::sample_points(foot_side, s.lattice);
    const std::size_t n = s.lattice.size();
    s.inside.resize(n);
    s.height.resize(n);
    s.asked.resize(n);
    parallel_for(n, 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2 uv = s.lattice.uv(k);
            s.inside[k] = inside.inside(uv);
            s.height[k] = (finished[k] - s.carpet[k].s).dot(s.carpet[k].normal());
            s.asked[k] = map.height(uv);
        }
    });
    return s;
}

Figure measure(const FeatureMap::Laid& one, const Samples& s, const std::vector<double>& own) {
    Figure figure;
    figure.name = one.feature.name;
    figure.kind = one.feature.kind;
    figure.asked_mm = one.shape.asked_mm;
    const double sign = one.feature.relief() ? -1.0 : 1.0;
    const surface::Lattice& lattice = s.lattice;
    const double cell = lattice.step_u() * lattice.step_v();
    double area = 0.0, area_inside = 0.0, steepest = 0.0;
    for (int i = 1; i + 1 < lattice.nu; ++i)
        for (int j = 1; j + 1 < lattice.nv; ++j) {
            const std::size_t k = lattice.index(i, j);
            const double f = own[k];
            if (std::abs(f) < felt_mm) continue;
            const surface::SurfacePoint& p = s.carpet[k];
            const double da = p.su.cross(p.sv).norm() * cell;
            area += da;
            if (!s.inside[k]) continue;
            area_inside += da;
            const surface::Curvatures c = surface::curvatures_of(p);
            figure.volume_mm3 +=
                da * std::abs(f - 0.5 * (c.k1 + c.k2) * f * f + c.k1 * c.k2 * f * f * f / 3.0);
            const auto own_at = [&](double du, double dv) {
                const Vec2 uv = lattice.uv(k) + Vec2(du, dv);
                return one.shape.at(uv, p.s + du * p.su + dv * p.sv);
            };
            constexpr double h = 0.05;
            const double fu = (own_at(h, 0.0) - own_at(-h, 0.0)) / (2.0 * h * p.su.norm()),
                         fv = (own_at(0.0, h) - own_at(0.0, -h)) / (2.0 * h * p.sv.norm());
            steepest = std::max(steepest, std::hypot(fu, fv));
            if (sign * s.height[k] > figure.measured_mm) {
                figure.measured_mm = sign * s.height[k];
                figure.where = p.s + s.height[k] * p.normal();
            }
            if (std::abs(s.height[k] - s.asked[k]) > figure.fit_mm) {
                figure.fit_mm = std::abs(s.height[k] - s.asked[k]);
                figure.fit_where = p.s;
            }
        }
    figure.flank_deg = degrees(std::atan(steepest));
    figure.inside_share = area > 0.0 ? area_inside / area : 0.0;
    return figure;
}

}  // namespace

std::vector<Figure> figures(const FeatureMap& map, const surface::SplineSurface& carpet,
                            const surface::SplineSurface& foot_side, const surface::TrimRegion& inside) {
    if (map.empty()) return {};
    const Samples s = sample(map, carpet, foot_side, inside);
    std::vector<Figure> all;
    std::vector<std::vector<double>> fields;
    for (const FeatureMap::Laid& one : map.laid()) {
        std::vector<double> own(s.lattice.size());
        parallel_for(own.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) own[k] = one.shape.at(s.lattice.uv(k), s.carpet[k].s);
        });
        Figure figure = measure(one, s, own);
        for (std::size_t other = 0; other < fields.size(); ++other) {
            bool meet = false;
            for (std::size_t k = 0; k < own.size() && !meet; ++k)
                meet = std::abs(own[k]) >= felt_mm && std::abs(fields[other][k]) >= felt_mm;
            if (!meet) continue;
            figure.overlaps.push_back(all[other].name);
            all[other].overlaps.push_back(figure.name);
        }
        constexpr double far_mm = 200.0;
        figure.beyond_mm = 1e300;
        for (const Spot& spot : one.shape.spine)
            figure.beyond_mm =
                std::min(figure.beyond_mm, inside.inside(spot.uv) ? 0.0 : inside.distance(spot.uv, far_mm));
        all.push_back(std::move(figure));
        fields.push_back(std::move(own));
    }
    return all;
}

}  // namespace archwright::feature
