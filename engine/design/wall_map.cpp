#include "engine/design/wall_map.hpp"

#include <algorithm>
#include <cmath>
#include <variant>

#include "engine/design/wall_zone.hpp"

namespace archwright::design {

namespace {

/// Spacing at which slopes and walls are looked for; blends are 0.5 mm or broader, usually 10 or more.
constexpr double wall_look_mm = 1.0;

std::size_t wall_cells(double length) {
    return static_cast<std::size_t>(std::clamp(std::ceil(length / wall_look_mm), 1.0, 2000.0));
}

double part_of(std::size_t i, std::size_t of) {
    return static_cast<double>(i) / static_cast<double>(of);
}

}  // namespace

surface::MonotoneCurve DevicePlan::border(const std::vector<double>& y_mm) const {
    std::vector<double> places;
    for (std::size_t i = 0; i < y_mm.size(); ++i)
        places.push_back(rear_x_mm + (distal_x_mm - rear_x_mm) * (static_cast<double>(i) + 0.5) /
                                         static_cast<double>(y_mm.size()));
    return {std::move(places), y_mm};
}

double wall_of_rigidity(double base_mm, double rigidity) {
    return base_mm * std::cbrt(rigidity);
}
double rigidity_of_wall(double base_mm, double wall_mm) {
    const double times = wall_mm / base_mm;
    return times * times * times;
}

struct WallMap::Zone {
    bool scales = false;
    double value = 0;  ///< mm, or the scale
    int priority = 0;
    std::variant<RegionReach, ColumnReach> reach;

