// Control points of the trim line.
#include <algorithm>
#include <cmath>

#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_values.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/base/text.hpp"
#include "engine/design/trim.hpp"

namespace archwright::editor::view {

namespace {

/// Controls nearer than this are one (surface::TrimShift).
constexpr double least_apart = 0.01 + 1e-9;

/// Where the trim line would run, station by station.
struct Border {
    std::vector<surface::TrimStation> stations;
    std::vector<Vec3> unmoved, outward;  ///< on the surface, and the way up or out along it
};

Border border_of(const Sole& sole) {
    Border border;
    const surface::SplineSurface& carpet = *sole.carpet();
    border.stations = sole.surfaced()->trim.stations;
    for (const surface::TrimStation& s : border.stations)
        border.unmoved.push_back(carpet.point(s.unmoved_uv));
    const std::size_t count = border.stations.size();
    for (std::size_t i = 0; i < count; ++i) {
        const Vec3 along = border.unmoved[std::min(i + 1, count - 1)] - border.unmoved[i > 0 ? i - 1 : 0];
        const Vec3 normal = carpet.normal(border.stations[i].unmoved_uv);
        // counter-clockwise in plan: what lies to the right of the way is outside
        border.outward.push_back(along.cross(normal).normalized());
    }
    return border;
}

/// The place of the border at a station of a side, between its neighbours.
struct BorderPlace {
    Vec3 unmoved = Vec3::Zero(), outward = Vec3::UnitY();
    Vec2 uv = Vec2::Zero();
    Vec2 along = Vec2::UnitX();  ///< in plan, towards the lateral distal end
    double mm_per_station = 1.0;
};
BorderPlace border_at(const Border& border, double station, bool medial) {
    // along the whole border: medial stations count down to the back of the heel, lateral ones up
    const auto place = [](double s, bool m) { return m ? -s : s; };
    const double wanted = place(station, medial);
    std::size_t best = 0;
    for (std::size_t i = 0; i < border.stations.size(); ++i) {
        const auto off = [&](std::size_t k) {
            return std::abs(place(border.stations[k].station, border.stations[k].medial) - wanted);
        };
        if (off(i) < off(best)) best = i;
    }
    BorderPlace at{border.unmoved[best], border.outward[best], border.stations[best].unmoved_uv};
    const std::size_t before = best > 0 ? best - 1 : 0,
                      behind = std::min(best + 1, border.stations.size() - 1);
    const Vec2 way = (border.unmoved[behind] - border.unmoved[before]).head<2>();
    at.along = way.normalized();
    at.mm_per_station =
        way.norm() /
        std::max(1e-6, place(border.stations[behind].station, border.stations[behind].medial) -
                           place(border.stations[before].station, border.stations[before].medial));
    const double own = place(border.stations[best].station, border.stations[best].medial);
    const std::size_t next =
        wanted > own ? std::min(best + 1, border.stations.size() - 1) : (best > 0 ? best - 1 : 0);
    const double other = place(border.stations[next].station, border.stations[next].medial);
    if (std::abs(other - own) > 1e-9) {
        const double t = std::clamp((wanted - own) / (other - own), 0.0, 1.0);
        at.unmoved += t * (border.unmoved[next] - border.unmoved[best]);
        at.uv += t * (border.stations[next].unmoved_uv - border.stations[best].unmoved_uv);
    }
    return at;
}

/// So far outward along the surface.
Vec3 shifted(const surface::SplineSurface& carpet, const Vec3& from, const Vec2& uv, const Vec3& outward,
             double mm) {
    Vec3 p = from;
    Vec2 at = uv;
    constexpr double stride_mm = 1.0;
    const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(mm) / stride_mm)));
    for (int i = 0; i < steps; ++i) {
        const Vec3 normal = carpet.normal(at);
        const Vec3 way = (outward - normal * normal.dot(outward)).normalized();
        p += way * (mm / steps);
        carpet.project(p, at);
        p = carpet.point(at);
    }
    return p;
}

double least_radius(const std::vector<Vec3>& line, const Vec3& near, double within) {
    double least = 1e300;
    constexpr std::size_t apart = 2;
    for (std::size_t i = apart; i + apart < line.size(); ++i) {
        if ((line[i] - near).norm() > within) continue;
        const Vec3 a = line[i - apart] - line[i], b = line[i + apart] - line[i], c = b - a;
        const double area = a.cross(b).norm();
        if (area > 1e-9) least = std::min(least, a.norm() * b.norm() * c.norm() / (2.0 * area));
    }
    return least;
}

}  // namespace

