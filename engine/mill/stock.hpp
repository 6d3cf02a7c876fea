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
    /// The highest place within `reach` of (x, y); 0 where the block ends.
    double highest(double x, double y, double reach) const;

  private:
    HeightGrid top_;
};

/// Takes one move's sweep off a grid of heights, rows [first, last) of it. Returns the greatest depth taken
/// off anywhere.
double take_off(HeightGrid& top, const Cutter& cutter, const Vec3& a, const Vec3& b, int first, int last);

}  // namespace archwright::mill
