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

/// A triangle with what a cutter coming down on it asks for: the same for every place of the cutter.
struct ReadyTriangle {
    Vec3 a = Vec3::Zero(), b = Vec3::Zero(), c = Vec3::Zero();
    bool facet = false;  ///< it looks up or down at all; else only edges and points can stop a cutter
    bool steep = true;   ///< so steep that in plan its sides are hardly told apart
    double off_x = 0, off_y = 0;  ///< the facet is touched at (x - off_x, y - off_y)
    double lower = 0;             ///< and the tip stands so much lower
    double plane_x = 0, plane_y = 0;
    double plane = 1e300;

    ReadyTriangle() = default;
    ReadyTriangle(const Cutter& cutter, const Vec3& a, const Vec3& b, const Vec3& c);
    /// Where that cutter would stand on the facet's whole plane: nothing of the triangle stops it higher.
    double above(double x, double y) const { return plane + plane_x * x + plane_y * y; }
};

/// One triangle against a cutter whose axis stands at (x, y): raises `touch` if the triangle stops the cutter
/// above touch.z. Exact for facet, edges and points, whichever way the triangle is wound.
void drop_on(const Cutter& cutter, double x, double y, const Vec3& a, const Vec3& b, const Vec3& c,
             std::int32_t triangle, Touch& touch);
/// The same with a triangle made ready for that cutter.
void drop_on(const Cutter& cutter, double x, double y, const ReadyTriangle& ready, std::int32_t triangle,
             Touch& touch);

/// A mesh made ready for one cutter coming down from +z: in each cell of a grid the triangles that a cutter
/// with its axis in that cell can meet, those first that may stop it highest. Triangles that look down are
/// left out where the mesh is `closed`: one that looks up or sideways stops the cutter before them. Keeps the
/// mesh's points by value; safe from several threads at once.
class DropGrid {
  public:
    DropGrid(const TriangleMesh& mesh, const Cutter& cutter, bool closed = true);

    const Cutter& cutter() const { return cutter_; }
    /// What stopped the cutter last: whoever asks place after place keeps one and is answered sooner. It
    /// changes no height.
    struct Near {
        std::uint32_t kept = 0xffffffffU;
    };
    /// The lowest gouge-free place of the cutter at (x, y), no lower than `floor`.
    Touch touch(double x, double y, double floor, Near* near = nullptr) const;
    double z(double x, double y, double floor, Near* near = nullptr) const {
        return touch(x, y, floor, near).z;
    }
    /// Plan within which the cutter can touch the mesh.
    const Box3& reach() const { return reach_; }

  private:
    struct Kept {
        ReadyTriangle ready;
        double low_x = 0, high_x = 0, low_y = 0, high_y = 0, top = 0;
        std::int32_t triangle = -1;
    };
    void meet(double x, double y, std::uint32_t one, Touch& touch) const;

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
