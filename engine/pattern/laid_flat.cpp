#include "engine/pattern/laid_flat.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::pattern {

namespace {

// Principal stretches: square roots of the eigenvalues of the first fundamental form.
void widen(const surface::SurfacePoint& at, double& low, double& high) {
    const double e = at.su.squaredNorm(), f = at.su.dot(at.sv), g = at.sv.squaredNorm();
    const double middle = 0.5 * (e + g), half = std::hypot(0.5 * (e - g), f);
    low = std::min(low, std::sqrt(std::max(0.0, middle - half)));
    high = std::max(high, std::sqrt(middle + half));
}

// A cyclic run, [first, first + count).
struct Run {
    std::size_t first = 0, count = 0;
};
// All but the longest run without a flag, which is the way round the heel: the arcs of a cut-out may leave
// the rule for a little.
Run around_flags(const std::vector<char>& flags) {
    const std::size_t n = flags.size();
    Run without, now;
    for (std::size_t k = 0; k < 2 * n; ++k) {
        if (flags[k % n]) {
            now.count = 0;
            continue;
        }
        if (now.count++ == 0) now.first = k % n;
        if (now.count > without.count && now.count <= n) without = now;
    }
    return {(without.first + without.count) % n, n - without.count};
}

}  // namespace

Outcome<LaidFlat> LaidFlat::of(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                               const surface::TrimRule& rule) {
    constexpr int per_span = 12;          // the trim line's spans are some 5 mm long
    constexpr double on_edge_mm = 0.3;    // of the rule's distal edge: the corners leave it at once
    constexpr double least_edge_mm = 10;  // a shorter one says nothing of the direction
    LaidFlat laid;
    laid.foot_side_ = foot_side;
    const std::size_t count = trim.control.size() * per_span;
    std::vector<Vec2> uv(count);
    std::vector<Vec3> p(count);
    std::vector<char> on_edge(count);
    for (std::size_t k = 0; k < count; ++k) {
        uv[k] = trim.point(static_cast<double>(k) / per_span);
        p[k] = foot_side.point(uv[k]);
        on_edge[k] = std::abs(p[k].x() - surface::distal_edge_x(rule, p[k].y())) <
                     on_edge_mm * std::hypot(1.0, surface::distal_edge_slope(rule, p[k].y()));
    }
    const Run run = around_flags(on_edge);
    std::vector<Vec2> from, to;
    for (std::size_t i = 0; i < run.count; ++i) {
        const std::size_t k = (run.first + i) % count;
        if (!on_edge[k]) continue;
        from.push_back(uv[k]);
        to.emplace_back(p[k].head<2>());
    }
    constexpr std::size_t most_off = 2;  // one point in so many may have left the rule
    if (from.size() < 3 || most_off * from.size() < run.count ||
        (to.back() - to.front()).norm() < least_edge_mm)
        return Fault{FaultKind::check, "pattern",
                     "The trim line has no distal edge to join a pattern to: check trim.controls and the "
                     "distal distances.",
                     p.front()};

    Vec2 middle_from = Vec2::Zero(), middle_to = Vec2::Zero();
    for (std::size_t i = 0; i < from.size(); ++i) {
        middle_from += from[i] / static_cast<double>(from.size());
        middle_to += to[i] / static_cast<double>(from.size());
    }
    double along = 0.0, across = 0.0;
    for (std::size_t i = 0; i < from.size(); ++i) {
        const Vec2 a = from[i] - middle_from, b = to[i] - middle_to;
        along += a.dot(b);
        across += a.x() * b.y() - a.y() * b.x();
    }
    laid.turn_ = Eigen::Rotation2Dd(std::atan2(across, along)).toRotationMatrix();
    laid.shift_ = middle_to - laid.turn_ * middle_from;
    for (std::size_t i = 0; i < from.size(); ++i)
        laid.join_ = std::max(laid.join_, (laid.flat(from[i]) - to[i]).norm());
    for (std::size_t i = 0; i < run.count; ++i)
        laid.distal_.push_back(laid.flat(uv[(run.first + i) % count]));
    for (std::size_t k = 0; k < count; ++k) {
        laid.edge_.push_back(laid.flat(uv[k]));
        laid.plan_edge_.emplace_back(p[k].head<2>());
        laid.edge_on_shell_ += (p[(k + 1) % count] - p[k]).norm();
    }

    // A border ends where it turns away from its way along the foot; never further back than a corner takes.
    const auto depart = [&](std::size_t corner, bool forward_is_back) {
        constexpr double turned_deg = 25.0;
        const double longest = 3.0 * rule.corner_radius_mm + 5.0;
        double walked = 0.0;
        std::size_t k = corner;
        Departure departure;
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t next = forward_is_back ? (k + 1) % count : (k + count - 1) % count;
            const Vec2 step = laid.edge_[k] - laid.edge_[next];
            walked += step.norm();
            k = next;
            if (step.norm() > 0.0) departure = {laid.edge_[k], step.normalized()};
            const bool along_foot = departure.forward.x() > std::cos(radians(turned_deg));
            if (along_foot || walked > longest) break;
        }
        return departure;
    };
    laid.medial_ = depart((run.first + run.count - 1) % count, true);
    laid.lateral_ = depart(run.first, false);

    const surface::Outline inside(trim, per_span);
    constexpr double spacing_mm = 1.5;
    const auto lattice = surface::Lattice::spaced(foot_side.u, foot_side.v, spacing_mm);
    laid.stretch_low_ = std::numeric_limits<double>::infinity();
    laid.stretch_high_ = 0.0;
    for (std::size_t k = 0; k < lattice.size(); ++k) {
        const Vec2 at = lattice.uv(k);
        if (!inside.inside(at)) continue;
        const surface::SurfacePoint here = foot_side.first(at);
        widen(here, laid.stretch_low_, laid.stretch_high_);
        laid.starts_.push_back({at, here.s.head<2>()});
    }
    for (const Vec2& at : uv) widen(foot_side.first(at), laid.stretch_low_, laid.stretch_high_);
    return laid;
}

