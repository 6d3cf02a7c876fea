#include "engine/surface/underside.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/grid_fit.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::surface {

namespace {

// Spacing of the ball lattice, mm: without features a blend of the wall is the finest thing to see; with them
// a flank is. The patches between the nodes are of second order.
constexpr double ball_spacing_mm = 1.25;
constexpr double feature_ball_spacing_mm = 0.7;
// A wall past this is a mistake in its map, and would make the search slow.
constexpr double thickest_wall_mm = 30.0;
// Cosine between underside and carpet below which a flank is called folded.
constexpr double least_cosine = 0.05;

Fault fault(std::string message, const Vec3& where) {
    return {FaultKind::check, "underside", std::move(message), where};
}

std::optional<Fault> nonsense(const BallSheet& sheet, const LatticeFrames& carpet) {
    for (std::size_t k = 0; k < carpet.points.size(); ++k) {
        const double radius = sheet.radii()[k];
        if (!(radius > 0.0 && radius <= thickest_wall_mm))
            return fault("The wall map gives " + exact(radius) + " mm at " + place(carpet.points[k]) +
                             "; a wall lies above 0 and up to " + rounded(thickest_wall_mm, 0) + " mm.",
                         carpet.points[k]);
        if (!sheet.centres()[k].allFinite())
            return fault("A feature has no height at " + place(carpet.points[k]) + ".", carpet.points[k]);
    }
    return std::nullopt;
}

// Where the offset by t along -n would turn over: t times the curvature away from the normal reaches the fold
// limit.
std::optional<Fault> fold(const SplineSurface& carpet, const SplineField& wall, const auto& counts) {
    const Lattice lattice = Lattice::over(carpet.u, carpet.v, 2);
    const auto second = sample_second(carpet, lattice);
    std::vector<double> folding(lattice.size(), 0.0);
    parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Curvatures c = curvatures_of(second[k]);
            const double t = wall.value(lattice.uv(k));
            folding[k] = counts(lattice.uv(k)) ? -c.k2 * t : 0.0;
        }
    });
    const auto worst =
        static_cast<std::size_t>(std::max_element(folding.begin(), folding.end()) - folding.begin());
    if (!(folding[worst] >= tolerance::fold_limit)) return std::nullopt;
    const double t = wall.value(lattice.uv(worst));
    return fault("The underside would fold at " + place(second[worst].s) + ": a wall of " + rounded(t, 1) +
                     " mm round a radius of " + rounded(t / folding[worst], 1) +
                     " mm. Thin the wall there, or smooth the cast.",
                 second[worst].s);
}

std::optional<Fault> turned_over(const Sides& sides, const SplineSurface& carpet, const auto& counts) {
    const Lattice lattice = Lattice::over(sides.underside.u, sides.underside.v, 2);
    const LatticeFrames below = sample_frames(sides.underside, lattice),
                        above = sample_frames(carpet, lattice);
    std::vector<double> cosine(lattice.size(), 1.0);
    parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            cosine[k] = below.normals[k].dot(above.normals[k]);
            if (!(cosine[k] >= least_cosine) && !counts(lattice.uv(k))) cosine[k] = 1.0;
        }
    });
    const auto worst =
        static_cast<std::size_t>(std::min_element(cosine.begin(), cosine.end()) - cosine.begin());
    if (cosine[worst] >= least_cosine) return std::nullopt;
    return fault(
        "The underside turns over at " + place(above.points[worst]) +
            ". A relief is too deep and steep for its wall there: make it shallower or wider, or thin "
            "its wall.",
        above.points[worst]);
}

}  // namespace

Outcome<Sides> roll_underside(const SplineSurface& carpet, const std::vector<BallLayer>& layers,
                              const UndersideSettings& settings) {
    if (layers.empty()) return Fault{FaultKind::internal, "underside", "No wall map was given.", {}};
    const FeatureFunction& features = layers.front().height;
    bool featured = false;
    for (const BallLayer& layer : layers) featured = featured || layer.height;

    const Lattice ball_lattice =
        Lattice::spaced(carpet.u, carpet.v, featured ? feature_ball_spacing_mm : ball_spacing_mm);
    const LatticeFrames ball_frames = sample_frames(carpet, ball_lattice);
    std::vector<BallSheet> sheets;
    for (const BallLayer& layer : layers) {
        sheets.push_back(sample_layer(ball_lattice, ball_frames, layer));
        if (auto bad = nonsense(sheets.back(), ball_frames)) return *bad;
    }

    std::optional<TrimRegion> region;
    if (!settings.within.control.empty()) region.emplace(Outline(settings.within));
    const auto counts = [&](const Vec2& uv) { return !region || region->inside(uv); };

    Sides sides;
    int halvings = featured ? std::min(1, settings.halvings) : 0;
    for (;; ++halvings) {
        Basis u = carpet.u, v = carpet.v;
        for (int h = 0; h < halvings; ++h) {
            u = refined(u);
            v = refined(v);
        }
        const GridFit grid(u, v, 2);
        const Lattice lattice = Lattice::over(u, v, 2);
        const LatticeFrames frames = sample_frames(carpet, lattice);
        std::vector<double> wall(lattice.size());
        std::vector<Vec3> above, below(lattice.size());
        if (features) above.resize(lattice.size());
        parallel_for(lattice.size(), 128, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const Vec2 uv = lattice.uv(k);
                const Vec3 &s = frames.points[k], &n = frames.normals[k];
                double t = -1e300;
                for (const BallSheet& sheet : sheets) t = std::max(t, sheet.exit(s, n, uv));
                wall[k] = t;
                below[k] = s - t * n;
                if (features) above[k] = s + features(uv) * n;
            }
        });
        sides.underside = grid.fit(below);
        sides.wall = grid.fit(wall);
        sides.foot_side = features ? grid.fit(above) : carpet;
        sides.halvings = halvings;

        const std::vector<Vec3> fitted_below = sample_points(sides.underside, lattice);
        const std::vector<Vec3> fitted_above =
            features ? sample_points(sides.foot_side, lattice) : std::vector<Vec3>{};
        sides.fit_error_mm = 0.0;
        for (std::size_t k = 0; k < lattice.size(); ++k) {
            double error = (fitted_below[k] - below[k]).norm();
            if (features) error = std::max(error, (fitted_above[k] - above[k]).norm());
            if (error > sides.fit_error_mm && counts(lattice.uv(k))) sides.fit_error_mm = error;
        }
        if (sides.fit_error_mm <= settings.fit_mm || halvings >= settings.halvings) break;
    }
    if (auto bad = fold(carpet, sides.wall, counts)) return *bad;
    if (auto bad = turned_over(sides, carpet, counts)) return *bad;
    return sides;
}

Outcome<Sides> roll_underside(const SplineSurface& carpet, const WallFunction& wall,
                              const FeatureFunction& features, const UndersideSettings& settings) {
    return roll_underside(carpet, std::vector<BallLayer>{{features, wall}}, settings);
}

}  // namespace archwright::surface
