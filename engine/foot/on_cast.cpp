#include "engine/foot/on_cast.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <limits>
#include <optional>
#include <vector>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::foot {

namespace {

/// Height of the points' quadric at a place of their plane, by least squares.
std::optional<double> height_over(const std::vector<Vec3>& local, const Vec2& at) {
    if (local.size() < 12) return std::nullopt;
    using Row = Eigen::Matrix<double, 6, 1>;
    const auto row_of = [](double x, double y) {
        Row row;
        row << 1.0, x, y, x * x, x * y, y * y;
        return row;
    };
    Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
    Row right = Row::Zero();
    for (const Vec3& p : local) {
        const Row row = row_of(p.x(), p.y());
        normal += row * row.transpose();
        right += p.z() * row;
    }
    const Eigen::LDLT<Eigen::Matrix<double, 6, 6>> solver(normal);
    if (solver.info() != Eigen::Success || !(solver.rcond() > 1e-9)) return std::nullopt;
    return row_of(at.x(), at.y()).dot(Row(solver.solve(right)));
}

/// In mm; empty when the place is to stay.
std::optional<Vec3> laid_on(const TriangleMesh& cast, double mm_per_unit, const Vec3& place) {
    const NearestOn near = nearest_on(cast, place);
    if (near.triangle < 0 || near.distance * mm_per_unit > tolerance::landmark_off_look_mm)
        return std::nullopt;
    std::vector<std::int32_t> patch;
    const double reach = landmark_patch_mm / mm_per_unit;
    for (std::size_t i = 0; i < cast.points.size(); ++i)
        if ((cast.points[i] - near.point).squaredNorm() <= reach * reach)
            patch.push_back(static_cast<std::int32_t>(i));
    Vec3 normal = Vec3::Zero();
    for (std::size_t t = 0; t < cast.triangles.size(); ++t) {
        const Triangle& c = cast.triangles[t];
        if ((cast.points[c[0]] - near.point).squaredNorm() <= reach * reach) normal += cast.normal2(t);
    }
    if (!(normal.norm() > 0.0)) normal = cast.normal2(static_cast<std::size_t>(near.triangle));
    if (!(normal.norm() > 0.0)) return std::nullopt;
    normal.normalize();
    const Vec3 way = near.point - place;
    // beside the cast's edge the nearest point is on the edge, not below the landmark; near by it may lie
    // aslant because of noise alone
    constexpr double near_by_mm = 1.5;
    if (way.norm() * mm_per_unit > near_by_mm && std::abs(way.dot(normal)) < 0.7 * way.norm())
        return std::nullopt;
    const Vec3 u = normal.unitOrthogonal(), v = normal.cross(u);
    std::vector<Vec3> local;
    for (const std::int32_t i : patch) {
        const Vec3 d = mm_per_unit * (cast.points[static_cast<std::size_t>(i)] - near.point);
        local.emplace_back(d.dot(u), d.dot(v), d.dot(normal));
    }
    const Vec3 from = mm_per_unit * (place - near.point);
    const double height = height_over(local, {from.dot(u), from.dot(v)}).value_or(0.0);
    // along the normal alone: where it was marked across it stays
    return place + (height - from.dot(normal)) / mm_per_unit * normal;
}

}  // namespace

NearestOn nearest_on(const TriangleMesh& mesh, const Vec3& p) {
    NearestOn nearest;
    nearest.distance = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        const Triangle& t = mesh.triangles[i];
        const Vec3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
        const double corner = (p - a).squaredNorm(),
                     side = std::max((b - a).squaredNorm(), (c - a).squaredNorm());
        // The corner's distance less the longest side is the least the triangle's can be, so that most are
        // passed over: (least + side)^2 <= 2 (least^2 + side^2).
        if (corner > 2.0 * (nearest.distance * nearest.distance + side)) continue;
        const Vec3 q = nearest_on_triangle(p, a, b, c);
        const double d = (q - p).norm();
        if (d < nearest.distance) nearest = {d, q, static_cast<std::int32_t>(i)};
    }
    return nearest;
}

Landmarks on_cast(const TriangleMesh& cast, double mm_per_unit, const Landmarks& landmarks) {
    Landmarks laid = landmarks;
    std::vector<Landmark*> all;
    for (auto& [id, landmark] : laid) all.push_back(&landmark);
    parallel_for(all.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            if (const auto p = laid_on(cast, mm_per_unit, all[i]->position)) all[i]->position = *p;
    });
    return laid;
}

}  // namespace archwright::foot
