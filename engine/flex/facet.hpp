// One flat triangle of a shell: membrane and bending in its own plane.
#pragma once

#include <Eigen/Dense>
#include <array>

#include "engine/base/vec.hpp"
#include "engine/flex/lamina.hpp"
#include "engine/flex/laminate.hpp"

namespace archwright::flex {

using Vec6 = Eigen::Matrix<double, 6, 1>;
using Mat6 = Eigen::Matrix<double, 6, 6>;
using Vec9 = Eigen::Matrix<double, 9, 1>;
using Mat9 = Eigen::Matrix<double, 9, 9>;
using Vec18 = Eigen::Matrix<double, 18, 1>;
using Mat18 = Eigen::Matrix<double, 18, 18>;
using Mat3x9 = Eigen::Matrix<double, 3, 9>;

/// A triangle's place: its axes in space and its corners in them (mm). x runs along the first side, z is the
/// normal (towards the foot when the corners run counter-clockwise seen from there).
struct Facet {
    Mat3 axes = Mat3::Identity();  ///< rows: x, y, z in space
    std::array<double, 3> x{}, y{};
    double area = 0.0;  ///< mm2

    Facet() = default;
    explicit Facet(const std::array<Vec3, 3>& corners);
    /// Angle of a direction in space, laid on the triangle, from x (radians).
    double angle_of(const Vec3& direction) const;
};

/// Membrane stiffness, N/mm and N, freedoms (u, v, rotation about z) a corner: the optimal triangle of
/// C. A. Felippa, A study of optimal membrane triangles with drilling freedoms, Computer Methods in Applied
/// Mechanics and Engineering 192 (2003) 2125-2168. `elastic` MPa, `wall_mm` the mean wall, `contraction` the
/// nu^2 of its beta0 = (1 - 4 nu^2) / 2 (orthotropic: nu12 nu21, our reading; the paper has isotropic only).
Mat9 membrane_stiffness(const Facet& facet, const Mat3& elastic, double wall_mm, double contraction);

/// Mean membrane strain (xx, yy, engineering xy) of the same freedoms: the part that patch tests are about.
Mat3x9 membrane_strain(const Facet& facet);

/// Bending stiffness of the discrete Kirchhoff triangle, freedoms (w, rotation about x, about y) a corner:
/// J.-L. Batoz, K.-J. Bathe and L.-W. Ho, A study of three-node triangular plate bending elements,
/// International Journal for Numerical Methods in Engineering 15 (1980) 1771-1812. The wall runs straight
/// from corner to corner; its cube is taken at seven Gauss points (degree 5, so exact for a wall linear to
/// the third).
Mat9 bending_stiffness(const Facet& facet, const Mat3& elastic, const std::array<double, 3>& wall_mm);

/// Curvatures (1/mm) of those freedoms at area coordinates (1 - xi - eta, xi, eta): strain at the height z
/// above the middle is z times this.
Mat3x9 bending_curvature(const Facet& facet, double xi, double eta);

/// A shell element: a facet with its wall and stuff. Freedoms of a corner: displacements (mm) and rotation
/// vector (radians), in space. Small displacements; large ones come by taking the rigid motion out of
/// `local_of` first.
class ShellElement {
  public:
    /// `fibre`: direction 1 of the lamina in space, laid on the triangle.
    ShellElement(const std::array<Vec3, 3>& corners, const std::array<double, 3>& wall_mm,
                 const Lamina& lamina, const Vec3& fibre = Vec3::UnitX());
    /// Of a sheet that stretches and bends by matrices of its own; `along`: its x in space.
    ShellElement(const std::array<Vec3, 3>& corners, const std::array<double, 3>& wall_mm, const Sheet& sheet,
                 const Vec3& along = Vec3::UnitX());

    const Facet& facet() const { return facet_; }
    /// Stress of strain, MPa, in the facet's axes; of a laminate the mean through its wall.
    const Mat3& elastic() const { return sheet_.stretching; }
    /// Stress on the faces of the strain they get by bending; of a laminate that of one stuff as stiff.
    const Mat3& elastic_bending() const { return sheet_.bending; }
    /// In the facet's axes.
    const Mat18& local_stiffness() const { return local_; }
    /// Derivative of the internal force by the freedoms, in space.
    Mat18 tangent() const;
    /// Forces and moments that the corners must be given for these freedoms, in space.
    Vec18 internal_force(const Vec18& freedoms) const;
    /// The freedoms in the facet's axes.
    Vec18 local_of(const Vec18& freedoms) const;

  private:
    Facet facet_;
    Sheet sheet_;  ///< in the facet's axes
    Mat18 local_;
};

/// Freedoms of a corner that the membrane and the bending parts use.
inline constexpr std::array<int, 3> membrane_freedoms{0, 1, 5}, bending_freedoms{2, 3, 4};

}  // namespace archwright::flex
