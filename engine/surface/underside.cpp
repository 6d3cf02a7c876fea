#include "engine/surface/underside.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/grid_fit.hpp"
#include "engine/surface/node_marks.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::surface {

namespace {

// Spacing of the ball lattice, mm: without features a blend of the wall is the finest thing to see; with them
// a flank is. The patches between the nodes are of second order.
constexpr double ball_spacing_mm = 1.25;
constexpr double feature_ball_spacing_mm = 0.85;
// A wall past this is a mistake in its map, and would make the search slow.
constexpr double thickest_wall_mm = 30.0;
// Cosine between underside and carpet below which a flank is called folded.
constexpr double least_cosine = 0.05;
// Residuals below this share of the fit tolerance are left as they are.
constexpr double negligible_share = 0.2;
// Rough samples are gathered by patches of so many spans; a box reaches so many (finer) spans beyond them:
// the least-squares functions fall to a quarter from span to span.
constexpr int patch_spans = 6, margin_spans = 8;
// Nothing beyond the trim line is made but what stands on the line itself: residuals further out are left.
constexpr double beside_trim_mm = 1.5;

Fault underside_fault(std::string message, const Vec3& where) {
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

// Where folds and residuals count, and where a residual is made smaller: inside the trim and just beside it.
class Within {
  public:
    explicit Within(const PeriodicCurve& trim) {
        if (!trim.control.empty()) region_.emplace(Outline(trim));
    }
    bool counts(const Vec2& uv) const { return !region_ || region_->inside(uv); }
    bool near(const Vec2& uv) const {
        return counts(uv) || region_->distance(uv, beside_trim_mm) < beside_trim_mm;
    }

  private:
    std::optional<TrimRegion> region_;
};

std::optional<Fault> nonsense(const BallSheet& sheet, const LatticeFrames& carpet) {
    for (std::size_t k = 0; k < carpet.points.size(); ++k) {
        const double radius = sheet.radii()[k];
        if (!(radius > 0.0 && radius <= thickest_wall_mm))
            return underside_fault("The wall map gives " + exact(radius) + " mm at " +
                                       place(carpet.points[k]) + "; a wall lies above 0 and up to " +
                                       rounded(thickest_wall_mm, 0) + " mm.",
                                   carpet.points[k]);
        if (!sheet.centres()[k].allFinite())
            return underside_fault("A feature has no height at " + place(carpet.points[k]) + ".",
                                   carpet.points[k]);
    }
    return std::nullopt;
}

// Where the offset by t along -n would turn over: t times the curvature away from the normal reaches the fold
// limit.
std::optional<Fault> fold(const SplineSurface& carpet, const SplineField& wall, const Within& where) {
    const Lattice lattice = Lattice::over(carpet.u, carpet.v, 2);
    const auto second = sample_second(carpet, lattice);
    std::vector<double> folding(lattice.size(), 0.0);
    parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Curvatures c = curvatures_of(second[k]);
            const double t = wall.value(lattice.uv(k));
            folding[k] = where.counts(lattice.uv(k)) ? -c.k2 * t : 0.0;
        }
    });
    const auto worst =
        static_cast<std::size_t>(std::max_element(folding.begin(), folding.end()) - folding.begin());
    if (!(folding[worst] >= tolerance::fold_limit)) return std::nullopt;
    const double t = wall.value(lattice.uv(worst));
    return underside_fault("The underside would fold at " + place(second[worst].s) + ": a wall of " +
                               rounded(t, 1) + " mm round a radius of " + rounded(t / folding[worst], 1) +
                               " mm. Thin the wall there, or smooth the cast.",
                           second[worst].s);
}

std::optional<Fault> turned_over(const Sides& sides, const SplineSurface& carpet, const Within& where) {
    const Lattice lattice = Lattice::over(carpet.u, carpet.v, 4);
    const LatticeFrames below = sample_frames(sides.underside, lattice),
                        above = sample_frames(carpet, lattice);
    std::vector<double> cosine(lattice.size(), 1.0);
    parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            cosine[k] = below.normals[k].dot(above.normals[k]);
            if (!(cosine[k] >= least_cosine) && !where.counts(lattice.uv(k))) cosine[k] = 1.0;
        }
    });
    const auto worst =
        static_cast<std::size_t>(std::min_element(cosine.begin(), cosine.end()) - cosine.begin());
    if (cosine[worst] >= least_cosine) return std::nullopt;
    return underside_fault(
        "The underside turns over at " + place(above.points[worst]) +
            ". A relief is too deep and steep for its wall there: make it shallower or wider, or thin "
            "its wall.",
        above.points[worst]);
}

// One side, its height over the carpet along the normal, and where its residual is not negligible yet.
struct Level {
    SplineSurface side;
    SplineField height;
    double error = 0.0;       // greatest residual inside the trim, mm
    Lattice lattice;          // of the samples it was fitted to, 2 to a span
    std::vector<char> rough;  // per sample
};

