#include "editor/view/handle_feature.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_groove.hpp"
#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/trim.hpp"
#include "engine/feature/line.hpp"
#include "engine/feature/tangent.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::editor::view {

namespace {

using feature::Feature;
using feature::Spot;
using Kind = Feature::Kind;
using SolePtr = std::shared_ptr<const Sole>;

/// Of its length so much lies in front of a dome's highest point (engine/feature/shape.cpp).
constexpr double dome_in_front = 0.4;

std::string path_of(const Feature& f, const std::string& key) {
    return "features[" + f.name + "]." + key;
}

Fault no_sole(const Vec2& plan) {
    return Fault{FaultKind::usage, "drag",
                 "There is no sole at x " + rounded(plan.x(), 0) + ", y " + rounded(plan.y(), 0) +
                     ": it stays at the edge.",
                 Vec3(plan.x(), plan.y(), 0.0)};
}

/// The plane an ellipse is measured in: the tangent plane of its middle.
struct Plane {
    Vec3 origin, forward, medial;

    static Plane of(const SolePtr& sole, const std::optional<Spot>& middle, const Vec2& plan,
                    double turn_deg) {
        if (sole->carpet() != nullptr && middle) {
            const feature::Tangent t(*sole->carpet(), *middle, turn_deg);
            return {t.origin, t.forward, t.medial};
        }
        const double a = radians(turn_deg);
        return {Vec3(plan.x(), plan.y(), 0.0), Vec3(std::cos(a), std::sin(a), 0.0),
                Vec3(-std::sin(a), std::cos(a), 0.0)};
    }
    Vec2 of(const Vec3& p) const { return {(p - origin).dot(forward), (p - origin).dot(medial)}; }
    Vec3 at(const Vec2& q) const { return origin + q.x() * forward + q.y() * medial; }
    /// Of a place of the plan: of the surface over it, else of the plane itself.
    Vec2 of_plan(const SolePtr& sole, const Vec2& plan) const {
        if (sole->carpet() != nullptr)
            if (const auto spot = sole->at(plan)) return of(spot->p);
        const Vec3 n = forward.cross(medial);
        Vec3 p(plan.x(), plan.y(), 0.0);
        p.z() = origin.z() - ((p.x() - origin.x()) * n.x() + (p.y() - origin.y()) * n.y()) / n.z();
        return of(p);
    }
    /// The place of the surface that has these coordinates in the plane.
    Vec3 on_surface(const SolePtr& sole, const Vec2& q) const {
        Vec3 start = at(q);
        if (sole->carpet() == nullptr) return start;
        Vec3 found = start;
        for (int round = 0; round < 6; ++round) {
            const auto spot = sole->at(start.head<2>());
            if (!spot) return found;
            found = spot->p;
            const Vec2 off = q - of(found);
            if (off.norm() < 1e-4) break;
            start = found + off.x() * forward + off.y() * medial;
        }
        return found;
    }
};

/// Where its points lie before it is moved from there: its own, or those of its anchor.
std::vector<Vec2> own_places(const design::FootDesign& foot, const Feature& f, const Sole& sole) {
    if (f.anchor.empty()) return f.points;
    Feature unmoved = f;
    unmoved.forward_mm = unmoved.medial_mm = 0;
    std::vector<Vec2> places;
    for (const Spot& spot : sole.spots(foot, unmoved)) places.push_back(spot.p.head<2>());
    if (!places.empty()) return places;
    for (const design::Mark& mark : foot.marks)
        if (mark.name == f.anchor)
            for (const Vec3& p : mark.points) places.push_back(sole.frame().to_design(p).head<2>());
    if (const auto id = foot::landmark_id(f.anchor); id && places.empty())
        if (const auto found = sole.landmarks().find(*id); found != sole.landmarks().end())
            places.push_back(found->second.position.head<2>());
    return places;
}

/// A key as the parameter table has it: "stations[2].width_mm" is "features[].stations[].width_mm".
std::string table_name_of(const std::string& key) {
    const std::size_t open = key.find('['), close = key.find(']');
    return "features[]." + (open == std::string::npos ? key : key.substr(0, open + 1) + key.substr(close));
}

/// One relief, pad or aperture while its handles are made.
struct Maker {
    const design::FootDesign& foot;
    Feature f;
    SolePtr sole;
    std::vector<Vec2> own;     ///< unmoved
    std::vector<Vec2> places;  ///< in plan, as it lies
    std::vector<Spot> spots;   ///< the same on the surface; empty without one
    Handles out{};