    Zone(const WallZone& zone, double base_mm, const WallLimits& limits,
         std::variant<RegionReach, ColumnReach> where)
        : scales(zone.kind == WallZone::Kind::scale), priority(zone.priority), reach(std::move(where)) {
        value = scales ? zone.scale
                : zone.kind == WallZone::Kind::wall
                    ? zone.wall_mm
                    : std::clamp(wall_of_rigidity(base_mm, zone.rigidity), limits.low_mm, limits.high_mm);
    }
    ZoneWeight weight(const Vec2& p) const {
        return std::visit([&](const auto& where) { return where.at(p); }, reach);
    }
    std::vector<Vec2> edge(double low_x, double high_x) const {
        if (const auto* column = std::get_if<ColumnReach>(&reach))
            return column->edge(low_x, high_x, wall_look_mm);
        return std::get<RegionReach>(reach).points();
    }
};

WallMap::WallMap(const Wall& wall, const DevicePlan& plan, const WallLimits& limits)
    : base_mm_(wall.base_mm),
      plan_(plan),
      medial_(plan.border(plan.medial_y_mm)),
      lateral_(plan.border(plan.lateral_y_mm)) {
    std::vector<double> along, walls;
    for (const WallStation& station : wall.stations) {
        along.push_back(station.along);
        walls.push_back(station.wall_mm);
    }
    stations_ = surface::MonotoneCurve(std::move(along), std::move(walls));

    const double length = plan.distal_x_mm - plan.rear_x_mm;
    constexpr double nowhere = 1e9;  // mm; no device reaches so far
    const auto add_column = [&](const WallColumn& column, const surface::MonotoneCurve& border, double sign) {
        if (!column.on || border.empty() || !(column.from < column.to)) return;
        const double from = column.from > 0 ? plan.rear_x_mm + column.from * length : -nowhere;
        const double to = column.to < 1 ? plan.rear_x_mm + column.to * length : nowhere;
        zones_.emplace_back(column, base_mm_, limits, ColumnReach(column, border, sign, from, to));
    };
    add_column(wall.medial_column, medial_, 1);
    add_column(wall.lateral_column, lateral_, -1);
    for (const WallRegion& region : wall.regions)
        if (region.outline.size() >= 3) zones_.emplace_back(region, base_mm_, limits, RegionReach(region));
    std::stable_sort(zones_.begin(), zones_.end(),
                     [](const Zone& a, const Zone& b) { return a.priority < b.priority; });

    min_ = max_ = stations_.empty() ? base_mm_ : stations_.values().front();
    for (const double w : stations_.values()) {
        min_ = std::min(min_, w);
        max_ = std::max(max_, w);
    }
    for (const Zone& zone : zones_) {
        min_ = std::min(min_, zone.scales ? std::max(min_ * zone.value, least_wall_mm) : zone.value);
        max_ = std::max(max_, zone.scales ? std::min(max_ * zone.value, greatest_wall_mm) : zone.value);
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
        const surface::MonotoneCurve::At along = stations_.at(plan_.along(x));
        sample.wall_mm = along.value;
        sample.gradient.x() = along.slope / (plan_.distal_x_mm - plan_.rear_x_mm);
    }
    for (const Zone& zone : zones_) {
        const ZoneWeight weight = zone.weight({x, y});
        if (weight.value == 0) continue;
        if (zone.scales) {
            const double times = 1 + weight.value * (zone.value - 1);
            sample.gradient = times * sample.gradient + sample.wall_mm * (zone.value - 1) * weight.gradient;
            sample.wall_mm *= times;
            if (sample.wall_mm < least_wall_mm || sample.wall_mm > greatest_wall_mm)
                sample = {std::clamp(sample.wall_mm, least_wall_mm, greatest_wall_mm), Vec2::Zero()};
        } else {
            sample.gradient =
                (1 - weight.value) * sample.gradient + (zone.value - sample.wall_mm) * weight.gradient;
            sample.wall_mm += weight.value * (zone.value - sample.wall_mm);
        }
    }
    return sample;
}

std::pair<double, double> WallMap::asked_range() const {
    if (std::any_of(zones_.begin(), zones_.end(), [](const Zone& zone) { return zone.scales; }))
        if (const auto found = reached()) return {found->least_mm, found->greatest_mm};
    return {min_, max_};
}

WallMap::Slope WallMap::steepest(const Vec2& low, const Vec2& high) const {
    Slope steepest;
    const auto look = [&](const Vec2& p) {
        const double slope = sample(p.x(), p.y()).gradient.norm();
        if (slope > steepest.mm_per_mm) steepest = {slope, p};
    };
    const std::size_t nx = wall_cells(high.x() - low.x()), ny = wall_cells(high.y() - low.y());
    for (std::size_t i = 0; i <= nx; ++i)
        for (std::size_t j = 0; j <= ny; ++j)
            look(low + Vec2(part_of(i, nx) * (high.x() - low.x()), part_of(j, ny) * (high.y() - low.y())));
    for (const Zone& zone : zones_)
        for (const Vec2& p : zone.edge(low.x(), high.x()))
            if ((p.array() >= low.array()).all() && (p.array() <= high.array()).all()) look(p);
    return steepest;
}

std::optional<WallMap::Reached> WallMap::reached() const {
    if (medial_.empty() || lateral_.empty()) return std::nullopt;
    Reached found{std::numeric_limits<double>::max(), 0};
    const std::size_t nx = wall_cells(plan_.distal_x_mm - plan_.rear_x_mm);
    for (std::size_t i = 0; i <= nx; ++i) {
        const double x = plan_.rear_x_mm + part_of(i, nx) * (plan_.distal_x_mm - plan_.rear_x_mm);
        const double low = lateral_.at(x).value, high = medial_.at(x).value;
        const std::size_t ny = wall_cells(high - low);
        for (std::size_t j = 0; j <= ny; ++j) {
            const Vec2 p(x, low + part_of(j, ny) * (high - low));
            const double wall = at(p.x(), p.y());
            if (wall < found.least_mm) found.least_mm = wall, found.least_at = p;
            if (wall > found.greatest_mm) found.greatest_mm = wall, found.greatest_at = p;
        }
    }
    return found;
}

}  // namespace archwright::design