// The side's height over the carpet at a sample, mm towards the foot.
using Height = std::function<double(const Vec2& uv, const Vec3& s, const Vec3& n)>;

// Knot spans [u0, u1) x [v0, v1).
struct Box {
    int u0, v0, u1, v1;

    bool meets(const Box& o) const { return u0 < o.u1 && o.u0 < u1 && v0 < o.v1 && o.v0 < v1; }
    Box with(const Box& o) const {
        return {std::min(u0, o.u0), std::min(v0, o.v0), std::max(u1, o.u1), std::max(v1, o.v1)};
    }
};

// Boxes of the next level's spans that cover the rough samples with a margin, apart from one another: first
// one to each patch of spans that holds any, then all that meet are joined.
std::vector<Box> rough_boxes(const Level& level) {
    const int spans_u = level.side.u.spans(), spans_v = level.side.v.spans();
    std::vector<Box> boxes;
    for (int a = 0; a < spans_u; a += patch_spans)
        for (int b = 0; b < spans_v; b += patch_spans) {
            const int a1 = std::min(a + patch_spans, spans_u), b1 = std::min(b + patch_spans, spans_v);
            bool any = false;
            for (int i = 2 * a; i <= 2 * a1 && !any; ++i)
                for (int j = 2 * b; j <= 2 * b1 && !any; ++j)
                    any = level.rough[level.lattice.index(i, j)] != 0;
            if (!any) continue;
            boxes.push_back({std::max(0, 2 * a - margin_spans), std::max(0, 2 * b - margin_spans),
                             std::min(2 * spans_u, 2 * a1 + margin_spans),
                             std::min(2 * spans_v, 2 * b1 + margin_spans)});
        }
    for (bool joined = true; joined;) {
        joined = false;
        for (std::size_t i = 0; i < boxes.size(); ++i)
            for (std::size_t j = i + 1; j < boxes.size();)
                if (boxes[i].meets(boxes[j])) {
                    boxes[i] = boxes[i].with(boxes[j]);
                    boxes.erase(boxes.begin() + static_cast<std::ptrdiff_t>(j));
                    joined = true;
                } else {
                    ++j;
                }
    }
    return boxes;
}

// Adds to the side the least-squares fit of what is missing within one box. The box's own clamped basis
// agrees with the side's but for the three functions at each inner end; there the residual is negligible and
// theirs are left out.
void correct(Level& level, const Box& box, const SplineSurface& carpet, const Height& height,
             double negligible, const Within& where) {
    SplineSurface& side = level.side;
    const double hu = side.u.span(), hv = side.v.span();
    const Basis u{box.u1 - box.u0 + 3, hu * (box.u1 - box.u0)},
        v{box.v1 - box.v0 + 3, hv * (box.v1 - box.v0)};
    const Lattice local = Lattice::over(u, v, 2);
    std::vector<Vec3> missing(local.size());
    std::vector<double> missing_height(local.size());
    const auto global = [&](int i, int j) { return level.lattice.index(2 * box.u0 + i, 2 * box.v0 + j); };
    parallel_for(local.size(), 128, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2 uv =
                level.lattice.uv(global(static_cast<int>(k) / local.nv, static_cast<int>(k) % local.nv));
            const SurfacePoint at = carpet.first(uv);
            const Vec3 n = at.normal();
            const double h = height(uv, at.s, n);
            missing[k] = at.s + h * n - side.point(uv);
            missing_height[k] = h - level.height.value(uv);
        }
    });
    const GridFit grid(u, v, 2);
    SplineSurface add = grid.fit(missing);
    SplineField add_height = grid.fit(missing_height);
    const auto kept = [](int i, int count, bool low_end, bool high_end) {
        return (i >= 3 || low_end) && (i < count - 3 || high_end);
    };
    for (int i = 0; i < u.count; ++i)
        for (int j = 0; j < v.count; ++j) {
            const std::size_t k = static_cast<std::size_t>(i) * v.count + j;
            if (!kept(i, u.count, box.u0 == 0, box.u1 == side.u.spans()) ||
                !kept(j, v.count, box.v0 == 0, box.v1 == side.v.spans())) {
                add.control[k].setZero();
                add_height.control[k] = 0.0;
                continue;
            }
            const std::size_t to = static_cast<std::size_t>(box.u0 + i) * side.v.count + box.v0 + j;
            side.control[to] += add.control[k];
            level.height.control[to] += add_height.control[k];
        }
    const std::vector<Vec3> added = sample_points(add, local);
    for (int i = 0; i < local.nu; ++i)
        for (int j = 0; j < local.nv; ++j) {
            const double error = (missing[local.index(i, j)] - added[local.index(i, j)]).norm();
            if (!(error > negligible)) continue;
            const Vec2 uv = level.lattice.uv(global(i, j));
            if (!where.near(uv)) continue;
            level.rough[global(i, j)] = 1;
            if (error > level.error && where.counts(uv)) level.error = error;
        }
}

