#include "engine/design/wall_map.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::design {

namespace {

constexpr int samples_per_span = 16;
constexpr int most_newton_steps = 60;
/// Spacing at which slopes and breadths are looked for; blends are 0.5 mm or broader, usually 10 or more.
constexpr double look_mm = 1.0;
/// A region this much away from its value, at its most inner place, is worth a word.
constexpr double reach_mm = 0.05;

/// s(t) = 3t^2 - 2t^3 on [0,1].
double smoothstep(double t) {
    return t <= 0 ? 0 : t >= 1 ? 1 : t * t * (3 - 2 * t);
}
double smoothstep_slope(double t) {
    return t <= 0 || t >= 1 ? 0 : 6 * t * (1 - t);
}

std::size_t cells(double length) {
    return static_cast<std::size_t>(std::clamp(std::ceil(length / look_mm), 1.0, 2000.0));
}

}  // namespace

struct WallMap::Region {
    surface::PeriodicCurve curve;
    std::vector<Vec2> points;  ///< samples_per_span a span
    std::vector<Vec2>
        middles;  ///< of groups of samples_per_span samples, with `radii`: to pass over far spans
    std::vector<double> radii;
    Vec2 low, high;
    double orientation = 1;  ///< 1 counter-clockwise
    double wall_mm = 0, blend_mm = 1;

    Region(const WallRegion& region)
        : curve(surface::PeriodicCurve::through(region.outline)),
          wall_mm(region.wall_mm),
          blend_mm(region.blend_mm) {
        const std::size_t spans = curve.control.size();
        low = Vec2::Constant(std::numeric_limits<double>::max());
        high = -low;
        for (std::size_t i = 0; i < spans * samples_per_span; ++i) {
            points.push_back(curve.point(parameter(i)));
            low = low.cwiseMin(points.back());
            high = high.cwiseMax(points.back());
        }
        for (std::size_t span = 0; span < spans; ++span) {
            Vec2 middle = Vec2::Zero();
            for (std::size_t k = 0; k < samples_per_span; ++k) middle += points[span * samples_per_span + k];
            middle /= samples_per_span;
            double radius = 0;
            for (std::size_t k = 0; k < samples_per_span; ++k)
                radius = std::max(radius, (points[span * samples_per_span + k] - middle).norm());
            middles.push_back(middle);
            radii.push_back(radius);
        }
        orientation = curve.signed_area() < 0 ? -1 : 1;
    }

    double parameter(std::size_t sample) const { return static_cast<double>(sample) / samples_per_span; }

    struct Distance {
        double inside = 0;  ///< positive inside
        Vec2 gradient = Vec2::Zero();
    };
    Distance distance(const Vec2& p) const;
    double foot_point(const Vec2& p, std::size_t sample) const;
};

/// The parameter nearest to p about a sample: Newton on (c - p).c' = 0, kept between the two neighbours.
double WallMap::Region::foot_point(const Vec2& p, std::size_t sample) const {
    double s = parameter(sample), low_s = s - 1.0 / samples_per_span, high_s = s + 1.0 / samples_per_span;
    for (int step = 0; step < most_newton_steps; ++step) {
        const Vec2 away = curve.point(s) - p, tangent = curve.tangent(s);
        const double f = away.dot(tangent);
        (f > 0 ? high_s : low_s) = s;
        const double slope = tangent.squaredNorm() + away.dot(curve.second(s));
        double next = slope > 0 ? s - f / slope : 0.5 * (low_s + high_s);
        if (!(next > low_s && next < high_s)) next = 0.5 * (low_s + high_s);
        const double moved = std::abs(next - s) * tangent.norm();
        s = next;
        if (moved < tolerance::newton_step_mm) break;
    }
    return s;
}

WallMap::Region::Distance WallMap::Region::distance(const Vec2& p) const {
    // Spans that cannot hold the nearest point are passed over; each local minimum of the rest is refined.
    double bound = std::numeric_limits<double>::max();
    for (std::size_t span = 0; span < middles.size(); ++span)
        bound = std::min(bound, (middles[span] - p).norm() + radii[span]);
    const std::size_t n = points.size();
    double best = std::numeric_limits<double>::max();
    double at = 0;
    for (std::size_t span = 0; span < middles.size(); ++span) {
        const double reach =
            radii[span] * (1 + 2.0 / samples_per_span);  // the curve runs on to the next sample
        if ((middles[span] - p).norm() - reach > bound) continue;
        for (std::size_t i = span * samples_per_span; i < (span + 1) * samples_per_span; ++i) {
            const double here = (points[i] - p).squaredNorm();
            if (here > (points[(i + n - 1) % n] - p).squaredNorm() ||
                here > (points[(i + 1) % n] - p).squaredNorm())
                continue;
            const double s = foot_point(p, i);
            const double found = (curve.point(s) - p).norm();
            if (found < best) {
                best = found;
                at = s;
            }
        }
    }
    const Vec2 tangent = curve.tangent(at).normalized();
    const Vec2 inward = orientation * Vec2(-tangent.y(), tangent.x());
    const Vec2 from = p - curve.point(at);
    const double sign = from.dot(inward) < 0 ? -1 : 1;
    const Vec2 gradient = best > tolerance::newton_step_mm ? Vec2(sign * from / best) : inward;
    return {sign * best, gradient};
}

