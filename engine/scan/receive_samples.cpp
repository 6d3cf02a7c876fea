#include "engine/scan/receive_samples.hpp"

#include <cmath>

#include "engine/base/parallel.hpp"

namespace archwright::scan {
namespace {

// Fractional parts of multiples of these two numbers fill the unit square evenly (the two-dimensional
// relative of the golden section: roots of g^3 = g + 1, Roberts 2018).
constexpr double step_u = 0.7548776662466927;
constexpr double step_v = 0.5698402909980532;

Vec3 within(const Vec3& a, const Vec3& b, const Vec3& c, std::size_t ordinal) {
    if (ordinal == 0) return (a + b + c) / 3.0;
    double u = std::fmod(0.5 + step_u * static_cast<double>(ordinal), 1.0);
    double v = std::fmod(0.5 + step_v * static_cast<double>(ordinal), 1.0);
    if (u + v > 1.0) {
        u = 1.0 - u;
        v = 1.0 - v;
    }
    return a + u * (b - a) + v * (c - a);
}

}  // namespace

Samples take_samples(const TriangleMesh& mesh, std::size_t count, const std::vector<std::uint8_t>& usable) {
    const std::size_t n = mesh.triangles.size();
    std::vector<double> until(n);
    parallel_for(n, 1 << 14, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) until[i] = usable.empty() || usable[i] ? mesh.area(i) : 0.0;
    });
    double total = 0.0;
    for (double& a : until) {
        if (std::isfinite(a)) total += a;
        a = total;
    }
    Samples samples;
    if (!(total > 0.0) || count == 0) return samples;
    samples.area_each = total / static_cast<double>(count);
    samples.position.reserve(count);
    samples.normal.reserve(count);
    std::size_t triangle = 0;
    std::size_t ordinal = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const double at = (static_cast<double>(k) + 0.5) * samples.area_each;
        const std::size_t before = triangle;
        while (triangle + 1 < n && until[triangle] < at) ++triangle;
        ordinal = k > 0 && triangle == before ? ordinal + 1 : 0;
        const Triangle& t = mesh.triangles[triangle];
        const Vec3 normal = mesh.normal2(triangle);
        const double length = normal.norm();
        if (!(length > 0.0)) continue;
        samples.position.push_back(within(mesh.points[t[0]], mesh.points[t[1]], mesh.points[t[2]], ordinal));
        samples.normal.push_back(normal / length);
    }
    return samples;
}

}  // namespace archwright::scan