// One fit of the whole over coarse knots; then knots are halved and what is missing is added where the
// residual is not negligible, until it is small. So features cost as much as the part of the shell they
// cover.
Level fit_side(const SplineSurface& carpet, const Height& height, int start,
               const UndersideSettings& settings, const Within& where) {
    const double negligible = negligible_share * settings.fit_mm;
    Level level;
    level.side = carpet;
    level.height = {carpet.u, carpet.v, std::vector<double>(carpet.control.size(), 0.0)};
    const auto next = [&] {
        level.side = refine(level.side);
        level.height = refine(level.height);
    };
    const auto fresh = [&] {
        level.lattice = Lattice::over(level.side.u, level.side.v, 2);
        level.rough.assign(level.lattice.size(), 0);
        level.error = 0.0;
    };
    int halvings = 0;
    for (; halvings < std::min(start, settings.halvings); ++halvings) next();
    fresh();
    correct(level, {0, 0, level.side.u.spans(), level.side.v.spans()}, carpet, height, negligible, where);
    while (level.error > settings.fit_mm && halvings < settings.halvings) {
        const std::vector<Box> boxes = rough_boxes(level);
        const double before = level.error;
        next();
        ++halvings;
        fresh();
        for (const Box& box : boxes) correct(level, box, carpet, height, negligible, where);
        // a smooth side gains eight times and more by a halving, a crease two
        if (level.error <= settings.crease_mm && level.error > before / 4.0) break;
    }
    return level;
}

}  // namespace

Lattice feature_ball_lattice(const SplineSurface& carpet) {
    return ball_lattice_over(carpet, feature_ball_spacing_mm);
}

Outcome<Sides> roll_underside(const SplineSurface& carpet, const std::vector<BallLayer>& layers,
                              const UndersideSettings& settings) {
    if (layers.empty()) return Fault{FaultKind::internal, "underside", "No wall map was given.", {}};
    const FeatureFunction& features = layers.front().height;
    bool featured = false;
    for (const BallLayer& layer : layers) featured = featured || layer.height;

    const Lattice ball_lattice =
        featured ? feature_ball_lattice(carpet) : ball_lattice_over(carpet, ball_spacing_mm);
    const LatticeFrames ball_frames = sample_frames(carpet, ball_lattice);
    std::vector<BallSheet> sheets;
    for (const BallLayer& layer : layers) {
        sheets.push_back(sample_layer(ball_lattice, ball_frames, layer));
        if (auto bad = nonsense(sheets.back(), ball_frames)) return *bad;
    }

    // where a further sheet has the first one's balls it has nothing to add: most of a shell with features
    std::vector<NodeMarks> apart(sheets.size(), NodeMarks(ball_lattice));
    for (std::size_t k = 1; k < sheets.size(); ++k) {
        std::vector<char> differs(ball_lattice.size());
        for (std::size_t i = 0; i < differs.size(); ++i)
            differs[i] = sheets[k].radii()[i] != sheets[0].radii()[i] ||
                         sheets[k].centres()[i] != sheets[0].centres()[i];
        apart[k].set(differs);
    }

    const Within where(settings.within);
    const int start = featured ? 1 : 0;
    Sides sides;
    Level below = fit_side(
        carpet,
        [&](const Vec2& uv, const Vec3& at, const Vec3& n) {
            double t = sheets[0].exit(at, n, uv);
            for (std::size_t k = 1; k < sheets.size(); ++k)
                if (apart[k].any(sheets[k].window(uv))) t = sheets[k].exit(at, n, uv, t);
            return -t;
        },
        start, settings, where);
    sides.underside = std::move(below.side);
    sides.wall = std::move(below.height);
    for (double& t : sides.wall.control) t = -t;
    sides.fit_error_mm = below.error;
    sides.foot_side = carpet;
    if (features) {
        Level above = fit_side(
            carpet, [&](const Vec2& uv, const Vec3&, const Vec3&) { return features(uv); }, start, settings,
            where);
        sides.foot_side = std::move(above.side);
        sides.fit_error_mm = std::max(sides.fit_error_mm, above.error);
    }
    if (auto bad = fold(carpet, sides.wall, where)) return *bad;
    if (featured)
        if (auto bad = turned_over(sides, carpet, where)) return *bad;
    return sides;
}

Outcome<Sides> roll_underside(const SplineSurface& carpet, const WallFunction& wall,
                              const FeatureFunction& features, const UndersideSettings& settings) {
    return roll_underside(carpet, std::vector<BallLayer>{{features, wall}}, settings);
}

}  // namespace archwright::surface