WallMap::WallMap(const Wall& wall, const DeviceLength& length) : base_mm_(wall.base_mm), length_(length) {
    std::vector<double> along, walls;
    for (const WallStation& station : wall.stations) {
        along.push_back(station.along);
        walls.push_back(station.wall_mm);
    }
    stations_ = surface::MonotoneCurve(std::move(along), std::move(walls));
    std::vector<const WallRegion*> order;
    for (const WallRegion& region : wall.regions)
        if (region.outline.size() >= 3) order.push_back(&region);
    std::stable_sort(order.begin(), order.end(),
                     [](const WallRegion* a, const WallRegion* b) { return a->priority < b->priority; });
    for (const WallRegion* region : order) regions_.emplace_back(*region);

    min_ = max_ = stations_.empty() ? base_mm_ : stations_.values().front();
    for (const double w : stations_.values()) {
        min_ = std::min(min_, w);
        max_ = std::max(max_, w);
    }
    for (const Region& region : regions_) {
        min_ = std::min(min_, region.wall_mm);
        max_ = std::max(max_, region.wall_mm);
    }
}

WallMap::~WallMap() = default;
WallMap::WallMap(const WallMap&) = default;
WallMap& WallMap::operator=(const WallMap&) = default;
WallMap::WallMap(WallMap&&) noexcept = default;
WallMap& WallMap::operator=(WallMap&&) noexcept = default;

double WallMap::at(double x, double y) const {
    return sample(x, y).wall_mm;
}

WallMap::Sample WallMap::sample(double x, double y) const {
    Sample sample{base_mm_, Vec2::Zero()};
    if (!stations_.empty()) {
        const double length = length_.distal_x_mm - length_.rear_x_mm;
        const surface::MonotoneCurve::At along = stations_.at((x - length_.rear_x_mm) / length);
        sample.wall_mm = along.value;
        sample.gradient.x() = along.slope / length;
    }
    const Vec2 p(x, y);
    for (const Region& region : regions_) {
        const double half = 0.5 * region.blend_mm;
        if ((p.array() < region.low.array() - half).any() || (p.array() > region.high.array() + half).any())
            continue;
        const Region::Distance d = region.distance(p);
        const double t = 0.5 + d.inside / region.blend_mm;
        const double weight = smoothstep(t);
        const Vec2 weight_gradient = smoothstep_slope(t) / region.blend_mm * d.gradient;
        sample.gradient =
            (1 - weight) * sample.gradient + (region.wall_mm - sample.wall_mm) * weight_gradient;
        sample.wall_mm += weight * (region.wall_mm - sample.wall_mm);
    }
    return sample;
}

WallMap::Slope WallMap::steepest(const Vec2& low, const Vec2& high) const {
    Slope steepest;
    const auto look = [&](const Vec2& p) {
        const double slope = sample(p.x(), p.y()).gradient.norm();
        if (slope > steepest.mm_per_mm) steepest = {slope, p};
    };
    const std::size_t nx = cells(high.x() - low.x()), ny = cells(high.y() - low.y());
    for (std::size_t i = 0; i <= nx; ++i)
        for (std::size_t j = 0; j <= ny; ++j)
            look(low + Vec2(static_cast<double>(i) / static_cast<double>(nx) * (high.x() - low.x()),
                            static_cast<double>(j) / static_cast<double>(ny) * (high.y() - low.y())));
    for (const Region& region : regions_)
        for (const Vec2& p : region.points)
            if ((p.array() >= low.array()).all() && (p.array() <= high.array()).all()) look(p);
    return steepest;
}

