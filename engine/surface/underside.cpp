#include "engine/surface/underside.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
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
// A direction is halved when the residual changes along it at least this share as much as along the other.
constexpr double swing_share = 0.3;
// Residuals below this share of the fit tolerance leave the level before standing; its samples so near a
// residual above it are rolled anew.
constexpr double negligible_share = 0.2;
constexpr int around = 3;

Fault fault(std::string message, const Vec3& where) {
    return {FaultKind::check, "underside", std::move(message), where};
}

// Nodes at 2, 4, 8, ... to a knot span, so that the samples of the fit fall on nodes and meet their own ball
// exactly.
Lattice ball_lattice_over(const SplineSurface& carpet, double spacing) {
    const auto nodes = [spacing](const Basis& basis) {
        int per_span = 2;
        while (basis.span() > spacing * per_span) per_span *= 2;
        return basis.spans() * per_span + 1;
    };
    return {nodes(carpet.u), nodes(carpet.v), carpet.u.length, carpet.v.length};
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

// One side fitted over knots halved so often, and what is known about its residual.
struct Level {
    SplineSurface side;
    Lattice lattice;                      // samples the fit was made from
    std::vector<char> rough;              // samples near which the residual is not negligible
    double error = 0.0;                   // greatest residual inside the trim
    double swing_u = 0.0, swing_v = 0.0;  // its greatest change from one sample to the next
};

// Puts the side's point at a sample, given where the carpet is and what its normal.
using Place = std::function<Vec3(const Vec2& uv, const Vec3& s, const Vec3& n)>;

Level fit_level(const SplineSurface& carpet, const Basis& u, const Basis& v, const Place& put,
                const Level* before, double negligible, const auto& counts) {
    Level level;
    const Lattice lattice = level.lattice = Lattice::over(u, v, 2);
    const LatticeFrames frames = sample_frames(carpet, lattice);
    // where the level before was as good as exact, it stands
    std::vector<Vec3> points(lattice.size());
    if (before != nullptr) points = sample_points(before->side, lattice);
    const auto settled = [&](std::size_t k) {
        if (before == nullptr) return false;
        const Lattice& old = before->lattice;
        const int i = static_cast<int>(k) / lattice.nv, j = static_cast<int>(k) % lattice.nv;
        return before->rough[old.index(i * (old.nu - 1) / (lattice.nu - 1),
                                       j * (old.nv - 1) / (lattice.nv - 1))] == 0;
    };
    parallel_for(lattice.size(), 128, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k)
            if (!settled(k)) points[k] = put(lattice.uv(k), frames.points[k], frames.normals[k]);
    });
    level.side = GridFit(u, v, 2).fit(points);

    const std::vector<Vec3> fitted = sample_points(level.side, lattice);
    parallel_for(lattice.size(), 1024, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) points[k] -= fitted[k];  // the residual, in place
    });
    const std::size_t row = static_cast<std::size_t>(lattice.nv);
    level.rough.assign(lattice.size(), 0);
    for (int i = 0; i < lattice.nu; ++i)
        for (int j = 0; j < lattice.nv; ++j) {
            const std::size_t k = lattice.index(i, j);
            const double error = points[k].norm();
            if (!(error > negligible)) continue;
            for (int x = std::max(0, i - around); x <= std::min(lattice.nu - 1, i + around); ++x)
                std::fill_n(level.rough.begin() +
                                static_cast<std::ptrdiff_t>(lattice.index(x, std::max(0, j - around))),
                            std::min(lattice.nv - 1, j + around) - std::max(0, j - around) + 1, char{1});
            if (!counts(lattice.uv(k))) continue;
            level.error = std::max(level.error, error);
            if (i + 1 < lattice.nu)
                level.swing_u = std::max(level.swing_u, (points[k + row] - points[k]).norm());
            if (j + 1 < lattice.nv)
                level.swing_v = std::max(level.swing_v, (points[k + 1] - points[k]).norm());
        }
    return level;
}

