#include "engine/foot/frame.hpp"

namespace archwright::foot {

TriangleMesh to_design(const TriangleMesh& scan, const Frame& frame, bool inside_out) {
    TriangleMesh mesh = scan;
    for (Vec3& p : mesh.points) p = frame.to_design(p);
    if ((frame.side == Side::left) != inside_out) mesh.flip();
    return mesh;
}

TriangleMesh to_export(const TriangleMesh& design, Side side) {
    TriangleMesh mesh = design;
    if (side == Side::left) {
        for (Vec3& p : mesh.points) p.y() = -p.y();
        mesh.flip();
    }
    return mesh;
}

}  // namespace archwright::foot
