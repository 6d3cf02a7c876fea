#include "engine/foot/rest.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"

namespace archwright::foot {

namespace {

double cross2(const Vec3& a, const Vec3& b, const Vec2& p) {
    return (b.x() - a.x()) * (p.y() - a.y()) - (b.y() - a.y()) * (p.x() - a.x());
}

bool holds(const std::array<Vec3, 3>& t, const Vec2& load) {
    const double u = cross2(t[0], t[1], load), v = cross2(t[1], t[2], load), w = cross2(t[2], t[0], load);
    return (u >= 0.0 && v >= 0.0 && w >= 0.0) || (u <= 0.0 && v <= 0.0 && w <= 0.0);
}

/// Upward normal of the plane through three points; zero when they stand in one vertical plane.
Vec3 normal_of(const std::array<Vec3, 3>& t) {
    const Vec3 n = (t[1] - t[0]).cross(t[2] - t[0]);
    if (!(std::abs(n.z()) > tolerance::degenerate * (t[1] - t[0]).norm() * (t[2] - t[0]).norm()))
        return Vec3::Zero();
    return n / (n.z() > 0.0 ? n.norm() : -n.norm());
}

}  // namespace

double Rest::height_at(double x, double y) const {
    const Vec3& c = contacts[0];
    return c.z() - (normal.x() * (x - c.x()) + normal.y() * (y - c.y())) / normal.z();
}
double Rest::inclination_deg() const {
    return degrees(std::atan2(-normal.y(), normal.z()));
}
double Rest::pitch_deg() const {
    return degrees(std::atan2(normal.x(), normal.z()));
}

std::optional<Rest> rest_under(std::span<const Vec3> points, const Vec2& load) {
    // three far corners above everything hold any load; whatever lies below their plane takes their places
    constexpr double far = 1e5, high = 1e7;
    std::array<Vec3, 3> corners{Vec3(load.x() - far, load.y() - far, high),
                                Vec3(load.x() + far, load.y() - far, high),
                                Vec3(load.x(), load.y() + far, high)};
    constexpr int most_rounds = 1000;  // a dozen is usual: each round lowers the plane under the load
    for (int round = 0; round < most_rounds; ++round) {
        const Vec3 n = normal_of(corners);
        if (n == Vec3::Zero()) return std::nullopt;
        const Vec3* lowest = nullptr;
        double depth = -tolerance::mirror_mm;  // rounding of the points on the plane itself
        for (const Vec3& p : points) {
            const double above = n.dot(p - corners[0]);
            if (above < depth) {
                depth = above;
                lowest = &p;
            }
        }
        if (lowest == nullptr) {
            for (const Vec3& corner : corners)
                if (corner.z() == high) return std::nullopt;
            return Rest{corners, n};
        }
        bool placed = false;
        for (std::size_t k = 0; k < 3 && !placed; ++k) {
            std::array<Vec3, 3> next = corners;
            next[k] = *lowest;
            if (!holds(next, load) || normal_of(next) == Vec3::Zero()) continue;
            corners = next;
            placed = true;
        }
        if (!placed) return std::nullopt;
    }
    return std::nullopt;
}

double turn_between_deg(const Rest& a, const Rest& b) {
    return degrees(std::acos(std::clamp(a.normal.dot(b.normal), -1.0, 1.0)));
}

}  // namespace archwright::foot
