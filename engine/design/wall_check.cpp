// The wall asked for, against the material and against itself.
#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/wall_map.hpp"
#include "engine/design/wall_zone.hpp"

namespace archwright::design {

namespace {

/// A region this much away from its value, at its most inner place, is worth a word.
constexpr double reach_mm = 0.05;

/// Of the stations, or the base when there are none.
std::pair<double, double> range_along(const Wall& wall) {
    if (wall.stations.empty()) return {wall.base_mm, wall.base_mm};
    const auto [least, most] =
        std::minmax_element(wall.stations.begin(), wall.stations.end(),
                            [](const auto& a, const auto& b) { return a.wall_mm < b.wall_mm; });
    return {least->wall_mm, most->wall_mm};
}

struct NamedZone {
    std::string name;
    const WallZone* zone;
};

/// Those that are made, columns first.
std::vector<NamedZone> zones_of(const Wall& wall) {
    std::vector<NamedZone> all;
    if (wall.medial_column.on) all.push_back({"the medial column", &wall.medial_column});
    if (wall.lateral_column.on) all.push_back({"the lateral column", &wall.lateral_column});
    for (const WallRegion& region : wall.regions)
        all.push_back({"the region \"" + region.name + "\"", &region});
    return all;
}

/// The wall a zone wants: where it scales, of the thinnest base or station.
double wanted_mm(const Wall& wall, const WallZone& zone, const WallLimits& limits) {
    if (zone.kind == WallZone::Kind::wall) return zone.wall_mm;
    if (zone.kind == WallZone::Kind::scale) return zone.scale * range_along(wall).first;
    return std::clamp(wall_of_rigidity(wall.base_mm, zone.rigidity), limits.low_mm, limits.high_mm);
}

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
    const auto walls = asked_walls(wall, WallLimits::of(material));
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

Check of_regions(const Wall& wall, const WallLimits& limits) {
    Check check = wall_check("wall.regions", "Wall regions");
    check.message = wall.regions.empty()
                        ? std::string("no regions")
                        : std::to_string(wall.regions.size()) +
                              (wall.regions.size() == 1 ? " region, a" : " regions, each a") +
                              " simple curve that reaches its wall";
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
        const double reached = wall_step(0.5 + inner / region.blend_mm);
        const double wanted = wanted_mm(wall, region, limits);
        // of what lies below it, the base or the stations, the worst
        const auto [thin, thick] = range_along(wall);
        const double missing =
            (1 - reached) * (region.kind == WallZone::Kind::scale
                                 ? std::abs(region.scale - 1.0) * thick
                                 : std::max(std::abs(wanted - thin), std::abs(wanted - thick)));
        if (missing > reach_mm && check.verdict == Verdict::pass) {
            check.verdict = Verdict::look;
            check.figure = missing;
            check.unit = "mm";
            check.where = Vec3(x, y, 0);
            check.message = "the region \"" + region.name + "\" is too narrow for its blend of " +
                            exact(region.blend_mm) + " mm: at its middle up to " + rounded(missing, 2) +
                            " mm are missing to " +
                            (region.kind == WallZone::Kind::wall ? exact(wanted) : rounded(wanted, 2)) +
                            " mm";
        }
    }
    return check;
}

std::string times(double value) {
    return rounded(value, 2) + " x";
}

/// A strip between two places, of some breadth.
Check of_columns(const Wall& wall) {
    Check check = wall_check("wall.columns", "Columns of the wall");
    check.message = "each lies between two places along the device and is broader than half its blend";
    for (const auto& [column, name] :
         {std::pair{&wall.medial_column, "medial"}, std::pair{&wall.lateral_column, "lateral"}}) {
        if (!column->on) continue;
        if (!(column->from < column->to)) {
            check.verdict = Verdict::stop;
            check.signable = false;
            check.message = std::string("the ") + name + " column begins at " + exact(column->from) +
                            " and ends at " + exact(column->to) +
                            " of the length, so nothing is left of it: set wall." + name +
                            "_column.from below its to, or switch it off";
            return check;
        }
        // along the device it has the length of its stretch, not known before the plan is; a short one is
        // told by the least length a device may have
        constexpr double least_device_mm = 100.0;
        const double length = (column->to - column->from) * least_device_mm;
        if (length < column->blend_mm && check.verdict == Verdict::pass) {
            check.verdict = Verdict::look;
            check.figure = length;
            check.limit = column->blend_mm;
            check.unit = "mm";
            check.message = std::string("the ") + name + " column is some " + rounded(length, 0) +
                            " mm long on a small device and blended over " + exact(column->blend_mm) +
                            " mm: nowhere may it reach its value. Lengthen it or narrow the blend";
        }
        if (column->width_mm < 0.5 * column->blend_mm && check.verdict == Verdict::pass) {
            check.verdict = Verdict::look;
            check.figure = column->width_mm;
            check.limit = 0.5 * column->blend_mm;
            check.unit = "mm";
            check.message = std::string("the ") + name + " column is " + exact(column->width_mm) +
                            " mm wide and blended over " + exact(column->blend_mm) +
                            " mm: not even at the border does it reach its value. Widen it or narrow "
                            "the blend";
        }
    }
    return check;
}

/// Targets of rigidity against what the material's walls can give.
Check of_rigidities(const Wall& wall, const Material& material) {
    Check check = wall_check("wall.rigidity", "Rigidity asked for against the material");
    const WallLimits limits = WallLimits::of(material);
    std::string reached, missed;
    for (const auto& [name, zone] : zones_of(wall)) {
        if (zone->kind != WallZone::Kind::rigidity) continue;
        const double needs = wall_of_rigidity(wall.base_mm, zone->rigidity);
        const double gets = std::clamp(needs, limits.low_mm, limits.high_mm);
        if (gets == needs) {
            reached += (reached.empty() ? "" : ", ") + name + " " + times(zone->rigidity) + " with " +
                       rounded(needs, 2) + " mm";
            continue;
        }
        if (missed.empty()) check.figure = needs, check.limit = gets;
        missed += (missed.empty() ? "" : "; ") + name + " asks for " + times(zone->rigidity) +
                  " the base's rigidity, which needs " + rounded(needs, 2) + " mm; " + material.name +
                  (needs < gets ? " begins at " : " ends at ") + exact(gets) + " mm, so it gets " +
                  times(rigidity_of_wall(wall.base_mm, gets));
    }
    check.message = missed.empty() ? "each can be reached: " + reached : missed;
    if (missed.empty()) return check;
    check.verdict = Verdict::look;
    check.unit = "mm";
    return check;
}

}  // namespace

