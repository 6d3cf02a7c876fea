#include "engine/picture/crease.hpp"

#include <cmath>
#include <numbers>
#include <vector>

namespace archwright::picture {

TriangleMesh creased(const TriangleMesh& mesh, std::size_t first, std::size_t last, double degrees) {
    const double least = std::cos(degrees * std::numbers::pi / 180.0);
    // each point's copies in a chain, newest last, and the direction its first triangle gave each of them
    struct Copy {
        Vec3 normal;
        std::int32_t next;
    };
    std::vector<std::int32_t> first_copy(mesh.points.size(), -1);
    std::vector<Copy> copies;  // as many as there are points of `out`
    TriangleMesh out;
    out.triangles.reserve(last - first);
    for (std::size_t k = first; k < last; ++k) {
        const Vec3 normal = mesh.normal2(k).normalized();
        Triangle t = mesh.triangles[k];
        for (std::int32_t& c : t) {
            std::int32_t best = -1, last_copy = -1;
            double best_cosine = least;
            for (std::int32_t i = first_copy[static_cast<std::size_t>(c)]; i >= 0;
                 i = copies[static_cast<std::size_t>(i)].next) {
                const double cosine = copies[static_cast<std::size_t>(i)].normal.dot(normal);
                if (cosine > best_cosine) best = i, best_cosine = cosine;
                last_copy = i;
            }
            if (best < 0) {
                best = static_cast<std::int32_t>(out.points.size());
                (last_copy < 0 ? first_copy[static_cast<std::size_t>(c)]
                               : copies[static_cast<std::size_t>(last_copy)].next) = best;
                copies.push_back({normal, -1});
                out.points.push_back(mesh.points[static_cast<std::size_t>(c)]);
            }
            c = best;
        }
        out.triangles.push_back(t);
    }
    return out;
}

}  // namespace archwright::picture
