// What is left of a block while a program is planned: its upper face, on a coarse grid.
#pragma once

#include "engine/mill/reach.hpp"

namespace archwright::mill {

class StockTop {
  public:
    /// The whole block in a set-up: z = 0 on its upper face.
    StockTop(const Vec3& block, double step);
    /// Takes off what surely goes round every node: the cutter smaller by three quarters of a step all round,
    /// so that no sliver between nodes is forgotten.
    void cut(const Cutter& cutter, const Vec3& a, const Vec3& b);
    /// How low a cutter may come at (x, y) without touching what stands: its end let down on every node, as
    /// if what stands there stood three quarters of a step nearer.
    double free_for(const Cutter& cutter, double x, double y) const;

    /// Whether what surely stood under the cutter at (x, y) is gone down to `z`, as far as `cut` tells it.
    bool cleared(const Cutter& cutter, double x, double y, double z) const;

  private:
    HeightGrid top_;
};

/// Takes one move's sweep off a grid of heights, rows [first, last) of it. Returns the greatest depth taken
/// off anywhere. Where `below`, a grid of the same nodes, is given, a node cut down to it is gone: no_height.
double take_off(HeightGrid& top, const Sweep& sweep, int first, int last, const HeightGrid* below = nullptr);

}  // namespace archwright::mill
