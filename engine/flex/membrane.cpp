// The optimal membrane triangle (Felippa 2003), by its basic and higher-order parts.
#include <algorithm>

#include "engine/flex/facet.hpp"

namespace archwright::flex {

namespace {

/// Share of the corner rotations in the lumping of constant stress; 3/2 is the optimum.
constexpr double rotation_share = 1.5;
/// Least beta0: nearly incompressible sheets keep a little of the higher-order part.
constexpr double least_beta0 = 0.01;

struct Sides {
    const Facet& f;
    double x(int i, int j) const { return f.x[i] - f.x[j]; }
    double y(int i, int j) const { return f.y[i] - f.y[j]; }
    double squared(int i, int j) const { return x(i, j) * x(i, j) + y(i, j) * y(i, j); }
};

/// Rotations of the corners less the mean rotation of the linear displacement.
Mat3x9 hierarchical_rotation(const Facet& facet) {
    const Sides side{facet};
    Mat3x9 of = Mat3x9::Zero();
    for (int m = 0; m < 3; ++m) {
        const int j = (m + 1) % 3, k = (m + 2) % 3;
        for (int row = 0; row < 3; ++row) {
            of(row, 3 * m) = side.x(k, j) / (4.0 * facet.area);
            of(row, 3 * m + 1) = side.y(k, j) / (4.0 * facet.area);
        }
        of(m, 3 * m + 2) = 1.0;
    }
    return of;
}

}  // namespace

Mat3x9 membrane_strain(const Facet& facet) {
    const Sides side{facet};
    Mat3x9 strain;
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3, k = (i + 2) % 3;
        const double a = rotation_share;
        strain.col(3 * i) << side.y(j, k), 0.0, side.x(k, j);
        strain.col(3 * i + 1) << 0.0, side.x(k, j), side.y(j, k);
        strain.col(3 * i + 2) << a / 6.0 * side.y(j, k) * (side.y(i, k) - side.y(j, i)),
            a / 6.0 * side.x(k, j) * (side.x(k, i) - side.x(i, j)),
            a / 3.0 * (side.x(k, i) * side.y(i, k) - side.x(i, j) * side.y(j, i));
    }
    return strain / (2.0 * facet.area);
}

Mat9 membrane_stiffness(const Facet& facet, const Mat3& elastic, double wall_mm, double contraction) {
    const Sides side{facet};
    const double volume = facet.area * wall_mm;
    const Mat3x9 basic = membrane_strain(facet);
    Mat9 stiffness = volume * basic.transpose() * elastic * basic;

    // strains along the three sides and their Cartesian strain
    std::array<double, 3> squared{};
    Mat3 cartesian;
    for (int i = 0; i < 3; ++i) {
        const int j = (i + 1) % 3, k = (i + 2) % 3;
        squared[i] = side.squared(i, j);
        cartesian.col(i) << side.y(j, k) * side.y(i, k), side.x(j, k) * side.x(i, k),
            side.y(j, k) * side.x(k, i) + side.x(k, j) * side.y(i, k);
        cartesian.col(i) *= squared[i] / (4.0 * facet.area * facet.area);
    }
    const Mat3 natural = cartesian.transpose() * elastic * cartesian;

    // strains along the sides at the corners for the corners' hierarchical rotations: beta 1..9 of the paper,
    // of corner 1; the other corners by turning rows and columns on
    Mat3 first;
    first << 1.0, 2.0, 1.0, 0.0, 1.0, -1.0, -1.0, -1.0, -2.0;
    std::array<Mat3, 3> corner;
    for (int n = 0; n < 3; ++n)
        for (int row = 0; row < 3; ++row)
            for (int column = 0; column < 3; ++column)
                corner[n]((row + n) % 3, (column + n) % 3) =
                    first(row, column) * 2.0 * facet.area / (3.0 * squared[(row + n) % 3]);
    Mat3 rotations = Mat3::Zero();
    for (int n = 0; n < 3; ++n) {
        const Mat3 middle = 0.5 * (corner[n] + corner[(n + 1) % 3]);
        rotations += volume * middle.transpose() * natural * middle;
    }
    const double beta0 = std::max(0.5 * (1.0 - 4.0 * contraction), least_beta0);
    const Mat3x9 hierarchical = hierarchical_rotation(facet);
    stiffness += 0.75 * beta0 * hierarchical.transpose() * rotations * hierarchical;
    return stiffness;
}

}  // namespace archwright::flex
