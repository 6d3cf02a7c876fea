#include "engine/surface/trim_walk.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/tolerances.hpp"

namespace archwright::surface {

namespace {

// (du, dv) whose image is the tangential part of `move`.
std::optional<Vec2> pull_back(const SurfacePoint& at, const Vec3& move) {
    const double e = at.su.squaredNorm(), f = at.su.dot(at.sv), g = at.sv.squaredNorm();
    const double a = at.su.dot(move), b = at.sv.dot(move), det = e * g - f * f;
    if (!(det > tolerance::degenerate)) return std::nullopt;
    return Vec2((g * a - f * b) / det, (e * b - f * a) / det);
}

constexpr double domain_edge_mm = 0.5;  // walks end this near the end of the domain

bool inside_domain(const SplineSurface& s, const Vec2& uv) {
    return uv.x() >= domain_edge_mm && uv.y() >= domain_edge_mm && uv.x() <= s.u.length - domain_edge_mm &&
           uv.y() <= s.v.length - domain_edge_mm;
}

}  // namespace

PlanLine PlanLine::straight(const Vec2& through, const Vec2& direction) {
    const Vec2 across(-direction.y(), direction.x());
    return {[through, across](const Vec2& xy, Vec2& gradient) {
        gradient = across;
        return (xy - through).dot(across);
    }};
}

bool settle(const SplineSurface& surface, const PlanLine& line, Vec2& uv) {
    constexpr int most = 6;
    constexpr double close_enough_mm = 1e-7, along = 1e-6;
    for (int k = 0; k < most; ++k) {
        const SurfacePoint at = surface.first(uv);
        Vec2 gradient;
        const double value = line.value(at.s.head<2>(), gradient);
        if (std::abs(value) < close_enough_mm) return true;
        const Vec3 n = at.normal(), m(gradient.x(), gradient.y(), 0.0);
        const Vec3 tangential = m - n * n.dot(m);
        const double size2 = tangential.squaredNorm();
        if (!(size2 > along * m.squaredNorm())) return false;
        const auto step = pull_back(at, -value / size2 * tangential);
        if (!step) return false;
        uv = surface.clamp(uv + *step);
    }
    return true;
}

WalkPoint Walk::at(const SplineSurface& surface, const PlanLine& line, double index) const {
    const double last = static_cast<double>(points.size()) - 1.0;
    index = std::clamp(index, 0.0, last);
    const std::size_t i = std::min(static_cast<std::size_t>(index), points.size() - 1);
    const std::size_t j = std::min(i + 1, points.size() - 1);
    const double t = index - static_cast<double>(i);
    WalkPoint point;
    point.uv = (1.0 - t) * points[i].uv + t * points[j].uv;
    settle(surface, line, point.uv);
    const SurfacePoint at = surface.first(point.uv);
    point.p = at.s;
    point.n = at.normal();
    point.reach = (1.0 - t) * points[i].reach + t * points[j].reach;
    return point;
}

Walk walk(const SplineSurface& surface, const PlanLine& line, const Vec2& start, const WalkRule& rule) {
    Walk path;
    Vec2 uv = start;
    Vec3 heading(rule.outward.x(), rule.outward.y(), 0.0);
    const int most = static_cast<int>(rule.longest_mm / rule.step_mm);
    for (int k = 0; k < most; ++k) {
        if (!settle(surface, line, uv) || !inside_domain(surface, uv)) {
            path.domain_ended = true;
            break;
        }
        const SurfacePoint at = surface.first(uv);
        WalkPoint point{uv, at.s, at.normal(), (at.s.head<2>() - rule.origin).dot(rule.outward)};
        path.points.push_back(point);
        if (rule.stop && rule.stop(point)) break;
        Vec2 gradient;
        line.value(at.s.head<2>(), gradient);
        Vec3 along = Vec3(gradient.x(), gradient.y(), 0.0).cross(point.n);
        if (!(along.norm() > tolerance::degenerate)) break;
        along.normalize();
        if (along.dot(heading) < 0.0) along = -along;
        heading = along;
        const auto step = pull_back(at, rule.step_mm * along);
        if (!step) break;
        uv += *step;
        if (!inside_domain(surface, uv)) {
            path.domain_ended = true;
            break;
        }
    }
    return path;
}

PlanIndex::PlanIndex(const SplineSurface& surface) {
    constexpr double spacing_mm = 1.5, least_up = 0.5;
    const int nu = std::max(2, static_cast<int>(surface.u.length / spacing_mm)),
              nv = std::max(2, static_cast<int>(surface.v.length / spacing_mm));
    for (int i = 0; i < nu; ++i)
        for (int j = 0; j < nv; ++j) {
            const Vec2 uv(surface.u.length * (i + 0.5) / nu, surface.v.length * (j + 0.5) / nv);
            const SurfacePoint at = surface.first(uv);
            if (at.normal().z() > least_up) sole_.push_back({uv, at.s});
        }
}

std::optional<Vec2> PlanIndex::nearest(const Vec2& plan, double within_mm) const {
    const Entry* best = nullptr;
    double least = within_mm * within_mm;
    for (const Entry& entry : sole_) {
        const double d = (entry.p.head<2>() - plan).squaredNorm();
        if (d < least) {
            least = d;
            best = &entry;
        }
    }
    if (best == nullptr) return std::nullopt;
    return best->uv;
}

std::optional<Vec2> PlanIndex::lowest(const Vec2& plan, double radius_mm) const {
    const Entry* best = nullptr;
    for (const Entry& entry : sole_)
        if ((entry.p.head<2>() - plan).squaredNorm() < radius_mm * radius_mm &&
            (best == nullptr || entry.p.z() < best->p.z()))
            best = &entry;
    if (best == nullptr) return std::nullopt;
    return best->uv;
}

}  // namespace archwright::surface