    Maker(const design::FootDesign& of, const Feature& feature, SolePtr on)
        : foot(of), f(feature), sole(std::move(on)), own(own_places(of, feature, *sole)) {
        for (const Vec2& p : own) places.push_back(p + Vec2(f.forward_mm, f.medial_mm));
        spots = sole->spots(foot, f);
        if (spots.size() != places.size()) spots.clear();
    }
    bool closed() const { return f.kind != Kind::groove && places.size() > 2; }

    void size(const char* key, const char* part, const Vec3& at, double value,
              std::function<double(const Vec3&)> measure) {
        Handle h;
        h.part = part;
        h.glyph = Handle::Glyph::size;
        h.at = at;
        h.move = [path = path_of(f, key), parameter = table_name_of(key), value,
                  measure = std::move(measure)](const Drag& d) -> Outcome<Moved> {
            const double now = size_of(value + measure(d.to) - measure(d.from), d, parameter.c_str());
            return Moved{{set_line(path, now)}, size_words(now, value)};
        };
        out.list.push_back(std::move(h));
    }

    /// Depth or height over a place of the surface, square to it: taken where a section runs through.
    void rise(const std::optional<Spot>& at, const char* key, const char* part, double value) {
        if (!at || sole->carpet() == nullptr || f.kind == Kind::aperture) return;
        const Vec3 way = (f.relief() ? -1.0 : 1.0) * sole->carpet()->normal(at->uv);
        Handle h;
        h.part = part;
        h.glyph = Handle::Glyph::size;
        h.upright = way;
        h.stem = at->p;
        h.at = at->p + value * way;
        h.move = [path = path_of(f, key), parameter = table_name_of(key), value,
                  way](const Drag& d) -> Outcome<Moved> {
            const double now = size_of(value + (d.to - d.from).dot(way), d, parameter.c_str());
            return Moved{{set_line(path, now)}, size_words(now, value)};
        };
        out.list.push_back(std::move(h));
    }

    void turn(const Plane& level, const Vec3& at) {
        Handle h;
        h.part = "turn";
        h.glyph = Handle::Glyph::turn;
        h.at = at;
        h.stem = level.origin;
        h.move = [path = path_of(f, "turn_deg"), value = f.turn_deg, level,
                  on = sole](const Drag& d) -> Outcome<Moved> {
            const auto angle = [&](const Vec3& p) {
                const Vec2 q = level.of_plan(on, p.head<2>());
                return degrees(std::atan2(q.y(), q.x()));
            };
            const double now = angle_of(value + angle(d.to) - angle(d.from), d);
            return Moved{{set_line(path, now)}, size_words(now, value, "\u00b0")};
        };
        out.list.push_back(std::move(h));
    }

    /// An ellipse about its one place.
    void ellipse(double front, double back, double half) {
        const std::optional<Spot> middle = spots.empty() ? std::nullopt : std::optional(spots.front());
        const Plane plane = Plane::of(sole, middle, places.front(), f.turn_deg),
                    level = Plane::of(sole, middle, places.front(), 0.0);
        HandleCurve curve;
        curve.closed = true;
        constexpr int pieces = 48;
        for (int i = 0; i < pieces; ++i) {
            const double a = 2.0 * std::numbers::pi * i / pieces, x = std::cos(a);
            curve.points.push_back(
                plane.on_surface(sole, {x * (x > 0 ? front : back), half * std::sin(a)}).head<2>());
        }
        out.curves.push_back(std::move(curve));
        const Vec3 end = plane.on_surface(sole, {front, 0}), side = plane.on_surface(sole, {0, half});
        // of a dome the leading edge stays where it is set: its length is taken at the other end
        const bool dome = f.kind == Kind::metatarsal_dome;
        const double share = dome ? 1.0 : 2.0;
        size("length_mm", "length", dome ? plane.on_surface(sole, {-back, 0}) : end, f.length_mm,
             [plane, on = sole, share, dome](const Vec3& p) {
                 return share * plane.of_plan(on, p.head<2>()).x() * (dome ? -1.0 : 1.0);
             });
        size("width_mm", "width", side, f.width_mm,
             [plane, on = sole](const Vec3& p) { return 2.0 * plane.of_plan(on, p.head<2>()).y(); });
        turn(level, end);
        rise(middle, f.relief() ? "depth_mm" : "height_mm", f.relief() ? "depth" : "height",
             f.relief() ? f.depth_mm : f.height_mm);
    }

