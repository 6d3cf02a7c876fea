// The design frame and the one mirror.
#pragma once

#include <vector>

#include "engine/base/side.hpp"
#include "engine/base/vec.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::foot {

/// From the scan file's own coordinates to the design frame (mm, +x heel to toes, +y medial, +z up, origin
/// under the heel centre on the supporting plane). design = R * M * (mm_per_unit * p) + t, where
/// M = diag(1, -1, 1) for a left foot (the one mirror) and the identity for a right one.
struct Frame {
    Side side = Side::right;
    double mm_per_unit = 1.0;
    Mat3 rotation = Mat3::Identity();
    Vec3 translation = Vec3::Zero();

    Vec3 to_design(const Vec3& scan) const { return rotation * mirrored(mm_per_unit * scan) + translation; }
    Vec3 to_scan(const Vec3& design) const {
        return mirrored(rotation.transpose() * (design - translation)) / mm_per_unit;
    }
    /// A rigid motion applied after this frame: p -> r * p + t.
    Frame then(const Mat3& r, const Vec3& t) const {
        return {side, mm_per_unit, r * rotation, r * translation + t};
    }

  private:
    Vec3 mirrored(const Vec3& p) const { return side == Side::left ? Vec3(p.x(), -p.y(), p.z()) : p; }
};

/// The mirror in: scan mesh (file units) to the design frame. Winding is flipped with the mirror, and once
/// more when `inside_out` (a negative scanned from inside), so that normals point out of the foot.
TriangleMesh to_design(const TriangleMesh& scan, const Frame& frame, bool inside_out);

/// Landmarks from the scan file's coordinates to the design frame and back; everything but the place stays.
Landmarks to_design(const Landmarks& scan, const Frame& frame);
Landmarks to_scan(const Landmarks& design, const Frame& frame);

/// The mirror out: a finished mesh from the design frame to the export frame (design frame, mirrored back for
/// a left foot, winding flipped with it).
TriangleMesh to_export(const TriangleMesh& design, Side side);
/// The same of points in plan.
std::vector<Vec2> to_export(std::vector<Vec2> design, Side side);

}  // namespace archwright::foot
