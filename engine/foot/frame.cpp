#include "engine/foot/frame.hpp"

#include "engine/base/parallel.hpp"

namespace archwright::foot {

TriangleMesh to_design(const TriangleMesh& scan, const Frame& frame, bool inside_out) {
    TriangleMesh mesh;
    mesh.triangles = scan.triangles;
    mesh.colours = scan.colours;
    mesh.points.resize(scan.points.size());
    parallel_for(mesh.points.size(), 1 << 15, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) mesh.points[i] = frame.to_design(scan.points[i]);
    });
    if ((frame.side == Side::left) != inside_out) mesh.flip();
    return mesh;
}

Landmarks to_design(const Landmarks& scan, const Frame& frame) {
    Landmarks design = scan;
    for (auto& [id, landmark] : design) landmark.position = frame.to_design(landmark.position);
    return design;
}

Landmarks to_scan(const Landmarks& design, const Frame& frame) {
    Landmarks scan = design;
    for (auto& [id, landmark] : scan) landmark.position = frame.to_scan(landmark.position);
    return scan;
}

TriangleMesh to_export(const TriangleMesh& design, Side side) {
    TriangleMesh mesh = design;
    if (side == Side::left) {
        for (Vec3& p : mesh.points) p.y() = -p.y();
        mesh.flip();
    }
    return mesh;
}

std::vector<Vec2> to_export(std::vector<Vec2> design, Side side) {
    if (side == Side::left)
        for (Vec2& p : design) p.y() = -p.y();
    return design;
}

}  // namespace archwright::foot
