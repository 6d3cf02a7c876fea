// How the foot goes on below a place that is made anew: a polynomial over a plane.
#pragma once

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::examine {

/// A smooth round dimple or dome over the plane: (1 - (r / radius)^2)^2, with zero slope at its edge. mm.
struct Dome {
    Vec2 middle = Vec2::Zero();
    double radius = 1.0;
    double at(const Vec2& p) const {
        const double rest = 1.0 - (p - middle).squaredNorm() / (radius * radius);
        return rest > 0.0 ? rest * rest : 0.0;
    }
};

/// Samples over a plane: places and heights in mm, weights in mm2.
struct Samples {
    std::vector<Vec2> at;
    std::vector<double> height, weight;
};

/// A polynomial over a plane: how the foot goes on at large. The fairest surface alone takes a cap off the
/// heads: it holds the bending as low as what lies round them allows.
class Course {
  public:
    static constexpr int degree = 6, terms = (degree + 1) * (degree + 2) / 2;

    /// By weighted least squares; where a dome is given together with its height, so that samples within the
    /// dome tell of the foot below it too. `middle` and `size` (mm) bring the places to about -1..1.
    Course(const Samples& samples, const Vec2& middle, double size, const Dome* dome);
    double height(const Vec2& at) const { return row_of(at).dot(factors_); }
    double dome_height() const { return dome_height_; }
    /// Weighted sum of squares of what it leaves, mm4.
    double misfit2() const { return misfit2_; }

  private:
    using Row = Eigen::Matrix<double, terms, 1>;
    Row row_of(const Vec2& at) const;

    Vec2 middle_;
    double size_;
    Row factors_ = Row::Zero();
    double dome_height_ = 0.0, misfit2_ = 0.0;
};

/// The course below the round dimple or dome that explains the samples best, near this place and not beyond
/// this reach (mm). Nothing when none explains them: then what lies inside says nothing of the foot below.
std::optional<Course> below_dome(const Samples& samples, const Vec2& middle, double size, const Vec2& place,
                                 double reach);

}  // namespace archwright::examine