    void groove() {
        HandleCurve axis;
        std::vector<Spot> spine;
        if (!spots.empty()) spine = feature::smooth_line(spots, *sole->carpet());
        std::vector<Vec3> line;
        for (const Spot& spot : spine) line.push_back(spot.p);
        if (line.size() < 2) {
            line.clear();
            for (const Vec2& p : places) line.emplace_back(p.x(), p.y(), 0.0);
        }
        for (const Vec3& p : line) axis.points.push_back(p.head<2>());
        axis.half_mm = 0.5 * f.width_mm;
        if (line.size() >= 2) {
            const auto measured = std::make_shared<const feature::SurfaceLine>(line);
            const auto sizes_at = [&](double along, const std::string& within, const std::string& number,
                                      double width, double depth) {
                // the place along the line, and from it square to medial on the surface
                std::size_t i = 0;
                double gone = 0;
                while (i + 2 < line.size() &&
                       gone + (line[i + 1] - line[i]).norm() < along * measured->length())
                    gone += (line[i + 1] - line[i]).norm(), ++i;
                const Vec3 way = line[i + 1] - line[i];
                const Vec3 normal = spine.empty() ? Vec3(Vec3::UnitZ()) : sole->carpet()->normal(spine[i].uv);
                const Vec3 square = normal.cross(way).normalized();
                const Vec3 here = line[i] + way.normalized() * (along * measured->length() - gone);
                const Plane plane{here, way.normalized(), square};
                const Vec3 at = plane.on_surface(sole, {0, 0.5 * width});
                size((within + "width_mm").c_str(), ("width" + number).c_str(), at, width,
                     [measured, on = sole](const Vec3& p) {
                         return 2.0 * measured->nearest(on->over(p.head<2>())).distance;
                     });
                if (!spine.empty())
                    rise(spine[i], (within + "depth_mm").c_str(), ("depth" + number).c_str(), depth);
            };
            const auto beside = [&](double gone, double across) {
                std::size_t i = 0;
                while (i + 2 < line.size() && gone > (line[i + 1] - line[i]).norm())
                    gone -= (line[i + 1] - line[i]).norm(), ++i;
                const Vec3 way = (line[i + 1] - line[i]).normalized();
                const Vec3 normal = spine.empty() ? Vec3(Vec3::UnitZ()) : sole->carpet()->normal(spine[i].uv);
                return Plane{line[i] + gone * way, way, normal.cross(way).normalized()}.on_surface(
                    sole, {0, across});
            };
            if (f.stations.empty()) sizes_at(0.5, "", "", f.width_mm, f.depth_mm);
            for (std::size_t i = 0; i < f.stations.size(); ++i) {
                sizes_at(f.stations[i].along, "stations[" + std::to_string(i) + "].",
                         " " + std::to_string(i + 1), f.stations[i].width_mm, f.stations[i].depth_mm);
                for (Handle& h : out.list)
                    if (h.part == "width " + std::to_string(i + 1)) h.remove = station_remover(f, i);
            }
            add_groove_ends(out, f, {measured, beside}, sole);
        }
        out.curves.push_back(std::move(axis));
    }

    void drawn() {
        HandleCurve curve;
        curve.closed = true;
        std::vector<Vec2> through;
        for (std::size_t i = 0; i < places.size(); ++i)
            through.push_back(spots.empty() ? places[i] : spots[i].uv);
        constexpr int per_span = 12;
        const auto spline = surface::PeriodicCurve::through(through);
        for (std::size_t i = 0; i < per_span * through.size(); ++i) {
            const Vec2 q = spline.point(static_cast<double>(i) / per_span);
            curve.points.push_back(spots.empty() ? q : Vec2(sole->carpet()->point(q).head<2>()));
        }
        Vec2 middle = Vec2::Zero();
        for (const Vec2& q : curve.points) middle += q / static_cast<double>(curve.points.size());
        out.curves.push_back(std::move(curve));
        if (sole->carpet() != nullptr)
            rise(sole->at(middle), f.relief() ? "depth_mm" : "height_mm", f.relief() ? "depth" : "height",
                 f.relief() ? f.depth_mm : f.height_mm);
    }

