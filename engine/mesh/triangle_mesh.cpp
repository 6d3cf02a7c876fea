#include "engine/mesh/triangle_mesh.hpp"

#include <utility>

namespace archwright {

Box3 TriangleMesh::box() const {
    Box3 box;
    for (const Vec3& p : points) box.add(p);
    return box;
}

double TriangleMesh::area() const {
    double sum = 0.0;
    for (std::size_t i = 0; i < triangles.size(); ++i) sum += area(i);
    return sum;
}

double TriangleMesh::volume() const {
    if (points.empty()) return 0.0;
    const Vec3 origin = points.front();  // keeps the terms small for a mesh far from zero
    double sum = 0.0;
    for (const Triangle& t : triangles)
        sum += (points[t[0]] - origin).dot((points[t[1]] - origin).cross(points[t[2]] - origin));
    return sum / 6.0;
}

std::vector<Vec3> TriangleMesh::point_normals() const {
    std::vector<Vec3> normals(points.size(), Vec3::Zero());
    for (std::size_t i = 0; i < triangles.size(); ++i) {
        const Vec3 n = normal2(i);
        for (const std::int32_t p : triangles[i]) normals[p] += n;
    }
    for (Vec3& n : normals)
        if (const double length = n.norm(); length > 0.0) n /= length;
    return normals;
}

void TriangleMesh::flip() {
    for (Triangle& t : triangles) std::swap(t[1], t[2]);
}

}  // namespace archwright