// Coarse first; then the knots are halved in the direction along which the residual runs up and down, until
// it is small. A crease needs this across it, hardly ever along it.
Level fit_side(const SplineSurface& carpet, const Place& put, int start, const UndersideSettings& settings,
               const auto& counts) {
    const double negligible = negligible_share * settings.fit_mm;
    int times_u = std::min(start, settings.halvings), times_v = times_u;
    Basis u = carpet.u, v = carpet.v;
    for (int h = 0; h < times_u; ++h) {
        u = refined(u);
        v = refined(v);
    }
    Level level = fit_level(carpet, u, v, put, nullptr, negligible, counts);
    while (level.error > settings.fit_mm) {
        const bool halve_u = times_u < settings.halvings && level.swing_u > swing_share * level.swing_v;
        const bool halve_v = times_v < settings.halvings && level.swing_v > swing_share * level.swing_u;
        if (!halve_u && !halve_v) break;
        const double before = level.error;
        if (halve_u) u = refined(u);
        if (halve_v) v = refined(v);
        times_u += halve_u ? 1 : 0;
        times_v += halve_v ? 1 : 0;
        level = fit_level(carpet, u, v, put, &level, negligible, counts);
        // a smooth side gains eight times and more by a halving, a crease two
        if (level.error <= settings.crease_mm && level.error > before / 4.0) break;
    }
    return level;
}

}  // namespace

Outcome<Sides> roll_underside(const SplineSurface& carpet, const std::vector<BallLayer>& layers,
                              const UndersideSettings& settings) {
    if (layers.empty()) return Fault{FaultKind::internal, "underside", "No wall map was given.", {}};
    const FeatureFunction& features = layers.front().height;
    bool featured = false;
    for (const BallLayer& layer : layers) featured = featured || layer.height;

    const Lattice ball_lattice =
        ball_lattice_over(carpet, featured ? feature_ball_spacing_mm : ball_spacing_mm);
    const LatticeFrames ball_frames = sample_frames(carpet, ball_lattice);
    std::vector<BallSheet> sheets;
    for (const BallLayer& layer : layers) {
        sheets.push_back(sample_layer(ball_lattice, ball_frames, layer));
        if (auto bad = nonsense(sheets.back(), ball_frames)) return *bad;
    }

    std::optional<TrimRegion> region;
    if (!settings.within.control.empty()) region.emplace(Outline(settings.within));
    const auto counts = [&](const Vec2& uv) { return !region || region->inside(uv); };

    const auto thickness = [&](const Vec2& uv, const Vec3& at, const Vec3& n) {
        double t = -1e300;
        for (const BallSheet& sheet : sheets) t = std::max(t, sheet.exit(at, n, uv));
        return t;
    };
    const int start = featured ? 1 : 0;
    Sides sides;
    Level below = fit_side(
        carpet,
        [&](const Vec2& uv, const Vec3& at, const Vec3& n) { return Vec3(at - thickness(uv, at, n) * n); },
        start, settings, counts);
    sides.underside = std::move(below.side);
    sides.fit_error_mm = below.error;
    if (features) {
        Level above = fit_side(
            carpet,
            [&](const Vec2& uv, const Vec3& at, const Vec3& n) { return Vec3(at + features(uv) * n); }, start,
            settings, counts);
        sides.foot_side = std::move(above.side);
        sides.fit_error_mm = std::max(sides.fit_error_mm, above.error);
    } else {
        sides.foot_side = carpet;
    }
    // t' read back from the fitted underside: both say the same
    {
        const Lattice lattice = Lattice::over(sides.underside.u, sides.underside.v, 2);
        const LatticeFrames frames = sample_frames(carpet, lattice);
        const std::vector<Vec3> points = sample_points(sides.underside, lattice);
        std::vector<double> wall(lattice.size());
        for (std::size_t k = 0; k < wall.size(); ++k)
            wall[k] = (frames.points[k] - points[k]).dot(frames.normals[k]);
        sides.wall = GridFit(sides.underside.u, sides.underside.v, 2).fit(wall);
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
