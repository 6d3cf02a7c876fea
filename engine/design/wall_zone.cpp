#include "engine/design/wall_zone.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/tolerances.hpp"

namespace archwright::design {

namespace {

constexpr int region_samples_per_span = 16;
constexpr int most_newton_steps = 60;

}  // namespace

RegionReach::RegionReach(const WallRegion& region)
    : curve_(surface::PeriodicCurve::through(region.outline)), blend_mm_(region.blend_mm) {
    const std::size_t spans = curve_.control.size();
    low_ = Vec2::Constant(std::numeric_limits<double>::max());
    high_ = -low_;
    for (std::size_t i = 0; i < spans * region_samples_per_span; ++i) {
        points_.push_back(curve_.point(parameter(i)));
        low_ = low_.cwiseMin(points_.back());
        high_ = high_.cwiseMax(points_.back());
    }
    for (std::size_t span = 0; span < spans; ++span) {
        Vec2 middle = Vec2::Zero();
        for (std::size_t k = 0; k < region_samples_per_span; ++k)
            middle += points_[span * region_samples_per_span + k];
        middle /= region_samples_per_span;
        double radius = 0;
        for (std::size_t k = 0; k < region_samples_per_span; ++k)
            radius = std::max(radius, (points_[span * region_samples_per_span + k] - middle).norm());
        middles_.push_back(middle);
        radii_.push_back(radius);
    }
    orientation_ = curve_.signed_area() < 0 ? -1 : 1;
}

double RegionReach::parameter(std::size_t sample) const {
    return static_cast<double>(sample) / region_samples_per_span;
}

/// The parameter nearest to p about a sample: Newton on (c - p).c' = 0, kept between the two neighbours.
double RegionReach::foot_point(const Vec2& p, std::size_t sample) const {
    double s = parameter(sample), low_s = s - 1.0 / region_samples_per_span,
           high_s = s + 1.0 / region_samples_per_span;
    for (int step = 0; step < most_newton_steps; ++step) {
        const Vec2 away = curve_.point(s) - p, tangent = curve_.tangent(s);
        const double f = away.dot(tangent);
        (f > 0 ? high_s : low_s) = s;
        const double slope = tangent.squaredNorm() + away.dot(curve_.second(s));
        double next = slope > 0 ? s - f / slope : 0.5 * (low_s + high_s);
        if (!(next > low_s && next < high_s)) next = 0.5 * (low_s + high_s);
        const double moved = std::abs(next - s) * tangent.norm();
        s = next;
        if (moved < tolerance::newton_step_mm) break;
    }
    return s;
}

RegionReach::Distance RegionReach::distance(const Vec2& p) const {
    // Spans that cannot hold the nearest point are passed over; each local minimum of the rest is refined.
    double bound = std::numeric_limits<double>::max();
    for (std::size_t span = 0; span < middles_.size(); ++span)
        bound = std::min(bound, (middles_[span] - p).norm() + radii_[span]);
    const std::size_t n = points_.size();
    double best = std::numeric_limits<double>::max();
    double at = 0;
    for (std::size_t span = 0; span < middles_.size(); ++span) {
        const double reach =
            radii_[span] * (1 + 2.0 / region_samples_per_span);  // the curve runs on to the next sample
        if ((middles_[span] - p).norm() - reach > bound) continue;
        for (std::size_t i = span * region_samples_per_span; i < (span + 1) * region_samples_per_span; ++i) {
            const double here = (points_[i] - p).squaredNorm();
            if (here > (points_[(i + n - 1) % n] - p).squaredNorm() ||
                here > (points_[(i + 1) % n] - p).squaredNorm())
                continue;
            const double s = foot_point(p, i);
            const double found = (curve_.point(s) - p).norm();
            if (found < best) {
                best = found;
                at = s;
            }
        }
    }
    const Vec2 tangent = curve_.tangent(at).normalized();
    const Vec2 inward = orientation_ * Vec2(-tangent.y(), tangent.x());
    const Vec2 from = p - curve_.point(at);
    const double sign = from.dot(inward) < 0 ? -1 : 1;
    const Vec2 gradient = best > tolerance::newton_step_mm ? Vec2(sign * from / best) : inward;
    return {sign * best, gradient};
}

ZoneWeight RegionReach::at(const Vec2& p) const {
    const double half = 0.5 * blend_mm_;
    if ((p.array() < low_.array() - half).any() || (p.array() > high_.array() + half).any()) return {};
    const Distance d = distance(p);
    const double t = 0.5 + d.inside / blend_mm_;
    return {wall_step(t), wall_step_slope(t) / blend_mm_ * d.gradient};
}

ColumnReach::ColumnReach(const WallColumn& column, surface::MonotoneCurve border, double sign, double from_x,
                         double to_x)
    : border_(std::move(border)),
      sign_(sign),
      from_x_(from_x),
      to_x_(to_x),
      width_mm_(column.width_mm),
      blend_mm_(column.blend_mm) {}

ZoneWeight ColumnReach::at(const Vec2& p) const {
    const surface::MonotoneCurve::At border = border_.at(p.x());
    const double across = 0.5 + (width_mm_ - sign_ * (border.value - p.y())) / blend_mm_;
    const double begun = 0.5 + (p.x() - from_x_) / blend_mm_, left = 0.5 + (to_x_ - p.x()) / blend_mm_;
    const double u = wall_step(across), v = wall_step(begun), w = wall_step(left);
    if (u * v * w == 0) return {};
    const Vec2 du = wall_step_slope(across) / blend_mm_ * sign_ * Vec2(-border.slope, 1.0);
    return {u * v * w,
            v * w * du + Vec2(u * (wall_step_slope(begun) * w - v * wall_step_slope(left)) / blend_mm_, 0.0)};
}

std::vector<Vec2> ColumnReach::edge(double low_x, double high_x, double step) const {
    std::vector<Vec2> points;
    const double begin = std::max(low_x, from_x_), end = std::min(high_x, to_x_);
    if (!(begin < end)) return points;
    const auto count = static_cast<std::size_t>(std::clamp(std::ceil((end - begin) / step), 1.0, 2000.0));
    for (std::size_t i = 0; i <= count; ++i) {
        const double x = begin + (end - begin) * static_cast<double>(i) / static_cast<double>(count);
        points.emplace_back(x, border_.at(x).value - sign_ * width_mm_);
    }
    return points;
}

}  // namespace archwright::design
