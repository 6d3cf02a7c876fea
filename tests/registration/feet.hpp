// Feet for the tests of registration: one generated foot in several meshings, and what is done to a scan.
#pragma once

#include <Eigen/Geometry>
#include <random>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"
#include "engine/registration/motion.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"

namespace archwright::tests {

/// A turn about a random axis by up to `degrees_most`, a shift of up to `shift_most` mm.
inline registration::Motion random_motion(std::mt19937_64& random, double degrees_most, double shift_most) {
    const auto direction = [&] {
        const double x = polar_normal(random);
        const double y = polar_normal(random);
        const double z = polar_normal(random);
        return Vec3(Vec3(x, y, z).normalized());
    };
    const Vec3 axis = direction(), way = direction();
    const double angle = radians(uniform(random, 0.0, degrees_most));
    const double length = uniform(random, 0.0, shift_most);
    registration::Motion motion;
    motion.turn = Eigen::AngleAxisd(angle, axis).toRotationMatrix();
    motion.shift = length * way;
    return motion;
}

inline TriangleMesh moved(TriangleMesh mesh, const registration::Motion& motion) {
    for (Vec3& p : mesh.points) p = motion(p);
    return mesh;
}

/// White noise along the normals.
inline void add_noise(TriangleMesh& mesh, double sd_mm, std::mt19937_64& random) {
    const std::vector<Vec3> normals = mesh.point_normals();
    for (std::size_t i = 0; i < mesh.points.size(); ++i)
        mesh.points[i] += sd_mm * polar_normal(random) * normals[i];
}

/// A dent of the cast: dimple along the normals, depth (1 - (r/R)^2)^2.
inline void add_dent(TriangleMesh& mesh, const Vec3& at, double radius_mm, double depth_mm) {
    const std::vector<Vec3> normals = mesh.point_normals();
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        const double share = (mesh.points[i] - at).squaredNorm() / (radius_mm * radius_mm);
        if (share < 1.0) mesh.points[i] -= depth_mm * (1.0 - share) * (1.0 - share) * normals[i];
    }
}

/// What lies within a ball is missing, of such a size that this share of the triangles goes.
inline void cut_out(TriangleMesh& mesh, const Vec3& at, double share) {
    std::vector<double> distances;
    const auto distance = [&](const Triangle& t) { return (mesh.points[t[0]] - at).norm(); };
    for (const Triangle& t : mesh.triangles) distances.push_back(distance(t));
    const auto rank = static_cast<std::ptrdiff_t>(share * static_cast<double>(distances.size()));
    std::nth_element(distances.begin(), distances.begin() + rank, distances.end());
    const double radius = distances[static_cast<std::size_t>(rank)];
    std::erase_if(mesh.triangles, [&](const Triangle& t) { return distance(t) < radius; });
}

inline Vec3 random_point(const TriangleMesh& mesh, std::mt19937_64& random) {
    return mesh.points[static_cast<std::size_t>(uniform(random, 0.0, 1.0) *
                                                static_cast<double>(mesh.points.size() - 1))];
}

/// The worst a point of the mesh is off, mm, and the angle, degrees.
struct MotionError {
    double mm = 0.0, degrees = 0.0;
};
inline MotionError error_of(const registration::Motion& found, const registration::Motion& truth,
                            const TriangleMesh& mesh) {
    MotionError error;
    for (std::size_t i = 0; i < mesh.points.size(); i += 37)
        error.mm = std::max(error.mm, (found(mesh.points[i]) - truth(mesh.points[i])).norm());
    error.degrees = found.inverse().then(truth).angle_deg();
    return error;
}

/// The generator's plain foot, about this many triangles; kept.
inline const TriangleMesh& meshed_foot(std::size_t triangles) {
    static std::map<std::size_t, TriangleMesh> kept;
    auto& mesh = kept[triangles];
    if (mesh.points.empty()) mesh = generator::Foot::make({}).value().mesh_of(triangles).value();
    return mesh;
}

}  // namespace archwright::tests
