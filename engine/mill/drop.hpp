// A cutter let down on triangles along its axis, exactly.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"
#include "engine/mill/cutter.hpp"

namespace archwright::mill {

/// Where a cutter coming down stops.
struct Touch {
    enum class On { nothing, facet, edge, point };
    double z = 0.0;  ///< of its tip, mm
    On on = On::nothing;
    std::int32_t triangle = -1;
    Vec3 place = Vec3::Zero();  ///< on that triangle; without meaning where it touches nothing
};

/// One triangle against a cutter whose axis stands at (x, y): raises `touch` if the triangle stops the cutter
/// above touch.z. Exact for facet, edges and points, whichever way the triangle is wound.
void drop_on(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c,
             std::int32_t triangle, Touch& touch);

/// A mesh made ready for one cutter coming down from +z: in each cell of a grid the triangles that a cutter
/// with its axis in that cell can meet, those first that may stop it highest. Triangles that look down are
/// left out where the mesh is `closed`: one that looks up or sideways stops the cutter before them. Keeps the
/// mesh's points by value; safe from several threads at once.
class DropGrid {
  public:
    DropGrid(const TriangleMesh& mesh, const Cutter& cutter, bool closed = true);

    const Cutter& cutter() const { return cutter_; }
    /// The lowest gouge-free place of the cutter at (x, y), no lower than `floor`.
    Touch touch(double x, double y, double floor) const;
    double z(double x, double y, double floor) const { return touch(x, y, floor).z; }
    /// Plan within which the cutter can touch the mesh.
    const Box3& reach() const { return reach_; }

  private:
    struct Kept {
        Vec3 a, b, c;
        double low_x, high_x, low_y, high_y, top;
        std::int32_t triangle;
    };
    Cutter cutter_;
    Box3 reach_;
    double cell_ = 1.0;
    int columns_ = 0, rows_ = 0;
    std::vector<Kept> kept_;
    /// Nothing of that triangle stops a cutter in this cell above `bound`.
    struct Entry {
        float bound;
        std::uint32_t kept;
    };
    std::vector<std::uint32_t> begin_;
    std::vector<Entry> list_;
};

/// The mesh as it lies when turned half round about its x axis: what was below is above (-z becomes +z).
TriangleMesh turned_over(const TriangleMesh& mesh);

}  // namespace archwright::mill
