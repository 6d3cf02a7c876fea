#include "tests/flex/random_shell.hpp"

#include <algorithm>
#include <cmath>

#include "tests/flex/grids.hpp"

namespace archwright::tests {

Mat3 random_turn(generator::Random& random) {
    const double w = random.normal();
    const double x = random.normal();
    const double y = random.normal();
    const double z = random.normal();
    return Eigen::Quaterniond(w, x, y, z).normalized().toRotationMatrix();
}

flex::Lamina random_lamina(generator::Random& random) {
    const double modulus = random.between(500.0, 3000.0);
    const double ratio = random.between(0.0, 0.45);
    if (random.uniform() < 0.5) return flex::Lamina::isotropic(modulus, ratio);
    const double across = modulus * random.between(0.1, 1.0);
    const double shear = modulus * random.between(0.05, 0.5);
    return {modulus, across, shear, ratio};
}

RandomTriangle random_triangle(generator::Random& random) {
    RandomTriangle made;
    for (bool good = false; !good;) {
        for (Vec3& corner : made.corners) {
            corner.x() = random.between(-6.0, 6.0);
            corner.y() = random.between(-6.0, 6.0);
            corner.z() = random.between(-6.0, 6.0);
        }
        double longest = 0.0;
        for (int i = 0; i < 3; ++i)
            longest = std::max(longest, (made.corners[i] - made.corners[(i + 1) % 3]).squaredNorm());
        const double area =
            0.5 * (made.corners[1] - made.corners[0]).cross(made.corners[2] - made.corners[0]).norm();
        good = longest > 1.0 && area > 0.13 * longest;
    }
    for (double& wall : made.wall_mm) wall = random.between(0.5, 5.0);
    made.lamina = random_lamina(random);
    const Mat3 turn = random_turn(random);
    made.fibre = turn.col(0);
    return made;
}

Patch random_patch(generator::Random& random) {
    const int n = 2 + static_cast<int>(random.between(0.0, 3.0));
    const int m = 2 + static_cast<int>(random.between(0.0, 3.0));
    Patch made;
    made.axes = random_turn(random);
    const double side = random.between(5.0, 50.0);
    const double wall = random.between(0.01, 0.1) * side;
    Grid g = grid(
        n, m, [&](double u, double v) { return Vec3(side * u, 0.8 * side * v, 0.0); },
        [&](double, double) { return wall; }, random.uniform() < 0.5);
    for (int i = 0; i <= n; ++i)
        for (int j = 0; j <= m; ++j) {
            const double du = random.between(-0.3, 0.3) * side / n;
            const double dv = random.between(-0.3, 0.3) * 0.8 * side / m;
            g.model.points[g.at(i, j)] += Vec3(du, dv, 0.0);
        }
    made.model = g.model;
    made.model.lamina = random_lamina(random);
    const double fibre = random.between(-3.0, 3.0);
    made.model.fibre = made.axes.transpose() * Vec3(std::cos(fibre), std::sin(fibre), 0.3);

    const double size = 1e-3;
    Vec3 strain, bent;  // xx, yy, engineering xy; w,xx w,yy w,xy
    for (int c = 0; c < 3; ++c) {
        strain[c] = size * random.normal();
        bent[c] = size / wall * random.normal();
    }
    const double turn = size * random.normal();  // in its plane
    const Mat3 back = made.axes.transpose();
    made.exact = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(g.model.points.size()));
    for (std::size_t p = 0; p < g.model.points.size(); ++p) {
        const double x = g.model.points[p].x(), y = g.model.points[p].y();
        const Vec3 moved(strain[0] * x + (0.5 * strain[2] - turn) * y,
                         strain[1] * y + (0.5 * strain[2] + turn) * x,
                         0.5 * (bent[0] * x * x + bent[1] * y * y) + bent[2] * x * y);
        const Vec3 turned(bent[1] * y + bent[2] * x, -(bent[0] * x + bent[2] * y), turn);
        const auto at = 6 * static_cast<Eigen::Index>(p);
        made.exact.segment<3>(at) = back * moved;
        made.exact.segment<3>(at + 3) = back * turned;
        made.model.points[p] = back * g.model.points[p];
    }
    made.load_case.load = Eigen::VectorXd::Zero(made.exact.size());
    for (int i = 0; i <= n; ++i)
        for (int j = 0; j <= m; ++j)
            if (i == 0 || j == 0 || i == n || j == m)
                for (int c = 0; c < 6; ++c)
                    made.load_case.supports.push_back(
                        {g.at(i, j), c, made.exact[flex::freedom(g.at(i, j), c)]});

    const Mat3 elastic = made.model.lamina.plane_stress(fibre);
    const Vec3 curvature(-bent[0], -bent[1], -2.0 * bent[2]);  // of normals: z curvature is strain
    made.stress_top = elastic * (strain + 0.5 * wall * curvature);
    made.stress_under = elastic * (strain - 0.5 * wall * curvature);
    made.stress_scale = elastic.cwiseAbs().maxCoeff() * size;
    return made;
}

}  // namespace archwright::tests
