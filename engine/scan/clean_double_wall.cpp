// A cast scanned on both faces: found by looking for a second, parallel layer close by.
#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/scan/clean.hpp"

namespace archwright::scan {

namespace {

constexpr double nearest_layer_mm = 0.3;   // nearer is noise, or the same sheet scanned twice
constexpr double farthest_layer_mm = 8.0;  // plaster bandage and foam shells stay below; toes are above
constexpr double parallel_cosine = 0.85;   // some 32 degrees: walls of uneven thickness
constexpr std::size_t most_rays = 60000;   // a share to a hundredth needs far fewer

/// Distance from a triangle's middle to the nearest parallel layer, along the normal or against it; 0 when
/// there is none.
float layer_near(const Bvh& bvh, std::size_t triangle) {
    const TriangleMesh& mesh = bvh.mesh();
    const Triangle& t = mesh.triangles[triangle];
    const Vec3 normal2 = mesh.normal2(triangle);
    const double length = normal2.norm();
    if (!(length > 0.0)) return 0.0f;
    const Vec3 n = normal2 / length;
    const Vec3 middle = (mesh.points[t[0]] + mesh.points[t[1]] + mesh.points[t[2]]) / 3.0;
    double nearest = 0.0;
    for (const double side : {-1.0, 1.0}) {
        const auto hit = bvh.ray(middle, side * n, nearest_layer_mm, farthest_layer_mm);
        if (!hit) continue;
        const Vec3 m = mesh.normal2(static_cast<std::size_t>(hit->triangle));
        if (std::abs(m.dot(n)) < parallel_cosine * m.norm()) continue;
        if (nearest == 0.0 || hit->t < nearest) nearest = hit->t;
    }
    return static_cast<float>(nearest);
}

}  // namespace

std::optional<DoubleWall> find_double_wall(const TriangleMesh& mm_mesh) {
    const std::size_t count = mm_mesh.triangles.size();
    if (count == 0) return std::nullopt;
    const Bvh bvh(mm_mesh);
    // A sample, evenly through the file.
    const std::size_t stride = std::max<std::size_t>(1, count / most_rays);
    std::vector<float> gap((count + stride - 1) / stride);
    parallel_for(gap.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) gap[i] = layer_near(bvh, i * stride);
    });
    double area = 0.0;
    double layered = 0.0;
    std::vector<float> gaps;
    for (std::size_t i = 0; i < gap.size(); ++i) {
        const double a = mm_mesh.area(i * stride);
        area += a;
        if (gap[i] == 0.0f) continue;
        layered += a;
        gaps.push_back(gap[i]);
    }
    if (!(area > 0.0) || layered < tolerance::double_wall_share * area) return std::nullopt;

    const auto middle = gaps.begin() + static_cast<std::ptrdiff_t>(gaps.size() / 2);
    std::nth_element(gaps.begin(), middle, gaps.end());
    return DoubleWall{layered / area, static_cast<double>(*middle)};
}

}  // namespace archwright::scan