    /// Its places with this change, if all of them lie on the sole.
    static Outcome<Moved> put(const Feature& f, const Sole& sole, const std::vector<Vec2>& points,
                              std::string words, std::string part = {}) {
        const Vec2 moved(f.forward_mm, f.medial_mm);
        for (const Vec2& p : points)
            if (!sole.holds(p + moved)) return no_sole(p + moved);
        return Moved{
            {set_line(path_of(f, "points"), points_json(points))}, std::move(words), std::move(part)};
    }

    void points() {
        const Vec2 moved(f.forward_mm, f.medial_mm);
        const std::size_t least = f.kind == Kind::groove ? 2 : 3;
        for (std::size_t i = 0; i < f.points.size(); ++i) {
            Handle h;
            h.part = "point " + std::to_string(i + 1);
            const Vec2 plan = f.points[i] + moved;
            h.at = sole->over(plan);
            h.move = [one = f, on = sole, i, moved](const Drag& d) -> Outcome<Moved> {
                std::vector<Vec2> all = one.points;
                const Vec2 to = place_of(d);
                all[i] = moved.isZero() ? to : Vec2(neat(to.x() - moved.x()), neat(to.y() - moved.y()));
                return put(one, *on, all, place_words(to));
            };
            h.remove = [one = f, on = sole, i, least]() -> Outcome<Moved> {
                if (one.points.size() <= least)
                    return Fault{FaultKind::usage,
                                 "drag",
                                 least == 2 ? "A groove keeps two points: remove it as a whole (Del)."
                                            : "A curve keeps three points: remove it as a whole (Del).",
                                 {}};
                std::vector<Vec2> all = one.points;
                all.erase(all.begin() + static_cast<std::ptrdiff_t>(i));
                return put(one, *on, all, "point taken out");
            };
            out.list.push_back(std::move(h));
        }
        out.add = [one = f, on = sole, curve = out.curves.front(),
                   moved](const Vec2& plan) -> Outcome<Moved> {
            const CurvePlace near = nearest_on(curve, plan);
            // behind the last of its points that lies before the place
            std::size_t behind = 0;
            for (std::size_t i = 1; i < one.points.size(); ++i)
                if (nearest_on(curve, one.points[i] + moved).along <= near.along) behind = i;
            if (one.points.size() >= design::most_region_points)
                return Fault{FaultKind::usage, "drag", "It has as many points as it may have.", {}};
            const Drag here{Vec3::Zero(), Vec3(near.at.x(), near.at.y(), 0.0)};
            const Vec2 at = place_of(here);
            std::vector<Vec2> all = one.points;
            all.insert(all.begin() + static_cast<std::ptrdiff_t>(behind + 1),
                       Vec2(neat(at.x() - moved.x()), neat(at.y() - moved.y())));
            return put(one, *on, all, place_words(at), "point " + std::to_string(behind + 2));
        };
    }

    /// Taken anywhere: points go along, an anchor is moved from.
    void whole() {
        Handle h;
        h.part = "whole";
        h.glyph = Handle::Glyph::whole;
        Vec2 middle = Vec2::Zero();
        for (const Vec2& p : places) middle += p / static_cast<double>(places.size());
        h.at = sole->over(middle);
        h.move = [one = f, on = sole, own = own, middle](const Drag& d) -> Outcome<Moved> {
            const Vec2 shift = shift_of(d);
            const std::string words = place_words(middle + shift);
            if (one.anchor.empty()) {
                std::vector<Vec2> all = one.points;
                for (Vec2& p : all) p = Vec2(neat(p.x() + shift.x()), neat(p.y() + shift.y()));
                return put(one, *on, all, words);
            }
            const Vec2 away(in_range(neat(one.forward_mm + shift.x()), "features[].forward_mm"),
                            in_range(neat(one.medial_mm + shift.y()), "features[].medial_mm"));
            for (const Vec2& p : own)
                if (!on->holds(p + away)) return no_sole(p + away);
            return Moved{{set_line(path_of(one, "forward_mm"), away.x()),
                          set_line(path_of(one, "medial_mm"), away.y())},
                         words};
        };
        out.whole = std::move(h);
    }

