#include "editor/view/fields.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"

namespace archwright::editor::view {

namespace {

/// A ray from so far below the ground meets everything above it, mm.
constexpr double below_mm = 10.0, above_mm = 1000.0;

}  // namespace

double reach_radius(const Bvh& surface, const Vec3& p, const Vec3& n, double gouge, double most) {
    double radius = most;
    for (int round = 0; round < 64 && radius > gouge; ++round) {
        const auto near = surface.nearest(p + radius * n, radius - gouge);
        if (!near || near->distance >= radius - gouge) break;
        const Vec3 q = near->point - p;
        const double rise = n.dot(q) - gouge;
        if (!(rise > 0.0)) break;  // q lies beside p: rounding
        // the ball that cuts in at q by just the gouge
        const double smaller = (q.squaredNorm() - gouge * gouge) / (2.0 * rise);
        if (!(smaller < radius)) break;
        radius = std::max(smaller, 0.0);
    }
    return radius;
}

double slope_of(const Vec3& normal) {
    const double length = normal.norm();
    if (!(length > 0.0)) return 0.0;
    return degrees(std::atan2(std::hypot(normal.x(), normal.y()), std::abs(normal.z())));
}

double free_height(const std::vector<const Bvh*>& bodies, const Vec2& plan, double ground) {
    double least = std::numeric_limits<double>::infinity();
    const Vec3 from(plan.x(), plan.y(), ground - below_mm);
    for (const Bvh* body : bodies)
        if (const auto hit = body->ray(from, Vec3::UnitZ(), 0.0, above_mm))
            least = std::min(least, hit->t - below_mm);
    return least;
}

std::vector<float> each_point(std::size_t count, const std::function<double(std::size_t)>& value) {
    std::vector<float> out(count);
    parallel_for(count, 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) out[i] = static_cast<float>(value(i));
    });
    return out;
}

double usual_greatest(std::vector<float> values) {
    for (float& v : values) v = std::abs(v);
    if (values.empty()) return 1.0;
    const auto at = static_cast<std::ptrdiff_t>(0.995 * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return static_cast<double>(values[static_cast<std::size_t>(at)]);
}

}  // namespace archwright::editor::view