Vec2 LaidFlat::place(const Vec2& plan) const {
    // beside the shell: the nearest place of its edge leads
    double nearest = std::numeric_limits<double>::infinity();
    Vec2 moved = plan;
    bool inside = false;
    for (std::size_t k = 0; k < plan_edge_.size(); ++k) {
        const std::size_t next = (k + 1) % plan_edge_.size();
        const Vec2 &a = plan_edge_[k], &b = plan_edge_[next];
        if ((a.y() > plan.y()) != (b.y() > plan.y()) &&
            plan.x() < a.x() + (plan.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x()))
            inside = !inside;
        const Vec2 way = b - a;
        const double length = way.squaredNorm();
        const double t = length > 0.0 ? std::clamp((plan - a).dot(way) / length, 0.0, 1.0) : 0.0;
        const Vec2 foot = a + t * way;
        if (const double d = (plan - foot).norm(); d < nearest) {
            nearest = d;
            moved = edge_[k] + t * (edge_[next] - edge_[k]) + (plan - foot);
        }
    }
    if (!inside || starts_.empty()) return moved;
    const Start* start = &starts_.front();
    for (const Start& s : starts_)
        if ((s.plan - plan).squaredNorm() < (start->plan - plan).squaredNorm()) start = &s;
    Vec2 uv = start->uv;
    for (int k = 0; k < 30; ++k) {
        const surface::SurfacePoint at = foot_side_.first(uv);
        Eigen::Matrix2d slope;
        slope << at.su.x(), at.sv.x(), at.su.y(), at.sv.y();
        if (std::abs(slope.determinant()) < 1e-3) return moved;  // the wall overhangs: its edge leads
        Vec2 step = slope.inverse() * (plan - at.s.head<2>());
        constexpr double longest = 4.0;
        if (step.norm() > longest) step *= longest / step.norm();
        uv = foot_side_.clamp(uv + step);
        if (step.norm() < tolerance::newton_step_mm) return flat(uv);
    }
    return moved;
}

}  // namespace archwright::pattern
