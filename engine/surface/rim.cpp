#include "engine/surface/rim.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::surface {

namespace {

// Inner rows of a rounded rim stand 2/3 of the wall out: a cubic with such rows bulges half the wall, as a
// half circle does (its middle is 3/4 of the rows' distance).
constexpr double round_rows = 2.0 / 3.0;
// The part of a wall that both bevels may take between them.
constexpr double bevel_share = 0.8;
constexpr int rim_samples_per_span = 24;

// The bevel's breadth, eased down smoothly where the wall is too thin for two of them (each takes breadth /
// sqrt 2 of the wall).
double bevel_breadth(const Rim& rim, double wall) {
    const double most = bevel_share * wall / std::numbers::sqrt2;
    const double ratio = rim.bevel_mm / most;
    const double r2 = ratio * ratio;
    return rim.bevel_mm / std::pow(1.0 + r2 * r2 * r2, 1.0 / 6.0);
}

struct RimEdge {
    Vec3 point, normal, outward;
};

// The trim's image on one side: the conormal lies in the surface, square to the trim, away from the shell.
RimEdge edge_of(const SurfacePoint& at, const Vec2& tangent) {
    const Vec3 normal = at.normal();
    return {at.s, normal, (at.su * tangent.x() + at.sv * tangent.y()).cross(normal).normalized()};
}

}  // namespace

RimRows rim_rows(const Shell& shell, double s) {
    return rim_rows(shell.foot_side, shell.underside, shell.trim, shell.rim, s);
}

RimRows rim_rows(const SplineSurface& foot_side, const SplineSurface& underside, const PeriodicCurve& curve,
                 const Rim& rim, double s) {
    const Vec2 uv = curve.point(s);
    return rim_rows(foot_side.first(uv), underside.first(uv), curve.tangent(s), rim);
}

RimRows rim_rows(const SurfacePoint& foot_side, const SurfacePoint& underside, const Vec2& tangent,
                 const Rim& rim) {
    const RimEdge top = edge_of(foot_side, tangent), bottom = edge_of(underside, tangent);
    const double wall = (top.point - bottom.point).norm();
    switch (rim.kind) {
        case Rim::Kind::square:
            return {1, {top.point, bottom.point}};
        case Rim::Kind::bevelled: {
            const double step = bevel_breadth(rim, wall) / std::numbers::sqrt2;
            return {1,
                    {top.point, top.point + step * (top.outward - top.normal),
                     bottom.point + step * (bottom.outward + bottom.normal), bottom.point}};
        }
        case Rim::Kind::rounded: {
            const double out = round_rows * wall;
            return {3,
                    {top.point, top.point + out * top.outward, bottom.point + out * bottom.outward,
                     bottom.point}};
        }
    }
    return {1, {top.point, bottom.point}};
}

Vec3 rim_point(const RimRows& rows, double across) {
    const double t = std::clamp(across, 0.0, 1.0), r = 1.0 - t;
    if (rows.degree == 3)
        return r * r * r * rows.rows[0] + 3.0 * r * r * t * rows.rows[1] + 3.0 * r * t * t * rows.rows[2] +
               t * t * t * rows.rows[3];
    const double at = t * static_cast<double>(rows.rows.size() - 1);
    const std::size_t k = std::min(static_cast<std::size_t>(at), rows.rows.size() - 2);
    const double part = at - static_cast<double>(k);
    return (1.0 - part) * rows.rows[k] + part * rows.rows[k + 1];
}

double rim_reach(const Rim& rim, double wall_mm) {
    switch (rim.kind) {
        case Rim::Kind::square:
            return 0.0;
        case Rim::Kind::bevelled:
            return bevel_breadth(rim, wall_mm) / std::numbers::sqrt2;
        case Rim::Kind::rounded:
            return 0.75 * round_rows * wall_mm;
    }
    return 0.0;
}

double least_corner_radius(const Rim& rim, double wall_mm) {
    return rim_reach(rim, wall_mm) / tolerance::fold_limit;
}

// The rim overlaps itself where, along the trim, a point of it runs backwards. At distance d out from a
// corner of radius R that bends inward the speed along the trim is 1 - d / R of the trim's own; so the speed
// measured at the outermost place (all the surface's bending included) tells the radius.
std::vector<SharpCorner> sharp_corners(const Border& rim) {
    std::vector<SharpCorner> corners;
    const std::size_t count = rim.curve.control.size() * rim_samples_per_span;
    if (count == 0) return corners;
    struct Sample {
        Vec3 edge, out;
        double wall;
    };
    std::vector<Sample> samples(count);
    parallel_for(count, 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const RimRows rows = rim.rows(static_cast<double>(k) / rim_samples_per_span);
            samples[k] = {rows.rows.front(), rim_point(rows, 0.5),
                          (rows.rows.front() - rows.rows.back()).norm()};
        }
    });
    SharpCorner worst;
    double worst_speed = 1.0;
    bool running = false;
    const auto close_run = [&] {
        if (running) corners.push_back(worst);
        running = false;
        worst_speed = 1.0;
    };
    for (std::size_t k = 0; k < count; ++k) {
        const Sample &a = samples[k], &b = samples[(k + 1) % count];
        const Vec3 along = b.edge - a.edge;
        const double speed = (b.out - a.out).dot(along) / along.squaredNorm();
        if (speed > 1.0 - tolerance::fold_limit) {
            close_run();
            continue;
        }
        running = true;
        if (speed < worst_speed) {
            worst_speed = speed;
            const double reach = rim_reach(*rim.rim, a.wall);
            worst = {(static_cast<double>(k) + 0.5) / rim_samples_per_span, a.edge, reach / (1.0 - speed),
                     least_corner_radius(*rim.rim, a.wall)};
        }
    }
    close_run();
    return corners;
}

std::vector<SharpCorner> sharp_corners(const Shell& shell) {
    return sharp_corners(borders(shell).front());
}

Outcome<Done> check_rim(const Shell& shell) {
    for (const Border& border : borders(shell)) {
        if (border.kind == Border::Kind::post) continue;
        const auto corners = sharp_corners(border);
        if (corners.empty()) continue;
        const auto& worst = *std::min_element(
            corners.begin(), corners.end(),
            [](const auto& a, const auto& b) { return a.radius_mm / a.asked_mm < b.radius_mm / b.asked_mm; });
        return Fault{FaultKind::check, "rim",
                     border.title() + " turns with a radius of " + rounded(worst.radius_mm, 1) + " mm at " +
                         place(worst.where) + "; this rim needs " + rounded(worst.asked_mm, 1) +
                         " mm. Blend the corner, or choose a square rim.",
                     worst.where};
    }
    return Done{};
}

}  // namespace archwright::surface
