// What a cutter can come to from one side, and what it must leave.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mill/drop.hpp"
#include "engine/mill/sweep.hpp"

namespace archwright::mill {

/// Heights over the nodes of a square grid: node (i, k) stands at (x0 + i step, y0 + k step). mm.
struct HeightGrid {
    double x0 = 0.0, y0 = 0.0, step = 0.2;
    int nx = 0, ny = 0;
    std::vector<double> z;  ///< row by row

    double x(int i) const { return x0 + i * step; }
    double y(int k) const { return y0 + k * step; }
    double& at(int i, int k) { return z[static_cast<std::size_t>(k) * nx + i]; }
    double at(int i, int k) const { return z[static_cast<std::size_t>(k) * nx + i]; }
};

/// Height of a node over which there is nothing.
inline constexpr double no_height = -1e9;

/// A grid over the plan of a box grown by `margin`, without heights. Fault (usage) when it would have more
/// than 40 million nodes.
Outcome<HeightGrid> grid_over(const Box3& box, double margin, double step);

/// The highest place of the mesh over each node; no_height beside it.
void top_heights(HeightGrid& grid, const TriangleMesh& mesh);

/// The cutter's tip at each node: as low as the mesh lets it, no lower than `floor`.
void tip_heights(HeightGrid& grid, const DropGrid& drop, double floor);

/// What a cutter leaves above the mesh when it has stood at every node of `tips`: over each node of the grid
/// the lowest height cut, exact for these places of the cutter.
HeightGrid cut_heights(const HeightGrid& tips, const Cutter& cutter);

/// Material that stays, seen from +z.
struct Reach {
    HeightGrid stays;         ///< mm above the mesh, along z; 0 beside it
    double most_mm = 0.0;     ///< of all nodes
    double area_mm2 = 0.0;    ///< in plan, of nodes where more than `told_mm` stays
    double volume_mm3 = 0.0;  ///< of all that stays over the mesh
    Vec3 where = Vec3::Zero();
    static constexpr double told_mm = 0.05;
};
/// For one cutter from +z, on a grid; it stands no lower than its holder, and a shank thicker than itself
/// above the flutes, clear the mesh. Fault as grid_over; cancelled.
Outcome<Reach> reach(const TriangleMesh& mesh, const Cutter& cutter, double step, double floor,
                     Progress* progress = nullptr);

/// For places of the mesh's surface with their outward normals: how much this cutter must leave on them,
/// measured along the normal, 0..Needle::length_mm. 0 where it can touch the place itself without cutting
/// elsewhere (that place of the cutter is tried exactly); else what its places at the nodes of `tips` leave,
/// which errs by up to step^2 / (8 corner radius) upward. Places that look down are not reached.
/// `square`, where given: how squarely a needle there leaves the cutter's end at that depth, the cosine
/// between the place's normal and the end's. What stands d mm further out along the needle stands d x square
/// over the cutter's end: beside the foot of a wall a needle goes through the round it must leave aslant, and
/// a cusp on that round is 1 / square as long along it. 1 where the place itself is touched, or is not
/// reached.
std::vector<double> unreached(const DropGrid& drop, const HeightGrid& tips, const std::vector<Vec3>& places,
                              const std::vector<Vec3>& normals, double floor,
                              std::vector<double>* square = nullptr);

/// The greatest ball that touches the surface in `place` from outside and is nowhere more than `let_in`
/// inside it (R. Ma and others 2012, "3D medial axis point approximation using nearest neighbors and the
/// normal field"): a concave place has a small one, and a ball-nosed cutter larger than it does not reach the
/// place. mm, up to `most`.
double concave_radius(const Bvh& bvh, const Vec3& place, const Vec3& normal, double most, double let_in);

}  // namespace archwright::mill
