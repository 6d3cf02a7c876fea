// A stack of plies as one sheet: classical lamination theory.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"
#include "engine/flex/lamina.hpp"

namespace archwright::flex {

/// One layer: its fibres' angle from x (radians, towards y, seen from the foot) and its thickness.
struct Ply {
    double angle = 0.0;
    double thickness_mm = 0.0;
};

/// Plies of one stuff, from the underside to the foot side.
struct Laminate {
    Lamina ply;
    std::vector<Ply> plies;

    double thickness_mm() const;
    /// Fault (input, stage "flex"): no plies, one without thickness, a lamina that cannot be.
    Outcome<Done> check() const;
};

/// Forces and moments a width of strains and curvatures of the middle: N = A e + B k, M = B e + D k.
/// A N/mm, B N, D N mm; order (xx, yy, engineering xy), z towards the foot. R. M. Jones, Mechanics of
/// Composite Materials (1975), section 4.2; J. N. Reddy, Mechanics of Laminated Composite Plates and Shells.
struct LaminateStiffness {
    Mat3 stretching = Mat3::Zero(), coupling = Mat3::Zero(), bending = Mat3::Zero();
};
LaminateStiffness stiffness_of(const Laminate& laminate);

/// What a shell needs of its stuff wherever its wall may be: the matrices A / t and 12 D / t^3, MPa, in axes
/// in which x runs along the device. A stack that fills every wall in the same proportions has the same at
/// every wall, so stretching grows with t and bending with its cube. One stuff throughout has both alike.
/// Coupling is left out: `symmetric` stacks have none.
struct Sheet {
    Mat3 stretching = Mat3::Zero(), bending = Mat3::Zero();

    static Sheet of(const Lamina& lamina);
    static Sheet of(const Laminate& laminate);
    /// In axes in which the sheet's x runs at `angle` (radians).
    Sheet turned(double angle) const;
    /// Modulus along x of a narrow strip that bends, 12 / (t^3 d11), MPa, d the inverse of D.
    double bending_modulus() const;
    /// Plate rigidity of cylindrical bending along x for a wall, N mm: D11 = t^3 / 12 times the first entry,
    /// for one stuff E t^3 / (12 (1 - nu^2)).
    double rigidity(double wall_mm) const;
};

/// Plies mirrored about the middle: pulled, such a stack does not curl.
bool symmetric(const Laminate& laminate);

/// A plane-stress stiffness in axes in which its own x runs at `angle` (radians): T' Q T.
Mat3 turned(const Mat3& stiffness, double angle);

}  // namespace archwright::flex
