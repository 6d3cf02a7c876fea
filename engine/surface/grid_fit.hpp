// Fast fits on a tensor grid, and exact refinement of what was fitted.
#pragma once

#include <array>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/surface/bspline.hpp"

namespace archwright::surface {

/// Least squares of one clamped cubic basis against fixed sample positions: the normal matrix N^T N has half
/// bandwidth 3 and is factorised once.
class LineFit {
  public:
    /// `per_span` (>= 1) evenly spaced samples a knot span, both ends included.
    LineFit(const Basis& basis, int per_span);

    const std::vector<double>& positions() const { return positions_; }
    /// Coefficients from `width` interleaved columns of samples: samples[i * width + c], i along positions().
    std::vector<double> solve(const std::vector<double>& samples, std::size_t width) const;
    /// The same along the other direction: samples[r * positions().size() * dim + i * dim + c] for `rows`
    /// rows.
    std::vector<double> solve_rows(const std::vector<double>& samples, std::size_t rows,
                                   std::size_t dim) const;

  private:
    struct Row {
        int first;
        std::array<double, 4> n;
    };
    int count_;
    std::vector<double> positions_;
    std::vector<Row> rows_;
    std::vector<std::array<double, 4>> factor_;  // L by rows: [3] the diagonal's inverse, [0..2] left of it
};

/// Separable least squares on a tensor grid of samples: minimises sum |S(u_i, v_j) - x_ij|^2 exactly by one
/// solve along u and one along v. Make it once for a domain and use it for every surface and field over it.
/// With 2 samples a span, a smooth function is met to O(h^4).
class GridFit {
  public:
    GridFit(const Basis& u, const Basis& v, int per_span = 2);

    const Basis& u() const { return u_; }
    const Basis& v() const { return v_; }
    /// Sample positions, mm in [0, length]; the first and last are the ends.
    const std::vector<double>& us() const { return along_u_.positions(); }
    const std::vector<double>& vs() const { return along_v_.positions(); }
    /// Number of samples a fit takes; sample (i, j) stands at index i * vs().size() + j.
    std::size_t size() const { return us().size() * vs().size(); }

    SplineSurface fit(const std::vector<Vec3>& samples) const;
    SplineField fit(const std::vector<double>& samples) const;

  private:
    Basis u_, v_;
    LineFit along_u_, along_v_;
};

/// The same basis with every span halved.
Basis refined(const Basis& basis);

/// The same surface or field over knots twice as dense in both directions: exact knot insertion by blossoms
/// (L. Ramshaw, Blossoms are polar forms, 1989).
SplineSurface refine(const SplineSurface& surface);
SplineField refine(const SplineField& field);

}  // namespace archwright::surface