std::vector<std::pair<std::string, double>> asked_walls(const Wall& wall, const WallLimits& limits) {
    std::vector<std::pair<std::string, double>> all;
    if (wall.stations.empty()) all.emplace_back("wall.base_mm", wall.base_mm);
    for (std::size_t i = 0; i < wall.stations.size(); ++i)
        all.emplace_back("wall.stations[" + std::to_string(i) + "].wall_mm", wall.stations[i].wall_mm);
    for (const auto& [name, zone] : zones_of(wall))
        if (zone->kind != WallZone::Kind::scale) all.emplace_back(name, wanted_mm(wall, *zone, limits));
    return all;
}

std::vector<std::pair<std::string, double>> scaled_walls(const Wall& wall) {
    std::vector<std::pair<std::string, double>> all;
    for (const auto& [name, zone] : zones_of(wall))
        if (zone->kind == WallZone::Kind::scale) all.emplace_back(name, wanted_mm(wall, *zone, {}));
    return all;
}

std::vector<Check> check_wall(const Wall& wall, const Material& material) {
    std::vector<Check> checks{against_material(wall, material), of_regions(wall, WallLimits::of(material))};
    const auto zones = zones_of(wall);
    if (wall.medial_column.on || wall.lateral_column.on) checks.push_back(of_columns(wall));
    if (std::any_of(zones.begin(), zones.end(),
                    [](const NamedZone& z) { return z.zone->kind == WallZone::Kind::rigidity; }))
        checks.push_back(of_rigidities(wall, material));
    return checks;
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

/// What is asked is exact; only the arithmetic of scales is not.
constexpr double scale_rounding_mm = 1e-6;

std::optional<Check> check_scaled_wall(const Wall& wall, const WallMap& map, const Material& material) {
    if (scaled_walls(wall).empty()) return std::nullopt;
    const auto reached = map.reached();
    if (!reached) return std::nullopt;
    Check check = wall_check("wall.scaled", "Wall under scales against the material");
    const double low = material.wall_min_mm.value, high = material.wall_max_mm.value;
    check.unit = "mm";
    check.signable = false;
    check.figure = reached->least_mm;
    check.limit = low;
    check.where = Vec3(reached->least_at.x(), reached->least_at.y(), 0);
    check.message = "with its scales the wall asked for runs from " + rounded(reached->least_mm, 2) + " to " +
                    rounded(reached->greatest_mm, 2) + " mm";
    if (reached->least_mm < low - scale_rounding_mm) {
        check.verdict = Verdict::stop;
        check.message += ", less than the " + exact(low) + " mm that " + material.name +
                         " needs: raise a scale, or take another material";
    } else if (reached->greatest_mm > high + tolerance::wall_mm) {
        check.verdict = Verdict::look;
        check.figure = reached->greatest_mm;
        check.limit = high;
        check.where = Vec3(reached->greatest_at.x(), reached->greatest_at.y(), 0);
        check.message += ", more than the " + exact(high) + " mm usual for " + material.name;
    }
    return check;
}

}  // namespace archwright::design
