#include "engine/examine/flat.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"

namespace archwright::examine {

namespace {

constexpr double flat_blur_mm = 1.5, seed_mm = 7.0, within_mm = 0.15, flat_reach_mm = 35.0, ring_mm = 18.0,
                 clear_mm = 3.0;
constexpr int seed_stride = 3;
constexpr std::size_t seeds = 120;

struct Plane {
    Vec3 centre = Vec3::Zero(), normal = Vec3::UnitZ();
    std::size_t inliers = 0;
};

Plane plane_of(const std::vector<Vec3>& points, const std::vector<std::size_t>& of) {
    Plane plane;
    for (std::size_t k : of) plane.centre += points[k];
    plane.centre /= static_cast<double>(of.size());
    Mat3 spread = Mat3::Zero();
    for (std::size_t k : of) {
        const Vec3 d = points[k] - plane.centre;
        spread += d * d.transpose();
    }
    plane.normal = Eigen::SelfAdjointEigenSolver<Mat3>(spread).eigenvectors().col(0);
    if (plane.normal.z() < 0.0) plane.normal = -plane.normal;
    plane.inliers = of.size();
    return plane;
}

Plane grown_plane(const std::vector<Vec3>& points, std::size_t seed) {
    std::vector<std::size_t> near;
    for (std::size_t k = 0; k < points.size(); ++k)
        if ((points[k] - points[seed]).norm() < seed_mm) near.push_back(k);
    if (near.size() < 10) return {};
    Plane plane = plane_of(points, near);
    for (int round = 0; round < 3; ++round) {
        std::vector<std::size_t> inliers;
        for (std::size_t k = 0; k < points.size(); ++k) {
            const Vec3 d = points[k] - plane.centre;
            if (std::abs(d.dot(plane.normal)) < within_mm && d.norm() < flat_reach_mm) inliers.push_back(k);
        }
        if (inliers.size() < 10) return {};
        plane = plane_of(points, inliers);
    }
    return plane;
}

constexpr int quartic = 15;
Eigen::Matrix<double, quartic, 1> powers(double x, double y) {
    Eigen::Matrix<double, quartic, 1> f;
    int c = 0;
    for (int d = 0; d <= 4; ++d)
        for (int e = 0; e <= d; ++e) f[c++] = std::pow(x, d - e) * std::pow(y, e);
    return f;
}

}  // namespace

std::optional<Flat> find_flat(const Relief& relief, const Mask& region, const Mask& leave_out) {
    const Image smooth = blurred(relief.height, relief.seen, flat_blur_mm / relief.step());
    const auto at = [&](std::size_t k) {
        return Vec3(relief.map.position[k] +
                    static_cast<double>(smooth.a[k] - relief.map.height[k]) * relief.map.away[k]);
    };
    std::vector<Vec3> points;
    for (int i = 0; i < region.nu; i += seed_stride)
        for (int j = 0; j < region.nv; j += seed_stride)
            if (region.at(i, j) && !leave_out.at(i, j)) points.push_back(at(region.index(i, j)));
    if (points.size() < 60) return std::nullopt;

    const std::size_t stride = std::max<std::size_t>(1, points.size() / seeds);
    std::vector<Plane> planes(points.size() / stride);
    parallel_for(planes.size(), 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) planes[k] = grown_plane(points, k * stride);
    });
    Plane best;
    for (const Plane& plane : planes)
        if (plane.inliers > best.inliers) best = plane;
    if (best.inliers < 20) return std::nullopt;

    Flat flat;
    Mask on(region.nu, region.nv);
    for (std::size_t k = 0; k < on.size(); ++k) {
        if (!region.a[k]) continue;
        const Vec3 d = at(k) - best.centre;
        on.a[k] = std::abs(d.dot(best.normal)) < within_mm && d.norm() < flat_reach_mm;
    }
    on = grown(shrunk(on, 2.0), 2.0);
    const Labels parts = parts_of(on);
    if (parts.sizes.empty()) return std::nullopt;
    const std::int32_t largest = static_cast<std::int32_t>(
        std::max_element(parts.sizes.begin(), parts.sizes.end()) - parts.sizes.begin());
    flat.nodes = Mask(region.nu, region.nv);
    Vec3 middle = Vec3::Zero();
    double count = 0.0;
    for (std::size_t k = 0; k < on.size(); ++k)
        if (parts.of.a[k] == largest) {
            flat.nodes.a[k] = 1;
            middle += at(k);
            count += 1.0;
        }
    middle /= count;
    flat.normal = best.normal;
    flat.area = count * relief.step() * relief.step();

    // height over the plane, downwards, in its own frame
    const Vec3 a = Vec3::UnitY().cross(best.normal).normalized(), b = best.normal.cross(a);
    const double scale = 30.0;
    const auto local = [&](const Vec3& p) {
        const Vec3 d = p - middle;
        return Vec3(d.dot(a) / scale, d.dot(b) / scale, -d.dot(best.normal));
    };
    Eigen::Matrix2d spread = Eigen::Matrix2d::Zero();
    double nearest = 1e300;
    for (std::size_t k = 0; k < on.size(); ++k)
        if (flat.nodes.a[k]) {
            const Vec3 q = local(at(k));
            const Vec2 p = q.head<2>() * scale;
            spread += p * p.transpose();
            if (p.norm() < nearest) {
                nearest = p.norm();
                flat.place = at(k);
            }
        }
    const Eigen::Vector2d ways = Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(spread / count).eigenvalues();
    flat.length = 4.0 * std::sqrt(std::max(0.0, ways[1]));
    flat.breadth = 4.0 * std::sqrt(std::max(0.0, ways[0]));

    const Mask clear = grown(flat.nodes, clear_mm / relief.step()),
               ring = grown(flat.nodes, ring_mm / relief.step());
    Eigen::Matrix<double, quartic, quartic> n = Eigen::Matrix<double, quartic, quartic>::Zero();
    Eigen::Matrix<double, quartic, 1> r = Eigen::Matrix<double, quartic, 1>::Zero();
    double squares = 0.0;
    int used = 0;
    for (int i = 0; i < ring.nu; i += 2)
        for (int j = 0; j < ring.nv; j += 2) {
            const std::size_t k = ring.index(i, j);
            if (!ring.a[k] || clear.a[k] || !relief.seen.a[k] || leave_out.a[k]) continue;
            if (relief.map.away[k].dot(best.normal) > -0.25) continue;  // the wall
            const Vec3 q = local(at(k));
            const auto f = powers(q.x(), q.y());
            n += f * f.transpose();
            r += q.z() * f;
            squares += q.z() * q.z();
            ++used;
        }
    if (used < 150) return std::nullopt;
    const Eigen::Matrix<double, quartic, 1> x = n.ldlt().solve(r);
    std::vector<double> bulge;
    for (std::size_t k = 0; k < on.size(); ++k)
        if (flat.nodes.a[k]) {
            const Vec3 q = local(at(k));
            bulge.push_back(x.dot(powers(q.x(), q.y())) - q.z());
        }
    std::sort(bulge.begin(), bulge.end());
    flat.depth = bulge[bulge.size() * 9 / 10];
    const double misfit = std::sqrt(std::max(0.0, squares - x.dot(r)) / used);
    flat.depth_sd = std::hypot(0.25 * flat.depth, 2.0 * misfit);  // carried over a gap as wide as the ring
    return flat;
}

}  // namespace archwright::examine
