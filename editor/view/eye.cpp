#include "editor/view/eye.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::editor::view {

namespace {

/// Field of the long lens, degrees.
constexpr double lens_deg = 23.0;
constexpr double least_zoom = 0.2, most_zoom = 40.0;

}  // namespace

Eye Eye::from(std::string_view word) {
    Eye eye;
    if (word == "lateral") eye.turn_deg = 146;
    if (word == "behind") eye.turn_deg = -90, eye.lift_deg = 14;
    if (word == "above") eye.turn_deg = 0, eye.lift_deg = 89.5;
    if (word == "below") eye.turn_deg = 0, eye.lift_deg = -89.5;
    return eye;
}

void Eye::drag(const Vec2& pixels) {
    turn_deg = std::remainder(turn_deg - 0.4 * pixels.x(), 360.0);
    lift_deg = std::clamp(lift_deg + 0.4 * pixels.y(), -89.5, 89.5);
}

void Eye::nearer(double factor, const Vec2& cursor, const Vec2& size) {
    const double before = zoom;
    zoom = std::clamp(zoom * factor, least_zoom, most_zoom);
    const Vec2 away = cursor - 0.5 * size - pan;
    pan -= (zoom / before - 1.0) * away;
}

picture::Camera camera_of(const Eye& eye, const Shown& shown, const Vec2& size, double margin,
                          double lifted_mm) {
    const double hand = picture::handed(shown.side());
    const double turn = radians(eye.turn_deg), lift = radians(eye.lift_deg);
    const Vec3 forward =
        -Vec3(std::sin(turn) * std::cos(lift), hand * std::cos(turn) * std::cos(lift), std::sin(lift));
    picture::Camera camera(shown.side(), forward, Vec3::UnitZ(), lens_deg);
    Box3 box = shown.box();
    if (box.empty()) box.add(Vec3(0, -50, 0)), box.add(Vec3(250, 50, 80));
    box.high.z() += lifted_mm;
    const Vec3 middle = box.centre();
    const double radius = 0.5 * box.size().norm();
    // where it lands at one pixel a mm gives its place and size
    camera.aim(middle, Vec2::Zero(), 1.0, radius);
    Vec2 low = Vec2::Constant(1e300), high = Vec2::Constant(-1e300);
    for (const Vec3& p : shown.frame())
        for (const double up : {0.0, lifted_mm}) {
            const Vec2 at = camera.project(p + Vec3(0, 0, up)).head<2>();
            low = low.cwiseMin(at);
            high = high.cwiseMax(at);
        }
    if (shown.frame().empty()) low = Vec2::Constant(-radius), high = Vec2::Constant(radius);
    const Vec2 extent = (high - low).cwiseMax(1.0),
               room = (size - Vec2::Constant(2.0 * margin)).cwiseMax(8.0);
    const double scale = eye.zoom * std::min(room.x() / extent.x(), room.y() / extent.y());
    camera.aim(middle, 0.5 * size + eye.pan - scale * 0.5 * (low + high), scale, radius);
    return camera;
}

}  // namespace archwright::editor::view
