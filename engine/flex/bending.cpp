// The discrete Kirchhoff triangle (Batoz, Bathe and Ho 1980).
#include <cmath>

#include "engine/flex/facet.hpp"

namespace archwright::flex {

namespace {

/// Seven points of degree 5 on a triangle: area coordinates and weight (sum 1). J. Radon 1948; the figures by
/// their closed forms.
struct GaussPoint {
    double xi, eta, weight;
};

std::array<GaussPoint, 7> seven_points() {
    const double root = std::sqrt(15.0);
    const double a = (6.0 - root) / 21.0, b = (6.0 + root) / 21.0;
    const double wa = (155.0 - root) / 1200.0, wb = (155.0 + root) / 1200.0;
    return {{{1.0 / 3.0, 1.0 / 3.0, 9.0 / 40.0},
             {a, a, wa},
             {1.0 - 2.0 * a, a, wa},
             {a, 1.0 - 2.0 * a, wa},
             {b, b, wb},
             {1.0 - 2.0 * b, b, wb},
             {b, 1.0 - 2.0 * b, wb}}};
}

}  // namespace

Mat3x9 bending_curvature(const Facet& facet, double xi, double eta) {
    // Coefficients of the side opposite to each corner, as the paper's a to e of sides 4 (2-3), 5 (3-1), 6
    // (1-2).
    std::array<double, 3> a, b, c, d, e;
    for (int k = 0; k < 3; ++k) {
        const int i = (k + 1) % 3, j = (k + 2) % 3;
        const double x = facet.x[i] - facet.x[j], y = facet.y[i] - facet.y[j], l2 = x * x + y * y;
        a[k] = -x / l2;
        b[k] = 0.75 * x * y / l2;
        c[k] = (0.25 * x * x - 0.5 * y * y) / l2;
        d[k] = -y / l2;
        e[k] = (0.25 * y * y - 0.5 * x * x) / l2;
    }
    // Derivatives by xi and eta of the six quadratic shape functions: corners, then middles of sides 4, 5, 6.
    const double zeta = 1.0 - xi - eta;
    const double by[6][2] = {{1.0 - 4.0 * zeta, 1.0 - 4.0 * zeta},
                             {4.0 * xi - 1.0, 0.0},
                             {0.0, 4.0 * eta - 1.0},
                             {4.0 * eta, 4.0 * xi},
                             {-4.0 * eta, 4.0 * (zeta - eta)},
                             {4.0 * (zeta - xi), -4.0 * xi}};
    Eigen::Matrix<double, 9, 2> hx, hy;
    for (int n = 0; n < 3; ++n) {
        const int before = (n + 2) % 3, after = (n + 1) % 3;  // the sides that meet in the corner
        for (int s = 0; s < 2; ++s) {
            const double np = by[3 + before][s], nq = by[3 + after][s], nn = by[n][s];
            hx(3 * n, s) = 1.5 * (a[before] * np - a[after] * nq);
            hx(3 * n + 1, s) = b[before] * np + b[after] * nq;
            hx(3 * n + 2, s) = nn - c[before] * np - c[after] * nq;
            hy(3 * n, s) = 1.5 * (d[before] * np - d[after] * nq);
            hy(3 * n + 1, s) = -nn + e[before] * np + e[after] * nq;
            hy(3 * n + 2, s) = -hx(3 * n + 1, s);
        }
    }
    const double x31 = facet.x[2] - facet.x[0], x12 = facet.x[0] - facet.x[1];
    const double y31 = facet.y[2] - facet.y[0], y12 = facet.y[0] - facet.y[1];
    Mat3x9 curvature;
    curvature.row(0) = (y31 * hx.col(0) + y12 * hx.col(1)).transpose();
    curvature.row(1) = (-x31 * hy.col(0) - x12 * hy.col(1)).transpose();
    curvature.row(2) = (-x31 * hx.col(0) - x12 * hx.col(1) + y31 * hy.col(0) + y12 * hy.col(1)).transpose();
    return curvature / (2.0 * facet.area);
}

Mat9 bending_stiffness(const Facet& facet, const Mat3& elastic, const std::array<double, 3>& wall_mm) {
    static const std::array<GaussPoint, 7> points = seven_points();
    Mat9 stiffness = Mat9::Zero();
    for (const GaussPoint& at : points) {
        const double wall = (1.0 - at.xi - at.eta) * wall_mm[0] + at.xi * wall_mm[1] + at.eta * wall_mm[2];
        const Mat3x9 curvature = bending_curvature(facet, at.xi, at.eta);
        const double share = at.weight * facet.area * wall * wall * wall / 12.0;
        stiffness += share * curvature.transpose() * elastic * curvature;
    }
    return stiffness;
}

}  // namespace archwright::flex
