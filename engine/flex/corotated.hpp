// One flat triangle of a shell that moves and turns as far as it likes, and strains little.
#pragma once

#include <array>

#include "engine/flex/facet.hpp"

namespace archwright::flex {

/// A shell element carried along by the rigid motion that fits its corners best (C. A. Felippa and B. Haugen,
/// A unified formulation of small-strain corotational finite elements, Computer Methods in Applied Mechanics
/// and Engineering 194 (2005) 2285-2335). What is left of the corners' motion is small and strains the
/// element as it does with small deflections. Its axes: z the normal of the corners as they are, x and y
/// turned in that plane so that the corners have not turned on the whole; so the numbering of the corners
/// does not matter. Force and tangent are the exact derivatives of its energy d' K d / 2.
class CorotatedElement {
  public:
    explicit CorotatedElement(const ShellElement& unloaded);

    /// Where it is, and how it is strained there.
    struct Place {
        Mat3 axes = Mat3::Identity();     ///< rows: x, y, z in space
        std::array<Vec3, 3> corner{};     ///< from the middle of the corners, in them
        Vec18 strained = Vec18::Zero();   ///< freedoms without the rigid motion, in them
        std::array<Mat3, 3> by_spin{};    ///< how a corner's rotation follows its spin
        Mat3x9 turning = Mat3x9::Zero();  ///< spin of the axes by displacements of the corners, in them
        double spread_mm2 = 0.0;          ///< of the corners, then times now
        bool possible = false;            ///< it has an area, and no corner has turned by half a turn
    };
    /// `corners` as they are (mm); `turned` the rotations of its corners.
    Place place(const std::array<Vec3, 3>& corners, const std::array<Mat3, 3>& turned) const;

    /// What its stiffness makes of the strained freedoms, in its axes.
    Vec18 strain_force(const Place& at) const { return stiffness_ * at.strained; }
    /// The same for how these freedoms change, to the first order, with displacements and spins in space.
    Vec18 strain_force_change(const Place& at, const Vec18& change) const;

    /// Forces and moments the corners must be given, in space.
    Vec18 force(const Place& at, const Vec18& strain_force) const;
    /// Derivative of the force by displacements and spins in space, with the stress of `strain_force` (at
    /// rest in balance that of the place). Its antisymmetric part stands in the blocks of the corners' spins
    /// and is half the cross product with their moments: where these balance it sums to nothing.
    Mat18 tangent(const Place& at, const Vec18& strain_force) const;

  private:
    /// Strained freedoms by displacements and spins, both in the axes.
    Mat18 straining(const Place& at) const;

    Mat3 unloaded_axes_;
    std::array<Vec3, 3> unloaded_;  ///< corners from their middle
    Mat18 stiffness_;
};

}  // namespace archwright::flex
