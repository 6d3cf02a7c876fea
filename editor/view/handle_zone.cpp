#include "editor/view/handle_zone.hpp"

#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_values.hpp"
#include "engine/design/description.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::editor::view {

namespace {

HandleCurve curve_through(const std::vector<Vec2>& outline) {
    HandleCurve curve;
    curve.closed = true;
    if (outline.size() < 3) {
        curve.points = outline;
        return curve;
    }
    constexpr int per_span = 12;
    const auto spline = surface::PeriodicCurve::through(outline);
    for (std::size_t i = 0; i < per_span * outline.size(); ++i)
        curve.points.push_back(spline.point(static_cast<double>(i) / per_span));
    return curve;
}

/// A place of the plan within what the job may hold.
Vec2 bounded(const Vec2& p) {
    return p.cwiseMax(-design::plan_bound_mm).cwiseMin(design::plan_bound_mm);
}

/// Points, whole and one more of a closed curve that stands under `path` in the order.
Handles drawn_curve(const std::string& path, const std::vector<Vec2>& outline) {
    Handles out;
    out.curves.push_back(curve_through(outline));
    const auto put = [path](const std::vector<Vec2>& points, std::string words, std::string part = {}) {
        return Moved{{set_line(path, points_json(points))}, std::move(words), std::move(part)};
    };
    Vec2 middle = Vec2::Zero();
    for (std::size_t i = 0; i < outline.size(); ++i) {
        middle += outline[i] / static_cast<double>(outline.size());
        Handle h;
        h.part = "point " + std::to_string(i + 1);
        h.at = Vec3(outline[i].x(), outline[i].y(), 0.0);
        h.move = [outline, i, put](const Drag& d) -> Outcome<Moved> {
            std::vector<Vec2> all = outline;
            all[i] = bounded(place_of(d));
            return put(all, place_words(all[i]));
        };
        h.remove = [outline, i, put]() -> Outcome<Moved> {
            if (outline.size() <= 3)
                return Fault{FaultKind::usage, "drag", "A curve keeps three points.", {}};
            std::vector<Vec2> all = outline;
            all.erase(all.begin() + static_cast<std::ptrdiff_t>(i));
            return put(all, "point taken out");
        };
        out.list.push_back(std::move(h));
    }
    Handle whole;
    whole.part = "whole";
    whole.glyph = Handle::Glyph::whole;
    whole.at = Vec3(middle.x(), middle.y(), 0.0);
    whole.move = [outline, middle, put](const Drag& d) -> Outcome<Moved> {
        const Vec2 shift = shift_of(d);
        std::vector<Vec2> all = outline;
        for (Vec2& p : all) p = bounded(Vec2(neat(p.x() + shift.x()), neat(p.y() + shift.y())));
        return put(all, place_words(middle + shift));
    };
    out.whole = std::move(whole);
    out.add = [outline, curve = out.curves.front(), put](const Vec2& plan) -> Outcome<Moved> {
        if (outline.size() >= design::most_region_points)
            return Fault{FaultKind::usage, "drag", "It has as many points as it may have.", {}};
        const CurvePlace near = nearest_on(curve, plan);
        std::size_t behind = 0;
        for (std::size_t i = 1; i < outline.size(); ++i)
            if (nearest_on(curve, outline[i]).along <= near.along) behind = i;
        Drag here;
        here.to = Vec3(near.at.x(), near.at.y(), 0.0);
        std::vector<Vec2> all = outline;
        all.insert(all.begin() + static_cast<std::ptrdiff_t>(behind + 1), place_of(here));
        return put(all, place_words(near.at), "point " + std::to_string(behind + 2));
    };
    return out;
}

/// A breadth at the edge of a curve, as a disc that stands `share` of it away from the curve: outward, or
/// inward where the share is negative.
void breadth(Handles& out, const std::string& path, const char* parameter, double value, double share) {
    const HandleCurve& curve = out.curves.front();
    if (curve.points.size() < 4) return;
    // half way along its first side
    constexpr std::size_t half_span = 6;
    const Vec2 at = curve.points[half_span],
               way = (curve.points[half_span + 1] - curve.points[half_span - 1]).normalized();
    Vec2 outward(-way.y(), way.x());
    constexpr double probe_mm = 0.01;
    if (holds(curve, at + probe_mm * outward)) outward = -outward;
    Handle h;
    h.part = "blend";
    h.glyph = Handle::Glyph::size;
    const Vec2 place = at + share * value * outward;
    h.at = Vec3(place.x(), place.y(), 0.0);
    h.move = [path, name = std::string(parameter), value, share, outward](const Drag& d) -> Outcome<Moved> {
        const double now = size_of(value + (d.to - d.from).head<2>().dot(outward) / share, d, name.c_str());
        return Moved{{set_line(path, now)}, size_words(now, value)};
    };
    out.list.push_back(std::move(h));
}

}  // namespace

Handles region_handles(const design::WallRegion& region) {
    const std::string path = "wall.regions[" + region.name + "].";
    Handles out = drawn_curve(path + "outline", region.outline);
    breadth(out, path + "blend_mm", "wall.regions[].blend_mm", region.blend_mm, 0.5);
    return out;
}

Handles zone_handles(const surface::SmoothZone& zone) {
    const std::string path = "dress.smooth[" + zone.name + "].";
    Handles out = drawn_curve(path + "outline", zone.outline);
    breadth(out, path + "blend_mm", "dress.smooth[].blend_mm", zone.blend_mm, -1.0);
    return out;
}

Handles zone_handles(const surface::KeepZone& zone) {
    const std::string path = "dress.keep[" + zone.name + "].";
    Handles out = drawn_curve(path + "outline", zone.outline);
    breadth(out, path + "margin_mm", "dress.keep[].margin_mm", zone.margin_mm, 1.0);
    return out;
}

Handles cover_handles(const design::Cover& cover) {
    if (cover.outline.size() < 3) return {};
    return drawn_curve("covers[" + cover.name + "].outline", cover.outline);
}

Handles cover_handles(const design::Cover& cover, const std::vector<Vec2>& edge) {
    if (edge.size() < 3) return {};
    Handles out = drawn_curve("covers[" + cover.name + "].outline", edge);
    for (Handle& h : out.list) h.about = "its edge is drawn now, length and margin move it no more";
    // as a whole it would leave the shell
    out.whole.reset();
    return out;
}

}  // namespace archwright::editor::view
