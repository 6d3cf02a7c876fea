// A smooth surface through scattered points.
#pragma once

#include <cstddef>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// Points with their parameters; `weight` is the area each stands for, mm^2.
struct FitPoints {
    std::vector<Vec2> uv;
    std::vector<Vec3> position;
    std::vector<double> weight;

    std::size_t size() const { return position.size(); }
};

struct FitSettings {
    /// Weight of the thin-plate energy against the squared misfit, mm^4 / mm^2. Near 1 for a scan's 0.05 mm
    /// noise: 0.05 follows the noise, 20 flattens the walls.
    double fairness = 1.0;
};

/// Penalised least squares over a fixed tensor grid: minimises
///     sum w_i |S(uv_i) - p_i|^2 + fairness * integral (|S_uu|^2 + 2 |S_uv|^2 + |S_vv|^2) du dv
/// (D. Terzopoulos 1986; P. Dierckx, Curve and Surface Fitting with Splines, 1993). The normal matrix of a
/// tensor grid is banded: assembled cell by cell and solved by banded Cholesky, linear in the points and the
/// same bytes for any number of threads. Where there are no points the energy alone decides: a hole is filled
/// by the fairest surface.
class PenalisedFit {
  public:
    PenalisedFit(const Basis& u, const Basis& v, const FitSettings& settings = {});

    SplineSurface fit(const FitPoints& points) const;

  private:
    Basis u_, v_;
    double fairness_;
    std::vector<double> energy_;  ///< band rows of the thin-plate matrix
};

/// Moves every point's (u,v) to its nearest point of the surface by Newton steps (both cores). Returns the
/// distances, mm.
std::vector<double> project_all(const SplineSurface& surface, const std::vector<Vec3>& positions,
                                std::vector<Vec2>& uv, int iterations = 4);

/// Tukey's biweight of each residual (A. E. Beaton and J. W. Tukey 1974): 1 at zero, 0 beyond the cut. The
/// cut is `multiple` x the robust standard deviation (1.4826 x median), and at least `least_mm`, so
/// that a crease the surface cannot follow is not taken for a spike.
std::vector<double> robust_factors(const std::vector<double>& residuals, double multiple = 6.0,
                                   double least_mm = 0.3);

}  // namespace archwright::surface