Handles trim_handles(const design::FootDesign& foot, const std::shared_ptr<const Sole>& sole) {
    Handles out;
    if (sole->carpet() == nullptr || sole->surfaced()->trim.stations.size() < 8) return out;
    const auto rule = design::trim_rule(foot.trim, sole->landmarks());
    if (!rule) return out;
    const auto border = std::make_shared<const Border>(border_of(*sole));
    // the line, with these controls
    const auto line_of = [border, on = sole,
                          rule = *rule](const std::vector<surface::TrimControl>& controls) {
        surface::TrimRule with = rule;
        with.controls = controls;
        const surface::TrimShift shift(with);
        std::vector<Vec3> line;
        for (std::size_t i = 0; i < border->stations.size(); ++i) {
            const surface::TrimStation& s = border->stations[i];
            line.push_back(shifted(*on->carpet(), border->unmoved[i], s.unmoved_uv, border->outward[i],
                                   shift.at(s.station, s.medial)));
        }
        return line;
    };
    HandleCurve curve;
    curve.quiet = true;  // the line itself is drawn
    for (const Vec3& p : line_of(foot.trim.controls)) curve.points.push_back(p.head<2>());
    out.curves.push_back(curve);
    surface::TrimRule present = *rule;
    present.controls = foot.trim.controls;
    const surface::TrimShift shift(present);
    // what the controls alone move it: a new one begins there, and changes nothing
    present.width_allowance_mm = 0.0;
    present.lateral_scallop.depth_mm = 0.0;
    const surface::TrimShift own_shift(present);
    for (std::size_t i = 0; i < foot.trim.controls.size(); ++i) {
        const surface::TrimControl& control = foot.trim.controls[i];
        const BorderPlace place = border_at(*border, control.station, control.medial);
        Handle h;
        h.part = "control " + std::to_string(i + 1);
        h.snaps = false;
        h.at = shifted(*sole->carpet(), place.unmoved, place.uv, place.outward,
                       shift.at(control.station, control.medial));
        const std::string path = "trim.controls[" + std::to_string(i) + "].";
        h.move = [path, control, i, all = foot.trim.controls, place, line_of,
                  from = h.at](const Drag& d) -> Outcome<Moved> {
            // square to the line in plan it goes outward, up a wall a little of the plan is a lot of height
            const Vec2 square(place.along.y(), -place.along.x());
            constexpr double least_share = 0.25;
            const double share = std::max(std::abs(place.outward.head<2>().dot(square)), least_share);
            const Vec2 by = (d.to - d.from).head<2>();
            const double now =
                size_of(control.offset_mm + by.dot(square) / share, d, "trim.controls[].offset_mm");
            // along the line it changes its station, unless it snaps
            const double towards = (control.medial ? -1.0 : 1.0) * by.dot(place.along) / place.mm_per_station;
            const double station =
                d.snap ? control.station
                       : std::clamp(neat(std::round((control.station + towards) * 100.0) / 100.0), 0.0, 1.0);
            std::vector<surface::TrimControl> controls = all;
            controls[i].offset_mm = now;
            controls[i].station = station;
            for (std::size_t k = 0; k < controls.size(); ++k)
                if (k != i && controls[k].medial == control.medial &&
                    std::abs(controls[k].station - station) < least_apart)
                    return Fault{FaultKind::usage, "drag", "Another control lies there.", {}};
            const double radius = least_radius(line_of(controls), from, 30.0);
            std::string words = size_words(now, control.offset_mm);
            if (radius < 1e299) words += "\nleast radius near it " + rounded(radius, 1) + " mm";
            return Moved{{set_line(path + "offset_mm", now), set_line(path + "station", station)}, words};
        };
        h.remove = [i]() -> Outcome<Moved> {
            return Moved{{"entry remove trim.controls " + std::to_string(i)}, "control taken out"};
        };
        out.list.push_back(std::move(h));
    }
    out.drawn_out = true;
    out.add = [border, curve, all = foot.trim.controls, own_shift](const Vec2& plan) -> Outcome<Moved> {
        constexpr std::size_t most = 100;
        if (all.size() >= most)
            return Fault{FaultKind::usage, "drag", "The trim line has as many controls as it may have.", {}};
        const CurvePlace near = nearest_on(curve, plan);
        const auto at = static_cast<std::size_t>(near.along);
        const std::size_t next = std::min(at + 1, border->stations.size() - 1);
        const auto signed_place = [&](std::size_t k) {
            return border->stations[k].medial ? -border->stations[k].station : border->stations[k].station;
        };
        const double t = near.along - static_cast<double>(at);
        const double place = (1.0 - t) * signed_place(at) + t * signed_place(next);
        const bool medial = place < 0;
        const double station = std::clamp(std::round(std::abs(place) * 100.0) / 100.0, 0.0, 1.0);
        for (const surface::TrimControl& other : all)
            if (other.medial == medial && std::abs(other.station - station) < least_apart)
                return Fault{FaultKind::usage, "drag", "There is a control already.", {}};
        // it begins where the line is
        const double offset =
            in_range(std::round(own_shift.at(station, medial) * 10.0) / 10.0, "trim.controls[].offset_mm");
        return Moved{{"entry add trim.controls {\"station\": " + exact(station) + ", \"medial\": " +
                      (medial ? "true" : "false") + ", \"offset_mm\": " + exact(offset) + "}"},
                     "station " + rounded(station, 2),
                     "control " + std::to_string(all.size() + 1)};
    };
    return out;
}

}  // namespace archwright::editor::view
