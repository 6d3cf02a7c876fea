// Random triangles, patches and sheets for the tests of this folder.
#pragma once

#include <Eigen/Geometry>
#include <array>

#include "assets/generator/random.hpp"
#include "engine/flex/linear.hpp"

namespace archwright::tests {

Mat3 random_turn(generator::Random& random);
/// Isotropic half the time.
flex::Lamina random_lamina(generator::Random& random);

struct RandomTriangle {
    std::array<Vec3, 3> corners;
    std::array<double, 3> wall_mm;
    flex::Lamina lamina;
    Vec3 fibre;
    flex::ShellElement element() const { return {corners, wall_mm, lamina, fibre}; }
};
/// Sides of 1 to 10 mm, no angle below some 15 degrees, anywhere within 20 mm of the origin.
RandomTriangle random_triangle(generator::Random& random);

/// A flat patch anywhere in space of irregular triangles, its border held as constant strain and curvature
/// would move it, and what that means inside.
struct Patch {
    flex::Model model;
    flex::LinearCase load_case;
    Mat3 axes;              ///< rows: the patch's x, y, z in space
    Eigen::VectorXd exact;  ///< all freedoms
    Vec3 stress_top, stress_under;
    double stress_scale = 0.0;
};
Patch random_patch(generator::Random& random);

}  // namespace archwright::tests
