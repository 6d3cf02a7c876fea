// Iterated closest points from one start: point to plane, robust.
#pragma once

#include "engine/registration/motion.hpp"
#include "engine/registration/surface.hpp"

namespace archwright::registration {

using Mat6 = Eigen::Matrix<double, 6, 6>;

/// How well a surface lies on another after its motion.
struct Fit {
    Motion motion;  ///< moving to fixed
    /// Root mean square of the distances along the normal of what counted, by its weight, mm.
    double rms_mm = 0.0;
    /// Median of the distances, of either sign, of everything that has a counterpart, mm: half of the surface
    /// lies nearer.
    double median_mm = 0.0;
    double overlap = 0.0;  ///< share of the samples that have a counterpart
    double used = 0.0;     ///< share of the samples that counted: sum of their weights
    /// Mean square of the distances, none more than score_limit_mm, what has no counterpart as that: by it
    /// starts are compared.
    double score_mm2 = 0.0;
    /// Of the turn (radians, about `centre`) and the shift (mm), from what counted, as if neighbouring
    /// samples erred independently: real ones do not, so it is the least that must be expected.
    Mat6 covariance = Mat6::Zero();
    Vec3 centre = Vec3::Zero();
    /// Least and greatest share of a unit motion that shows along the normals (eigenvalues of the mean outer
    /// product of (r x n / L, n), L the root mean square of r): how firmly the worst motion is held.
    double least_held = 0.0, most_held = 0.0;
    Vec3 weak_turn = Vec3::Zero(), weak_shift = Vec3::Zero();  ///< that motion: turn times L, and shift
    int rounds = 0;
    bool settled = false;

    double condition() const { return least_held > 0.0 ? most_held / least_held : 1e300; }
};

inline constexpr double score_limit_mm = 10.0;

struct Course {
    double reach_mm = 60.0;  ///< counterparts are looked for so far away at first
    int most_rounds = 80;
};

/// Each round: the nearest point of `fixed` to every sample; pairs at its border or whose normals part by
/// more than 60 degrees are left out; distances along the fixed surface's normal are minimised by the weights
/// of Tukey's biweight, (1 - (r / c)^2)^2 within c = 4.685 s, s = 1.4826 x the median of the distances (J. W.
/// Tukey 1977; P. J. Rousseeuw and C. Croux, J Am Stat Assoc 88:1273, 1993 for the constant). Point to plane:
/// Y. Chen and G. Medioni, Image Vis Comput 10:145, 1992.
Fit settle(const Fixed& fixed, const Samples& moving, const Motion& start, const Course& course = {});

}  // namespace archwright::registration
