// What a shell is made of, as far as its flexing goes: an elastic sheet, the same in every direction or not.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"

namespace archwright::flex {

/// Linear elastic sheet under plane stress, MPa. Direction 1 is the fibre's; nu12 the contraction across when
/// pulled along it (nu21 = nu12 e2 / e1). R. M. Jones, Mechanics of Composite Materials (1975), section 2.4.
struct Lamina {
    double e1_mpa = 0.0, e2_mpa = 0.0, g12_mpa = 0.0, nu12 = 0.0;

    static Lamina isotropic(double modulus_mpa, double poisson_ratio);

    /// Stress of strain, (xx, yy, xy) with the engineering shear strain, in axes in which the fibre runs at
    /// `angle` (radians, from x to y).
    Mat3 plane_stress(double angle = 0.0) const;

    /// Fault (input, stage "flex"): a modulus that is not above 0, or a contraction that would give energy
    /// away (nu12 nu21 must be below 1).
    Outcome<Done> check() const;
};

}  // namespace archwright::flex
