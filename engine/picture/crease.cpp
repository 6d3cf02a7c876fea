#include "engine/picture/crease.hpp"

#include <cmath>
#include <numbers>
#include <vector>

namespace archwright::picture {

TriangleMesh creased(const TriangleMesh& mesh, std::size_t first, std::size_t last, double degrees) {
    const double least = std::cos(degrees * std::numbers::pi / 180.0);
    // each point's copies, and the direction its first triangle gave each of them
    struct Copy {
        std::int32_t point;
        Vec3 normal;
    };
    std::vector<std::vector<Copy>> copies(mesh.points.size());
    TriangleMesh out;
    out.triangles.reserve(last - first);
    for (std::size_t k = first; k < last; ++k) {
        const Vec3 normal = mesh.normal2(k).normalized();
        Triangle t = mesh.triangles[k];
        for (std::int32_t& c : t) {
            std::vector<Copy>& of_point = copies[static_cast<std::size_t>(c)];
            const Copy* best = nullptr;
            for (const Copy& copy : of_point)
                if (copy.normal.dot(normal) > least &&
                    (best == nullptr || copy.normal.dot(normal) > best->normal.dot(normal)))
                    best = &copy;
            if (best == nullptr) {
                of_point.push_back({static_cast<std::int32_t>(out.points.size()), normal});
                out.points.push_back(mesh.points[static_cast<std::size_t>(c)]);
                best = &of_point.back();
            }
            c = best->point;
        }
        out.triangles.push_back(t);
    }
    return out;
}

}  // namespace archwright::picture
