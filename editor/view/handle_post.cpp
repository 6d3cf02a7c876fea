// Posts in plan, and the wall along the device.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "editor/view/handle_values.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/base/text.hpp"
#include "engine/build/post_outline.hpp"
#include "engine/design/trim.hpp"

namespace archwright::editor::view {

Handles post_handles(const design::FootDesign& foot, const std::string& name,
                     const std::shared_ptr<const Sole>& sole) {
    Handles out;
    const auto rule = design::trim_rule(foot.trim, sole->landmarks());
    if (!rule) return out;
    const Vec2 heel = rule->heel_centre.head<2>();
    // what a drag along each axis of the plan adds
    const auto size = [&](const char* part, const std::string& path, const Vec2& at, double value,
                          const Vec2& gain) {
        Handle h;
        h.part = part;
        h.glyph = Handle::Glyph::size;
        h.at = Vec3(at.x(), at.y(), 0.0);
        h.move = [path, value, gain](const Drag& d) -> Outcome<Moved> {
            const double now = size_of(value + gain.dot((d.to - d.from).head<2>()), d, path.c_str());
            return Moved{{set_line(path, now)}, size_words(now, value)};
        };
        out.list.push_back(std::move(h));
    };
    HandleCurve curve;
    curve.closed = true;
    if (const feature::RearfootPost& rear = foot.posts.rearfoot; name == "rearfoot" && rear.on) {
        curve.points = build::rearfoot_outline(rear, *rule);
        const double front = heel.x() - 0.5 * rear.width_mm + rear.length_mm;
        size("length", "posts.rearfoot.length_mm", {front, heel.y()}, rear.length_mm, {1.0, 0.0});
        // broader it also begins further back, so that it is round behind the heel centre
        size("width", "posts.rearfoot.width_mm", {heel.x(), heel.y() + 0.5 * rear.width_mm}, rear.width_mm,
             {0.0, 2.0});
        if (rear.motion_deg > 0.0)
            size("hinge", "posts.rearfoot.hinge_mm", {0.5 * (heel.x() + front), heel.y() + rear.hinge_mm},
                 rear.hinge_mm, {0.0, 1.0});
    }
    if (const feature::ForefootPost& fore = foot.posts.forefoot; name == "forefoot" && fore.on) {
        // about its breadth: that of the finished one is what the underside leaves flat
        constexpr double half_breadth_mm = 20.0;
        const double middle = surface::axis_y(*rule, rule->first_head.x());
        const auto edge = [&](double y, double back) -> Vec2 {
            return {surface::distal_edge_x(*rule, y) - back, y};
        };
        for (const double across : {-half_breadth_mm, 0.0, half_breadth_mm})
            curve.points.push_back(edge(middle + across, 0.0));
        for (const double across : {half_breadth_mm, 0.0, -half_breadth_mm})
            curve.points.push_back(edge(middle + across, fore.length_mm));
        size("length", "posts.forefoot.length_mm", edge(middle, fore.length_mm), fore.length_mm, {-1.0, 0.0});
    }
    if (const feature::FlatContact& flat = foot.posts.flat_contact; name == "flat_contact" && flat.on) {
        constexpr int pieces = 32;
        for (int i = 0; i < pieces; ++i) {
            const double a = 2.0 * std::numbers::pi * i / pieces;
            curve.points.push_back(heel + 0.5 * flat.diameter_mm * Vec2(std::cos(a), std::sin(a)));
        }
        size("diameter", "posts.flat_contact.diameter_mm", heel + Vec2(0.0, 0.5 * flat.diameter_mm),
             flat.diameter_mm, {0.0, 2.0});
    }
    if (!curve.points.empty()) out.curves.push_back(std::move(curve));
    return out;
}

Handles station_handles(const design::Wall& wall) {
    Handles out;
    for (std::size_t i = 0; i < wall.stations.size(); ++i) {
        const design::WallStation& station = wall.stations[i];
        const double low = i > 0 ? wall.stations[i - 1].along + 0.01 : 0.0,
                     high = i + 1 < wall.stations.size() ? wall.stations[i + 1].along - 0.01 : 1.0;
        Handle h;
        h.part = "station " + std::to_string(i + 1);
        h.snaps = false;
        h.at = Vec3(station.along, station.wall_mm, 0.0);
        h.move = [i, station, low, high](const Drag& d) -> Outcome<Moved> {
            const std::string path = "wall.stations[" + std::to_string(i) + "].";
            const double along =
                std::clamp(neat(std::round(d.to.x() * 100.0) / 100.0), low, std::max(low, high));
            const double mm = size_of(d.to.y(), d, "wall.stations[].wall_mm");
            return Moved{{set_line(path + "along", neat(along)), set_line(path + "wall_mm", mm)},
                         size_words(mm, station.wall_mm) + "\nat " + rounded(along, 2)};
        };
        h.remove = [i]() -> Outcome<Moved> {
            return Moved{{"station remove " + std::to_string(i)}, "station taken out"};
        };
        out.list.push_back(std::move(h));
    }
    out.add = [stations = wall.stations](const Vec2& place) -> Outcome<Moved> {
        Drag here;
        const double along = std::clamp(std::round(place.x() * 100.0) / 100.0, 0.0, 1.0);
        const double mm = size_of(place.y(), here, "wall.stations[].wall_mm");
        std::size_t before = 0;
        for (const design::WallStation& s : stations) before += s.along < along ? 1 : 0;
        return Moved{{"station add " + exact(neat(along)) + " " + exact(mm)},
                     rounded(mm, 1) + " mm",
                     "station " + std::to_string(before + 1)};
    };
    return out;
}

}  // namespace archwright::editor::view
