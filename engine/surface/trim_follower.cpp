#include "engine/surface/trim_follower.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"

namespace archwright::surface {

namespace {

// A place of the surface is wall when its normal leans this far, or when it is nearly the widest place of its
// section: without it a height would be reached under the roof of the arch (up to 41 mm early on 12 of 13
// real feet).
constexpr double wall_normal_z = 0.77;
constexpr double wall_share = 0.93;
// Widths higher up depend on how far the patch happens to reach.
constexpr double measured_above_rule_mm = 6.0;
constexpr double walked_above_rule_mm = 9.0;
constexpr double near_mm = 6.0;
constexpr double heel_radius_mm = 28.0;

// A landmark at the very end of the surface: there is no step to walk from it.
Fault no_room(const Vec2& plan) {
    return trim_fault(
        "The surface ends at " + rounded(plan.x(), 0) + ", " + rounded(plan.y(), 0) +
            " mm, where the trim line is looked for from: check the landmarks, or scan further.",
        Vec3(plan.x(), plan.y(), 0.0));
}

}  // namespace

Fault trim_fault(std::string message, const Vec3& where) {
    return {FaultKind::check, "trim", std::move(message), where};
}

TrimFollower::TrimFollower(const SplineSurface& surface, const TrimRule& rule)
    : surface_(surface), rule_(rule), index_(surface), shift_(rule) {
    heel_ = rule.heel_centre.head<2>();
}

std::optional<Fault> TrimFollower::find_datum() {
    const auto lowest = index_.lowest(heel_, heel_radius_mm);
    if (!lowest || !index_.nearest(heel_, near_mm))
        return trim_fault("There is no sole under the heel centre: set the landmark anew, or check the cast.",
                          rule_.heel_centre);
    datum_ = rule_.cup_datum_z ? *rule_.cup_datum_z : lowest_near(*lowest);
    return std::nullopt;
}

// A section across the axis at x, walked to both sides.
std::optional<Fault> TrimFollower::section(double x, bool medial, TrimStation& station) {
    const Vec2 middle(x, axis_y(rule_, x));
    const auto start = index_.nearest(middle, near_mm);
    if (!start)
        return trim_fault("There is no sole in the section at x " + rounded(x, 0) + " mm.",
                          Vec3(x, middle.y(), 0.0));
    const PlanLine line = PlanLine::straight(middle, Vec2::UnitY());
    station.station = station_of_x(rule_, x, medial);
    station.medial = medial;
    station.kind = medial ? "medial" : "lateral";
    const double side = medial ? 1.0 : -1.0;
    const double height = rule_height(rule_, station.station, medial);
    const double share = cup_share(station.station);
    const double wide_enough = share * least_trim_reach_mm + (1.0 - share) * least_reach(rule_, x, medial);
    double low = 1e300;
    const auto go = [&](double direction, double top, double past) {
        WalkRule walk_rule{middle, Vec2(0.0, direction), 0.5, 150.0, {}};
        walk_rule.stop = [&low, top, past](const WalkPoint& at) {
            low = std::min(low, at.p.z());
            return at.p.z() - low > top && at.reach > past;
        };
        return walk(surface_, line, *start, walk_rule);
    };
    go(-side, height + measured_above_rule_mm, 0.0);
    const double top = height + walked_above_rule_mm + std::abs(extra(station)) + std::abs(low - datum_);
    Walk outward = go(side, top, wide_enough);
    // The roof of an arch may stand above a low border: then the way out leads on under it. Where the
    // surface is wall from there on it has been walked far enough.
    const auto high = std::find_if(outward.points.begin(), outward.points.end(),
                                   [&](const WalkPoint& at) { return at.p.z() - low > top; });
    const bool roofed =
        rule_.out_under_roof && std::any_of(high, outward.points.end(), [&](const WalkPoint& at) {
            return at.n.z() > wall_normal_z && at.reach < wide_enough;
        });
    if (!roofed && high != outward.points.end()) outward.points.erase(high + 1, outward.points.end());
    if (outward.points.empty()) return no_room(middle);
    lows_.push_back({x, low});
    stop_at(outward, line, share * datum_ + (1.0 - share) * low, height, wide_enough, share, station);
    return std::nullopt;
}

// A ray of the fan round the heel; the angle is counted from straight back, positive to medial.
std::optional<Fault> TrimFollower::ray(double angle, TrimStation& station) {
    const auto start = index_.nearest(heel_, near_mm);
    const Vec2 outward(-std::cos(angle), std::sin(angle));
    const PlanLine line = PlanLine::straight(heel_, outward);
    station.station = heel_station * std::abs(angle) / (0.5 * std::numbers::pi);
    station.medial = angle > 0.0;
    station.kind = "heel";
    const double height = rule_height(rule_, station.station, station.medial);
    const double top = datum_ + height + walked_above_rule_mm + std::abs(extra(station));
    const WalkRule walk_rule{heel_, outward, 0.5, 150.0,
                             [top](const WalkPoint& at) { return at.p.z() > top; }};
    const Walk path = walk(surface_, line, *start, walk_rule);
    if (path.points.empty()) return no_room(heel_);
    stop_at(path, line, datum_, height, least_trim_reach_mm, 1.0, station);
    return std::nullopt;
}

// The distal edge from beyond the lateral border to beyond the medial one.
Outcome<std::vector<Vec2>> TrimFollower::distal() const {
    const PlanLine line{[this](const Vec2& xy, Vec2& gradient) {
        gradient = Vec2(1.0, -distal_edge_slope(rule_, xy.y()));
        return xy.x() - distal_edge_x(rule_, xy.y());
    }};
    const double y = 0.5 * (rule_.first_head.y() + rule_.fifth_head.y());
    const Vec2 middle(distal_edge_x(rule_, y), y);
    const auto start = index_.nearest(middle, near_mm);
    if (!start)
        return trim_fault("There is no sole under the middle of the distal edge.",
                          Vec3(middle.x(), middle.y(), 0.0));
    std::vector<Vec2> row;
    for (const double side : {-1.0, 1.0}) {
        double low = 1e300;
        const double top = rule_.distal_height_mm + walked_above_rule_mm + std::abs(rule_.width_allowance_mm);
        // a cut-out reaches back under the arch, which is higher than any border there
        const double past =
            side > 0.0 && cutout_side(rule_) ? 0.8 * (rule_.first_head.y() - middle.y()) : 0.0;
        const WalkRule walk_rule{middle, Vec2(0.0, side), 0.5, 150.0, [&low, top, past](const WalkPoint& at) {
                                     low = std::min(low, at.p.z());
                                     return at.p.z() - low > top && at.reach > past;
                                 }};
        const Walk half = walk(surface_, line, *start, walk_rule);
        if (half.points.empty()) return no_room(middle);
        if (side < 0.0) {
            for (std::size_t k = half.points.size(); k-- > 1;) row.push_back(half.points[k].uv);
        } else {
            for (const WalkPoint& at : half.points) row.push_back(at.uv);
        }
    }
    return row;
}

// Lowest point of the section at x, between the sections walked.
double TrimFollower::section_low(double x) {
    if (!sorted_) {
        std::sort(lows_.begin(), lows_.end());
        sorted_ = true;
    }
    if (x <= lows_.front().first) return lows_.front().second;
    for (std::size_t k = 1; k < lows_.size(); ++k)
        if (x <= lows_[k].first) {
            const double h = lows_[k].first - lows_[k - 1].first;
            const double t = h > 0.0 ? (x - lows_[k - 1].first) / h : 0.0;
            return (1.0 - t) * lows_[k - 1].second + t * lows_[k].second;
        }
    return lows_.back().second;
}

double TrimFollower::extra(const TrimStation& station) const {
    return shift_.at(std::min(station.station, 1.0), station.medial);
}

// The heel's lowest point itself, from the lowest sample: a shrinking pattern, never out of the heel.
double TrimFollower::lowest_near(Vec2 uv) const {
    double z = surface_.point(uv).z();
    for (double step = 0.5; step > 1e-3; step *= 0.5)
        for (bool moved = true; moved;) {
            moved = false;
            for (const Vec2& d : {Vec2(step, 0.0), Vec2(-step, 0.0), Vec2(0.0, step), Vec2(0.0, -step)}) {
                const Vec2 next = surface_.clamp(uv + d);
                const Vec3 p = surface_.point(next);
                if (p.z() < z && (p.head<2>() - heel_).norm() < heel_radius_mm) {
                    z = p.z();
                    uv = next;
                    moved = true;
                }
            }
        }
    return z;
}

void TrimFollower::stop_at(const Walk& path, const PlanLine& line, double datum, double height,
                           double wide_enough, double share, TrimStation& station) const {
    double widest = 0.0, widest_of_all = 0.0;
    for (const WalkPoint& at : path.points) {
        if (at.p.z() - datum <= height + measured_above_rule_mm) widest = std::max(widest, at.reach);
        widest_of_all = std::max(widest_of_all, at.reach);
    }
    const double least = std::min(wide_enough, wall_share * widest_of_all);  // a waist is narrower
    // the heel has no roof: a shallow cup may end before the wall is steep
    const double leaning = wall_normal_z + (1.0 - wall_normal_z) * share;
    const auto is_end = [&](const WalkPoint& at) {
        return at.reach >= least && at.p.z() - datum >= height &&
               (at.n.z() <= leaning || at.reach > wall_share * widest);
    };
    std::size_t end = 0;
    while (end < path.points.size() && !is_end(path.points[end])) ++end;
    double place = 0.0;
    station.reached = end < path.points.size();
    if (station.reached) {
        double before = end == 0 ? 0.0 : static_cast<double>(end) - 1.0, after = static_cast<double>(end);
        for (int k = 0; k < 24; ++k) {
            const double half = 0.5 * (before + after);
            (is_end(path.at(surface_, line, half)) ? after : before) = half;
        }
        place = after;
    } else {  // the highest there is
        for (std::size_t k = 0; k < path.points.size(); ++k)
            if (path.points[k].p.z() >= path.points[static_cast<std::size_t>(place)].p.z())
                place = static_cast<double>(k);
    }
    station.unmoved_uv = path.at(surface_, line, place).uv;
    const WalkPoint at = path.at(surface_, line, place + extra(station) / 0.5);
    station.uv = at.uv;
    station.p = at.p;
    station.height_mm = at.p.z() - datum;
    station.wanted_mm = height;
}

}  // namespace archwright::surface
