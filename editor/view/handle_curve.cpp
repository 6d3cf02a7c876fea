#include "editor/view/handle_curve.hpp"

#include <algorithm>
#include <cmath>

#include "engine/surface/loop.hpp"

namespace archwright::editor::view {

CurvePlace nearest_on(const HandleCurve& curve, const Vec2& plan) {
    CurvePlace best;
    const std::size_t count = curve.points.size();
    for (std::size_t i = 0; i + (curve.closed ? 0 : 1) < count; ++i) {
        const Vec2 a = curve.points[i], way = curve.points[(i + 1) % count] - a;
        const double square = way.squaredNorm();
        const double t = square > 0 ? std::clamp((plan - a).dot(way) / square, 0.0, 1.0) : 0.0;
        const double distance = (a + t * way - plan).norm();
        if (distance < best.distance) best = {a + t * way, distance, static_cast<double>(i) + t};
    }
    return best;
}

bool holds(const HandleCurve& curve, const Vec2& plan) {
    if (curve.closed) return curve.points.size() > 2 && surface::Outline(curve.points).inside(plan);
    return nearest_on(curve, plan).distance <= curve.half_mm;
}

double area_of(const HandleCurve& curve) {
    double sum = 0;
    const std::size_t count = curve.points.size();
    for (std::size_t i = 0; i + (curve.closed ? 0 : 1) < count; ++i) {
        const Vec2 &a = curve.points[i], &b = curve.points[(i + 1) % count];
        sum += curve.closed ? 0.5 * (a.x() * b.y() - b.x() * a.y()) : 2.0 * curve.half_mm * (b - a).norm();
    }
    return std::abs(sum);
}

}  // namespace archwright::editor::view
