// A rational B-spline curve in the plane, as drawings hold it.
#pragma once

#include <string>
#include <vector>

#include "engine/shoe/pieces.hpp"

namespace archwright::shoe {

struct Nurbs {
    int degree = 3;
    std::vector<double> knots;    ///< in order, control points + degree + 1 of them
    std::vector<Vec2> control;    ///< mm
    std::vector<double> weights;  ///< one a control point, or none: all 1

    /// What keeps it from being a curve, as the end of a sentence; empty when it is one.
    std::string trouble() const;
    /// Point at parameter t, within the knots [degree] and [size of control] (de Boor's algorithm).
    Vec2 point(double t) const;
    /// Adds it to the pieces, its first point included.
    bool add_to(Pieces& pieces) const;
};

}  // namespace archwright::shoe
