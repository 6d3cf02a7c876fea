// The wall map as balls carried by the foot side (docs: definitions, Wall).
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::surface {

/// The wall map, mm: the wall asked for at (u,v); a map anchored in plan is evaluated at the carpet's point.
/// Called from several threads at once.
using WallFunction = std::function<double(const Vec2& uv, const Vec3& carpet_point)>;
/// Height of a feature over (u,v) along the carpet's normal, mm, > 0 towards the foot; may be empty (none).
/// Called from several threads at once.
using FeatureFunction = std::function<double(const Vec2& uv)>;

/// One ball: the height of its centre over the carpet, along the normal, and its radius, mm.
struct Ball {
    double height_mm = 0.0, radius_mm = 0.0;

    bool operator==(const Ball&) const = default;
};

/// One sheet of balls: centres at carpet + height n, each with its radius. The foot side itself is the first
/// sheet; where a relief is thinned its radius is the minimum wall and the bare carpet is a second sheet with
/// the map's; an integral pad is the same (the bare carpet carries the map, so the underside stays).
struct BallLayer {
    FeatureFunction height;
    WallFunction radius;
};

/// Balls at the nodes of a lattice, with second-order patches between them: centres and radii are continued
/// from a node by their central differences, so a question is answered for the continuous sheet, not for the
/// nodes alone (error of third order in the spacing).
class BallSheet {
  public:
    BallSheet(const Lattice& lattice, std::vector<Vec3> centres, std::vector<double> radii);

    /// Largest t at which the ray s - t n leaves a ball of this sheet that lies near (u,v); the same as the
    /// smallest t outside all of them for a wall thinner than the sheet's radius of curvature. Nothing below
    /// `at_least` is looked for: it is returned instead.
    double exit(const Vec3& s, const Vec3& n, const Vec2& uv, double at_least = -1e300) const;
    /// Least of (distance from x to the centre - radius) over the balls near (u,v), mm.
    double clearance(const Vec3& x, const Vec2& uv) const;

    /// Other balls at some of the nodes, in the order of their indices.
    void replace(const std::vector<std::size_t>& nodes, const std::vector<Vec3>& centres,
                 const std::vector<double>& radii);
    /// Nodes [i0, i1] x [j0, j1] that an answer at (u,v) can depend on.
    struct Window {
        int i0, i1, j0, j1;
    };
    Window window(const Vec2& uv) const;

    const Lattice& lattice() const { return lattice_; }
    const std::vector<Vec3>& centres() const { return centres_; }
    const std::vector<double>& radii() const { return radii_; }

  private:
    struct Node {
        int i, j;
    };
    struct Patch;  // second-order continuation about a node
    Node nearest(const Vec2& uv) const;
    Patch patch(const Node& node) const;
    struct Tile;
    Tile own_tile(std::size_t tile) const;
    void spread_reach();
    std::pair<int, int> reach_in_nodes(const Node& node, double distance) const;
    template <class Objective>
    double climb(const Objective& objective, Node node) const;
    template <class Objective>
    double search(const Objective& objective, Node node, double distance, double at_least) const;

    Lattice lattice_;
    std::vector<Vec3> centres_;
    std::vector<double> radii_;
    // Per tile of nodes: the greatest radius within reach, the least step between nodes, and whether the
    // sheet is so even there that one hill has one top.
    struct Tile {
        double reach = 0.0, step_u = 1.0, step_v = 1.0;
        bool calm = true;
    };
    int tiles_u_ = 1, tiles_v_ = 1;
    std::vector<Tile> own_, tiles_;  // of its own nodes alone; with all within reach
    const Tile& tile(const Node& node) const;
};

/// Samples one layer on a lattice of the carpet.
BallSheet sample_layer(const Lattice& lattice, const LatticeFrames& carpet, const BallLayer& layer);

}  // namespace archwright::surface