    /// Dome and bar: where the heads put them.
    void behind_heads() {
        const auto rule = design::trim_rule(foot.trim, sole->landmarks());
        if (!rule) return;
        surface::TrimRule heads = *rule;
        heads.distal_first_mm = heads.distal_fifth_mm = 0.0;
        heads.first_ray_cutout = {};
        const auto second = sole->landmarks().find(foot::LandmarkId::second_head_plantar);
        const bool dome = f.kind == Kind::metatarsal_dome, headed = dome && second != sole->landmarks().end();
        const double y =
            (headed ? second->second.position.y() : surface::axis_y(heads, heads.first_head.x())) +
            f.medial_mm;
        const double leading = (headed ? second->second.position.x() : surface::distal_edge_x(heads, y)) -
                               f.behind_mm + f.forward_mm;
        const Vec2 middle(leading - (dome ? dome_in_front : 0.5) * f.length_mm, y);
        places = {middle};
        spots.clear();
        if (const auto spot = sole->carpet() != nullptr ? sole->at(middle) : std::nullopt) spots = {*spot};
        if (dome) {
            ellipse(dome_in_front * f.length_mm, (1.0 - dome_in_front) * f.length_mm, 0.5 * f.width_mm);
        } else {
            HandleCurve curve;
            curve.closed = true;
            constexpr int pieces = 12;
            const auto edge = [&](double across, double back) {
                const double at = y + across * 0.5 * f.width_mm;
                return Vec2(surface::distal_edge_x(heads, at) - f.behind_mm + f.forward_mm - back, at);
            };
            for (int i = 0; i <= pieces; ++i) curve.points.push_back(edge(-1.0 + 2.0 * i / pieces, 0));
            for (int i = 0; i <= pieces; ++i)
                curve.points.push_back(edge(1.0 - 2.0 * i / pieces, f.length_mm));
            out.curves.push_back(std::move(curve));
            size("length_mm", "length", sole->over(edge(0, f.length_mm)), f.length_mm,
                 [](const Vec3& p) { return -p.x(); });
            size("width_mm", "width", sole->over(edge(1, 0.5 * f.length_mm)), f.width_mm,
                 [](const Vec3& p) { return 2.0 * p.y(); });
        }
        Handle h;
        h.part = "whole";
        h.glyph = Handle::Glyph::whole;
        h.at = sole->over(middle);
        // the line of a bar's heads runs aslant: it keeps under the hand as it goes across
        const auto line_x = [heads, headed](double at) {
            return headed ? 0.0 : surface::distal_edge_x(heads, at);
        };
        h.move = [one = f, on = sole, middle, line_x](const Drag& d) -> Outcome<Moved> {
            const Vec2 shift = shift_of(d);
            if (!on->holds(middle + shift)) return no_sole(middle + shift);
            const double aslant = line_x(middle.y() + shift.y()) - line_x(middle.y());
            const double to = one.behind_mm - (d.to.x() - d.from.x()) + aslant;
            const double behind = in_range(d.exact ? neat(to) : std::round(to * 10.0) / 10.0,
                                           "features[].behind_mm"),
                         medial = in_range(neat(one.medial_mm + shift.y()), "features[].medial_mm");
            return Moved{
                {set_line(path_of(one, "behind_mm"), behind), set_line(path_of(one, "medial_mm"), medial)},
                rounded(behind, 1) + " mm behind the heads, was " + rounded(one.behind_mm, 1)};
        };
        out.whole = std::move(h);
    }
};

}  // namespace

Handles feature_handles(const design::FootDesign& foot, const Feature& feature, const SolePtr& sole) {
    Maker maker(foot, feature, sole);
    if (feature.kind == Kind::metatarsal_dome || feature.kind == Kind::metatarsal_bar) {
        maker.behind_heads();
        return std::move(maker.out);
    }
    if (maker.places.empty()) return {};
    const bool line = feature.kind == Kind::groove && maker.places.size() >= 2;
    if (line)
        maker.groove();
    else if (maker.closed())
        maker.drawn();
    else
        maker.ellipse(0.5 * feature.length_mm, 0.5 * feature.length_mm, 0.5 * feature.width_mm);
    if (feature.anchor.empty() && (line || maker.closed())) maker.points();
    maker.whole();
    return std::move(maker.out);
}

}  // namespace archwright::editor::view
