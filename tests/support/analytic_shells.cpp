#include "tests/support/analytic_shells.hpp"

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <numbers>

#include "tests/support/analytic.hpp"

namespace archwright::tests {

namespace {

constexpr double pi = std::numbers::pi;
// Gauss's rule of three points on [0,1]: exact to degree five.
constexpr std::array<double, 3> gauss_at = {0.1127016653792583, 0.5, 0.8872983346207417};
constexpr std::array<double, 3> gauss_weight = {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0};

Eigen::MatrixXd collocation(const surface::Basis& basis) {
    Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(basis.count, basis.count);
    std::array<double, 4> n{};
    for (int i = 0; i < basis.count; ++i) {
        const int first = basis.evaluate(basis.greville(i), n);
        for (int k = 0; k < 4; ++k) matrix(i, first + k) += n[k];
    }
    return matrix;
}

template <class Function>
double integral(const surface::PeriodicCurve& curve, int parts, const Function& f) {
    double sum = 0.0;
    const int count = static_cast<int>(curve.control.size()) * parts;
    for (int i = 0; i < count; ++i)
        for (int k = 0; k < 3; ++k) sum += gauss_weight[k] / parts * f((i + gauss_at[k]) / parts);
    return sum;
}

}  // namespace

surface::SplineSurface interpolating(const surface::Basis& u, const surface::Basis& v, const Map& map) {
    const Eigen::PartialPivLU<Eigen::MatrixXd> in_u(collocation(u)), in_v(collocation(v));
    surface::SplineSurface surface{u, v, std::vector<Vec3>(static_cast<std::size_t>(u.count) * v.count)};
    for (int axis = 0; axis < 3; ++axis) {
        Eigen::MatrixXd values(u.count, v.count);
        for (int i = 0; i < u.count; ++i)
            for (int j = 0; j < v.count; ++j) values(i, j) = map(u.greville(i), v.greville(j))[axis];
        const Eigen::MatrixXd half = in_u.solve(values);
        const Eigen::MatrixXd poles = in_v.solve(half.transpose()).transpose();
        for (int i = 0; i < u.count; ++i)
            for (int j = 0; j < v.count; ++j)
                surface.control[static_cast<std::size_t>(i) * v.count + j][axis] = poles(i, j);
    }
    return surface;
}

surface::PeriodicCurve rounded_rectangle(const Vec2& centre, const Vec2& size, double radius,
                                         int per_quarter) {
    // Points evenly by arc length, counter-clockwise from the middle of the right side.
    const Vec2 half = 0.5 * size, straight = half - Vec2::Constant(radius);
    const double arc = 0.5 * pi * radius, quarter = straight.x() + straight.y() + arc;
    std::vector<Vec2> points;
    for (int q = 0; q < 4; ++q)
        for (int i = 0; i < per_quarter; ++i) {
            double s = quarter * i / per_quarter;
            const bool turned = q % 2 == 1;  // second and fourth quarter begin on the upper and lower side
            const Vec2 side = turned ? Vec2(straight.y(), straight.x()) : straight;
            const double far = turned ? half.y() : half.x();
            Vec2 p;
            if (s < side.y()) {
                p = {far, s};
            } else if (s < side.y() + arc) {
                const double a = (s - side.y()) / radius;
                p = {side.x() + radius * std::cos(a), side.y() + radius * std::sin(a)};
            } else {
                p = {side.x() - (s - side.y() - arc), side.y() + radius};
            }
            for (int turn = 0; turn < q; ++turn) p = Vec2(-p.y(), p.x());
            points.push_back(centre + p);
        }
    return surface::PeriodicCurve::through(points);
}

double enclosed_area(const surface::PeriodicCurve& curve) {
    return integral(curve, 1, [&](double s) {
        const Vec2 p = curve.point(s), d = curve.tangent(s);
        return 0.5 * (p.x() * d.y() - p.y() * d.x());
    });
}

double length(const surface::PeriodicCurve& curve) {
    return integral(curve, 64, [&](double s) { return curve.tangent(s).norm(); });
}

Plate plate(surface::Rim::Kind rim, int spans) {
    const surface::Basis u{spans + 3, 120.0}, v{spans + 3, 80.0};
    const auto level = [&](double z) {
        return interpolating(u, v, [z](double x, double y) { return Vec3(x - 10.0, y - 40.0, z); });
    };
    Plate made;
    made.shell.foot_side = made.shell.carpet = level(Plate::thickness);
    made.shell.underside = level(0.0);
    made.shell.trim = rounded_rectangle({60.0, 40.0}, {100.0, 60.0}, 15.0, 10);
    made.shell.rim.kind = rim;
    made.volume = enclosed_area(made.shell.trim) * Plate::thickness;
    if (rim == surface::Rim::Kind::rounded) {
        const auto rows = surface::rim_rows(made.shell, 0.0).rows;
        const double k = (rows[1] - rows[0]).norm(), t = Plate::thickness;
        made.volume += 0.6 * k * t * length(made.shell.trim) + 27.0 / 140.0 * k * k * t * 2.0 * pi;
    } else if (rim == surface::Rim::Kind::bevelled) {
        // A trapezium outside the trim: reach b, heights t inside and h outside.
        const auto rows = surface::rim_rows(made.shell, 0.0).rows;
        const double b = (rows[1] - rows[0]).head<2>().norm(), t = Plate::thickness;
        const double h = rows[1].z() - rows[2].z();
        made.volume += b * (t + h) / 2.0 * length(made.shell.trim) + b * b * (t + 2.0 * h) / 6.0 * 2.0 * pi;
    }
    return made;
}

Cap cap(int spans, int trim_points) {
    const double side = 2.0 * (Cap::r + 10.0);
    const surface::Basis basis{spans + 3, side};
    const auto sphere = [&](double radius) {
        return interpolating(basis, basis, [&](double u, double v) {
            const double x = u - 0.5 * side, y = v - 0.5 * side, rho2 = (x * x + y * y) / (Cap::R * Cap::R);
            const double angle = std::sqrt(rho2);
            const double sinc = angle > 1e-4 ? std::sin(angle) / angle : 1.0 - rho2 / 6.0;
            return Vec3(radius / Cap::R * sinc * x, radius / Cap::R * sinc * y,
                        Cap::R - radius * std::cos(angle));
        });
    };
    Cap made;
    made.shell.foot_side = made.shell.carpet = sphere(Cap::R);
    made.shell.underside = sphere(Cap::R + Cap::t);
    made.shell.trim = uv_circle(Vec2::Constant(0.5 * side), Cap::r, trim_points);
    made.shell.rim.kind = surface::Rim::Kind::square;
    const double outer = Cap::R + Cap::t;
    made.volume = 2.0 * pi / 3.0 * (outer * outer * outer - Cap::R * Cap::R * Cap::R) *
                  (1.0 - std::cos(Cap::r / Cap::R));
    return made;
}

Trough trough(int spans) {
    const surface::Basis u{spans + 3, 160.0}, v{spans + 3, 100.0};
    const auto cylinder = [&](double radius) {
        return interpolating(u, v, [radius](double x, double s) {
            const double a = (s - 50.0) / Trough::R;
            return Vec3(x, radius * std::sin(a), Trough::R - radius * std::cos(a));
        });
    };
    Trough made;
    made.shell.foot_side = made.shell.carpet = cylinder(Trough::R);
    made.shell.underside = cylinder(Trough::R + Trough::t);
    made.shell.trim = rounded_rectangle({80.0, 50.0}, {140.0, 80.0}, 20.0, 12);
    made.shell.rim.kind = surface::Rim::Kind::square;
    made.volume = enclosed_area(made.shell.trim) * (Trough::t + Trough::t * Trough::t / (2.0 * Trough::R));
    return made;
}

}  // namespace archwright::tests
