#include "engine/surface/loop_check.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/rim.hpp"

namespace archwright::surface {

namespace {

constexpr std::size_t least_controls = 4;  // the exact solid cuts a curve into four pieces

struct Curve {
    const Border* border = nullptr;
    Outline outline;
    Vec2 low = Vec2::Zero(), high = Vec2::Zero();
    double rim_reach = 0.0, flare_reach = 0.0;
};

// Its place on the foot side, where a person sees it.
/// What a person would change: the order's part that the curve belongs to.
const char* stage_of(const Border& border) {
    return border.kind == Border::Kind::post   ? "posts"
           : border.kind == Border::Kind::trim ? "trim"
                                               : "features";
}

Fault fault_at(const Border& border, const Vec2& uv, const std::string& before, const std::string& after) {
    const Vec3 where = border.shell->foot_side.point(uv);
    return {FaultKind::check, stage_of(border), before + " at " + place(where) + after, where};
}

Outcome<Done> check_curve(const Border& border) {
    const auto& control = border.curve.control;
    if (control.size() < least_controls ||
        !std::all_of(control.begin(), control.end(), [](const Vec2& p) { return p.allFinite(); }))
        return Fault{FaultKind::check,
                     stage_of(border),
                     border.title() + " needs at least " + rounded(double(least_controls), 0) +
                         " control points, each with a place.",
                     {}};
    const Outline outline(border.curve);
    if (const auto edge = outline.first_self_crossing())
        return fault_at(border, outline.points()[*edge], border.title() + " crosses itself",
                        ". Pull the curve apart there.");
    if (std::abs(border.curve.signed_area()) < tolerance::degenerate)
        return fault_at(border, outline.points().front(), border.title() + " encloses nothing",
                        ". Draw it larger or leave it out.");
    return Done{};
}

Curve curve_of(const Border& border) {
    Curve curve{&border, Outline(border.curve)};
    const auto& points = curve.outline.points();
    curve.low = curve.high = points.front();
    for (const Vec2& p : points) {
        curve.low = curve.low.cwiseMin(p);
        curve.high = curve.high.cwiseMax(p);
    }
    const Shell& shell = *border.shell;
    for (std::size_t k = 0; k < points.size(); ++k) {
        if (border.rim != nullptr) {
            const double wall = (shell.foot_side.point(points[k]) - shell.underside.point(points[k])).norm();
            curve.rim_reach = std::max(curve.rim_reach, rim_reach(*border.rim, wall));
        } else if (border.post->draft_deg < 0.0) {
            const double s =
                border.curve.period() * static_cast<double>(k) / static_cast<double>(points.size());
            const RimRows wall = border.rows(s);
            curve.flare_reach =
                std::max(curve.flare_reach, (wall.rows.back() - wall.rows.front()).head<2>().norm());
        }
    }
    return curve;
}

bool surrounds(const Curve& outer, const Curve& inner) {
    const auto& points = inner.outline.points();
    return std::all_of(points.begin(), points.end(), [&](const Vec2& p) { return outer.outline.inside(p); });
}

// The first point of one curve that lies within the other, if any.
const Vec2* point_within(const Curve& a, const Curve& b) {
    for (const auto& [one, other] : {std::pair(&a, &b), std::pair(&b, &a)})
        for (const Vec2& p : one->outline.points())
            if (other->outline.inside(p)) return &p;
    return nullptr;
}

Outcome<Done> check_apart(const Curve& a, const Curve& b) {
    const bool to_trim = a.border->kind == Border::Kind::trim;
    const double needed = tolerance::loop_apart_mm + std::max(a.rim_reach, b.rim_reach) +
                          (to_trim ? 0.0 : a.flare_reach + b.flare_reach);
    const Vec2 gap = (a.low - b.high).cwiseMax(b.low - a.high).cwiseMax(Vec2::Zero());
    if (gap.norm() >= needed) return Done{};
    double nearest = needed;
    const Vec2* at = nullptr;
    for (const auto& [one, other] : {std::pair(&a, &b), std::pair(&b, &a)})
        for (const Vec2& p : one->outline.points())
            if (const double apart = other->outline.distance(p); apart < nearest) {
                nearest = apart;
                at = &p;
            }
    if (at == nullptr) return Done{};
    return fault_at(*a.border, *at,
                    b.border->title() + " comes within " + rounded(nearest, 1) + " mm of " + a.border->name,
                    "; " + rounded(needed, 1) + " mm are needed. Move it away or make it smaller.");
}

Outcome<Done> check_inside(const Curve& trim, const Curve& loop) {
    for (const Vec2& p : loop.outline.points())
        if (!trim.outline.inside(p))
            return fault_at(*loop.border, trim.border->shell->foot_side.clamp(p),
                            loop.border->title() + " lies across or outside the trim line",
                            ". Move it inward or make it smaller.");
    return check_apart(trim, loop);
}

Outcome<Done> check_pair(const Curve& a, const Curve& b) {
    if (const Vec2* p = point_within(a, b)) {
        const bool b_within = surrounds(a, b), a_within = surrounds(b, a);
        const Curve &inner = b_within ? b : a, &outer = b_within ? a : b;
        if (!b_within && !a_within)
            return fault_at(*a.border, *p, b.border->title() + " crosses " + a.border->name,
                            ". Pull the two apart.");
        const bool through =
            inner.border->kind == Border::Kind::aperture && outer.border->kind == Border::Kind::post;
        return fault_at(
            *inner.border, *p, inner.border->title() + " lies within " + outer.border->name,
            std::string(". ") +
                (through ? "A hole through a post and its floor cannot be made; move one of the two."
                         : "Leave one of the two out, or move it."));
    }
    return check_apart(a, b);
}

}  // namespace

Outcome<Done> check_loops(const Shell& shell) {
    if (shell.apertures.empty() && shell.posts.empty()) return Done{};
    const std::vector<Border> all = borders(shell);
    for (const Border& border : all)
        if (auto sound = check_curve(border); !sound) return sound.fault();
    std::vector<Curve> curves;
    curves.push_back(curve_of(all.front()));
    for (std::size_t k = 1; k < all.size(); ++k) {
        Curve loop = curve_of(all[k]);
        if (auto inside = check_inside(curves.front(), loop); !inside) return inside.fault();
        if (all[k].kind == Border::Kind::post)
            if (auto stands = check_post(all[k]); !stands) return stands.fault();
        for (std::size_t other = 1; other < curves.size(); ++other)
            if (auto apart = check_pair(curves[other], loop); !apart) return apart.fault();
        curves.push_back(std::move(loop));
    }
    return Done{};
}

}  // namespace archwright::surface