namespace {

Check wall_check(const char* id, const char* title) {
    Check check;
    check.id = id;
    check.title = title;
    return check;
}

/// "wall.base_mm is 9 mm, the region "arch" is 7 mm": those that `out_of_range` picks, the first ten by name.
template <class Pick>
std::string named(const std::vector<std::pair<std::string, double>>& walls, const Pick& out_of_range) {
    constexpr std::size_t most_named = 10;
    std::string list;
    std::size_t count = 0;
    for (const auto& [key, value] : walls)
        if (out_of_range(value) && ++count <= most_named)
            list += (list.empty() ? "" : ", ") + key + " is " + exact(value) + " mm";
    if (count > most_named) list += " and " + std::to_string(count - most_named) + " more";
    return list;
}

Check against_material(const Wall& wall, const Material& material) {
    Check check = wall_check("wall.material", "Wall asked for against the material");
    const double low = material.wall_min_mm.value, high = material.wall_max_mm.value;
    const auto walls = asked_walls(wall);
    const auto by_value = [](const auto& a, const auto& b) { return a.second < b.second; };
    const auto [least, most] = std::minmax_element(walls.begin(), walls.end(), by_value);
    check.unit = "mm";
    check.signable = false;
    check.figure = least->second;
    check.limit = low;
    check.message =
        "every wall lies within the " + exact(low) + " to " + exact(high) + " mm of " + material.name;
    if (least->second >= low && most->second <= high) return check;
    const std::string thin = named(walls, [&](double value) { return value < low; });
    const std::string thick = named(walls, [&](double value) { return value > high; });
    check.message = thin.empty() ? ""
                                 : thin + ", less than the " + exact(low) + " mm that " + material.name +
                                       " needs: thicken it or take another material";
    if (!thick.empty())
        check.message += (thin.empty() ? "" : "; ") + thick + ", more than the " + exact(high) +
                         " mm usual for " + material.name;
    check.verdict = thin.empty() ? Verdict::look : Verdict::stop;
    if (thin.empty()) {
        check.figure = most->second;
        check.limit = high;
    }
    return check;
}

/// Farthest that a place inside lies from the curve; sampled.
double breadth(const surface::Outline& outline, double* x, double* y) {
    Vec2 low = outline.points().front(), high = low;
    for (const Vec2& p : outline.points()) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    constexpr int steps = 32;
    double most = 0;
    for (int i = 1; i < steps; ++i)
        for (int j = 1; j < steps; ++j) {
            const Vec2 p = low + Vec2(i * (high.x() - low.x()) / steps, j * (high.y() - low.y()) / steps);
            if (!outline.inside(p)) continue;
            const double d = outline.distance(p);
            if (d > most) {
                most = d;
                *x = p.x();
                *y = p.y();
            }
        }
    return most;
}

Check of_regions(const Wall& wall) {
    Check check = wall_check("wall.regions", "Wall regions");
    check.message = wall.regions.empty() ? std::string("no regions")
                                         : std::to_string(wall.regions.size()) +
                                               " regions, each a simple curve that reaches its wall";
    for (const WallRegion& region : wall.regions) {
        if (region.outline.size() < 3) continue;
        const surface::PeriodicCurve curve = surface::PeriodicCurve::through(region.outline);
        const surface::Outline outline(curve);
        double x = 0, y = 0;
        const double inner = breadth(outline, &x, &y);
        if (outline.self_crossings() > 0 || !(inner > 0)) {
            check.verdict = Verdict::stop;
            check.signable = false;
            check.message = "the curve of the region \"" + region.name +
                            "\" crosses itself or encloses nothing: move "
                            "its points apart";
            check.where = Vec3(region.outline.front().x(), region.outline.front().y(), 0);
            return check;
        }
        const double reached = smoothstep(0.5 + inner / region.blend_mm);
        const double missing = (1 - reached) * std::abs(region.wall_mm - wall.base_mm);
        if (missing > reach_mm && check.verdict == Verdict::pass) {
            check.verdict = Verdict::look;
            check.figure = missing;
            check.unit = "mm";
            check.where = Vec3(x, y, 0);
            check.message = "the region \"" + region.name + "\" is too narrow for its blend of " +
                            exact(region.blend_mm) + " mm: at its middle " + rounded(missing, 2) +
                            " mm are missing to " + exact(region.wall_mm) + " mm";
        }
    }
    return check;
}

}  // namespace

std::vector<std::pair<std::string, double>> asked_walls(const Wall& wall) {
    std::vector<std::pair<std::string, double>> all;
    if (wall.stations.empty()) all.emplace_back("wall.base_mm", wall.base_mm);
    for (std::size_t i = 0; i < wall.stations.size(); ++i)
        all.emplace_back("wall.stations[" + std::to_string(i) + "].wall_mm", wall.stations[i].wall_mm);
    for (const WallRegion& region : wall.regions)
        all.emplace_back("the region \"" + region.name + "\"", region.wall_mm);
    return all;
}

std::vector<Check> check_wall(const Wall& wall, const Material& material) {
    return {against_material(wall, material), of_regions(wall)};
}

Check check_wall_slope(const WallMap& map, const Vec2& low, const Vec2& high) {
    Check check = wall_check("wall.slope", "Steepest change of wall");
    const WallMap::Slope slope = map.steepest(low, high);
    check.figure = slope.mm_per_mm;
    check.limit = tolerance::wall_slope_look;
    check.unit = "mm/mm";
    check.where = Vec3(slope.where.x(), slope.where.y(), 0);
    check.message = "the wall changes by at most " + rounded(slope.mm_per_mm, 3) + " mm per mm";
    if (slope.mm_per_mm > tolerance::wall_slope_look) {
        check.verdict = Verdict::look;
        check.message += ", more than " + exact(tolerance::wall_slope_look) +
                         ": an abrupt change of section is where shells crack; widen the blend";
    }
    return check;
}

}  // namespace archwright::design
