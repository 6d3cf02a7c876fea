// Closed curves in the plane of (u,v): the trim line, and loops cut into the shell.
#pragma once

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::surface {

/// Uniform periodic cubic B-spline, parameter s in [0, n) for n control points; C2 everywhere.
struct PeriodicCurve {
    std::vector<Vec2> control;

    double period() const { return static_cast<double>(control.size()); }
    Vec2 point(double s) const;
    Vec2 tangent(double s) const;  ///< d/ds
    Vec2 second(double s) const;   ///< d2/ds2
    /// The curve through the given points at s = 0, 1, 2, ... (cyclic tridiagonal solve).
    static PeriodicCurve through(const std::vector<Vec2>& points);
    /// The same curve run the other way: point(s) becomes point(period - s).
    PeriodicCurve reversed() const;
    /// Twice-signed area / 2: positive when counter-clockwise.
    double signed_area() const;
};

/// A fine polygon of a curve for inside and distance questions. Edges are kept in rows and cells, so that a
/// question costs a few edges, not all of them. Safe from several threads at once.
class Outline {
  public:
    explicit Outline(const PeriodicCurve& curve, int per_span = 16);
    /// A closed polygon as it is; the last point joins the first.
    explicit Outline(std::vector<Vec2> polygon);

    bool inside(const Vec2& p) const;
    double distance(const Vec2& p) const;  ///< unsigned, mm in (u,v)
    const std::vector<Vec2>& points() const { return points_; }
    /// Pairs of edges that cross; 0 for a simple curve.
    int self_crossings() const;
    /// Index of the first edge that crosses another; nothing for a simple curve.
    std::optional<std::size_t> first_self_crossing() const;

  private:
    std::vector<std::pair<int, int>> crossing_edges() const;
    void index();
    Vec2 edge_end(std::size_t edge) const { return points_[edge + 1 == points_.size() ? 0 : edge + 1]; }
    int row_of(double y) const;
    int column_of(double x) const;

    std::vector<Vec2> points_;
    Vec2 low_, high_;
    double cell_ = 1.0;
    int columns_ = 1, rows_ = 1;
    std::vector<int> row_begin_, row_edges_;    ///< edges that a row's horizontal lines may cross
    std::vector<int> cell_begin_, cell_edges_;  ///< edges whose boxes touch a cell
};

}  // namespace archwright::surface
