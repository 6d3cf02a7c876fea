#include "engine/flex/corotated.hpp"

#include <Eigen/Dense>
#include <cmath>

#include "engine/flex/rotation.hpp"

namespace archwright::flex {

namespace {

/// Cosine of a corner's turn against its element below which strain is no longer what it is taken for.
constexpr double least_cosine = -0.5;

/// Moment of a corner's forces in the element's axes about its middle: what the axes' spin works on.
Vec3 turning_moment(const CorotatedElement::Place& at, const Vec18& p) {
    Vec3 moment = Vec3::Zero();
    for (int i = 0; i < 3; ++i)
        moment += at.corner[i].cross(Vec3(p.segment<3>(6 * i))) +
                  at.by_spin[i].transpose() * Vec3(p.segment<3>(6 * i + 3));
    return moment;
}

}  // namespace

CorotatedElement::CorotatedElement(const ShellElement& unloaded)
    : unloaded_axes_(unloaded.facet().axes), stiffness_(unloaded.local_stiffness()) {
    const Facet& facet = unloaded.facet();
    const Vec3 middle(facet.x[1] + facet.x[2], facet.y[2], 0.0);
    for (int i = 0; i < 3; ++i) unloaded_[i] = Vec3(facet.x[i], facet.y[i], 0.0) - middle / 3.0;
}

CorotatedElement::Place CorotatedElement::place(const std::array<Vec3, 3>& corners,
                                                const std::array<Mat3, 3>& turned) const {
    Place at;
    const Vec3 side = corners[1] - corners[0], other = corners[2] - corners[0];
    const Vec3 normal = side.cross(other);
    const double twice = normal.norm();
    if (!(twice > 0.0)) return at;
    const Vec3 along = side.normalized(), across = normal.cross(along) / twice;
    const Vec3 middle = (side + other) / 3.0;
    const std::array<Vec3, 3> from{-middle, side - middle, other - middle};
    double cosine = 0.0, sine = 0.0;  // of the turn in the plane that fits best
    for (int i = 0; i < 3; ++i) {
        const double x = along.dot(from[i]), y = across.dot(from[i]);
        cosine += unloaded_[i].x() * x + unloaded_[i].y() * y;
        sine += unloaded_[i].x() * y - unloaded_[i].y() * x;
    }
    at.spread_mm2 = std::hypot(cosine, sine);
    if (!(at.spread_mm2 > 0.0)) return at;
    cosine /= at.spread_mm2;
    sine /= at.spread_mm2;
    at.axes.row(0) = cosine * along + sine * across;
    at.axes.row(1) = cosine * across - sine * along;
    at.axes.row(2) = normal / twice;
    at.possible = true;
    for (int i = 0; i < 3; ++i) {
        at.corner[i] = Vec3(at.axes.row(0).dot(from[i]), at.axes.row(1).dot(from[i]), 0.0);
        at.strained.segment<3>(6 * i) = at.corner[i] - unloaded_[i];
        const Mat3 turn = at.axes * turned[i] * unloaded_axes_.transpose();
        at.possible = at.possible && 0.5 * (turn.trace() - 1.0) > least_cosine;
        const Vec3 vector = vector_of(turn);
        at.strained.segment<3>(6 * i + 3) = vector;
        at.by_spin[i] = vector_by_spin(vector);
    }
    for (int i = 0; i < 3; ++i) {
        const Vec3 opposite = at.corner[(i + 2) % 3] - at.corner[(i + 1) % 3];
        at.turning(0, 3 * i + 2) = opposite.x() / twice;  // slope of the corner's shape function along y
        at.turning(1, 3 * i + 2) = opposite.y() / twice;  // and along x, reversed
        at.turning(2, 3 * i) = -unloaded_[i].y() / at.spread_mm2;
        at.turning(2, 3 * i + 1) = unloaded_[i].x() / at.spread_mm2;
    }
    return at;
}

Mat18 CorotatedElement::straining(const Place& at) const {
    Mat18 straining = Mat18::Zero();
    for (int i = 0; i < 3; ++i) {
        const Mat3 arm = cross_matrix(at.corner[i]);
        for (int j = 0; j < 3; ++j) {
            straining.block<3, 3>(6 * i, 6 * j) = arm * at.turning.block<3, 3>(0, 3 * j);
            straining.block<3, 3>(6 * i + 3, 6 * j) = -at.by_spin[i] * at.turning.block<3, 3>(0, 3 * j);
        }
        straining.block<3, 3>(6 * i, 6 * i) += Mat3::Identity();
        straining.block<3, 3>(6 * i + 3, 6 * i + 3) = at.by_spin[i];
    }
    return straining;
}

Vec18 CorotatedElement::strain_force_change(const Place& at, const Vec18& change) const {
    Vec18 in_axes;
    Vec3 spin = Vec3::Zero();
    for (int i = 0; i < 6; ++i) in_axes.segment<3>(3 * i) = at.axes * change.segment<3>(3 * i);
    for (int i = 0; i < 3; ++i) spin += at.turning.block<3, 3>(0, 3 * i) * in_axes.segment<3>(6 * i);
    for (int i = 0; i < 3; ++i) {
        in_axes.segment<3>(6 * i) += at.corner[i].cross(spin);
        in_axes.segment<3>(6 * i + 3) = (at.by_spin[i] * (Vec3(in_axes.segment<3>(6 * i + 3)) - spin)).eval();
    }
    return stiffness_ * in_axes;
}

Vec18 CorotatedElement::force(const Place& at, const Vec18& p) const {
    const Vec3 moment = turning_moment(at, p);
    Vec18 force;
    for (int i = 0; i < 3; ++i) {
        force.segment<3>(6 * i) =
            at.axes.transpose() *
            (Vec3(p.segment<3>(6 * i)) - at.turning.block<3, 3>(0, 3 * i).transpose() * moment);
        force.segment<3>(6 * i + 3) =
            at.axes.transpose() * (at.by_spin[i].transpose() * Vec3(p.segment<3>(6 * i + 3)));
    }
    return force;
}

Mat18 CorotatedElement::tangent(const Place& at, const Vec18& p) const {
    using Row = Eigen::Matrix<double, 1, 18>;
    using Rows = Eigen::Matrix<double, 3, 18>;
    const Mat18 by = straining(at);
    Mat18 tangent = by.transpose() * (stiffness_ * by);

    // how the forces of the same stress change: with the corners' turns, with the moment the axes' spin works
    // on, with that spin's own dependence on the corners, and with the axes themselves
    const Vec3 moment = turning_moment(at, p);
    Rows moment_change = Rows::Zero();
    for (int i = 0; i < 3; ++i) {
        const Mat3 turned = vector_by_spin_change(at.strained.segment<3>(6 * i + 3), p.segment<3>(6 * i + 3));
        const Rows corner = turned * by.middleRows<3>(6 * i + 3);
        tangent.middleRows<3>(6 * i + 3) += corner;
        moment_change += corner - cross_matrix(p.segment<3>(6 * i)) * by.middleRows<3>(6 * i);
    }
    Row slope_x = Row::Zero(), slope_y = Row::Zero(), spread = Row::Zero();
    for (int i = 0; i < 3; ++i) {
        const double along_y = at.turning(0, 3 * i + 2), along_x = -at.turning(1, 3 * i + 2);
        const double share = moment.x() * along_y - moment.y() * along_x;
        slope_x += share * by.row(6 * i);
        slope_y += share * by.row(6 * i + 1);
        spread += unloaded_[i].x() * by.row(6 * i) + unloaded_[i].y() * by.row(6 * i + 1);
    }
    std::array<Vec3, 6> force;
    for (int i = 0; i < 3; ++i) {
        const Mat3 turning = at.turning.block<3, 3>(0, 3 * i);
        const Vec3 taken = turning.transpose() * moment;
        force[2 * i] = Vec3(p.segment<3>(6 * i)) - taken;
        force[2 * i + 1] = at.by_spin[i].transpose() * Vec3(p.segment<3>(6 * i + 3));
        tangent.middleRows<3>(6 * i) -= turning.transpose() * moment_change;
        tangent.row(6 * i) += taken.x() / at.spread_mm2 * spread;
        tangent.row(6 * i + 1) += taken.y() / at.spread_mm2 * spread;
        tangent.row(6 * i + 2) += -turning(1, 2) * slope_x + turning(0, 2) * slope_y;
    }
    for (int block = 0; block < 6; ++block)
        for (int j = 0; j < 3; ++j)
            tangent.block<3, 3>(3 * block, 6 * j) -=
                cross_matrix(force[block]) * at.turning.block<3, 3>(0, 3 * j);

    Mat18 in_space;
    for (int a = 0; a < 6; ++a)
        for (int b = 0; b < 6; ++b)
            in_space.block<3, 3>(3 * a, 3 * b) =
                at.axes.transpose() * tangent.block<3, 3>(3 * a, 3 * b) * at.axes;
    return in_space;
}

}  // namespace archwright::flex
