#include "engine/flex/facet.hpp"

#include <cmath>

namespace archwright::flex {

Facet::Facet(const std::array<Vec3, 3>& corners) {
    const Vec3 side = corners[1] - corners[0], other = corners[2] - corners[0];
    const Vec3 normal = side.cross(other);
    area = 0.5 * normal.norm();
    axes.row(0) = side.normalized();
    axes.row(2) = normal.normalized();
    axes.row(1) = axes.row(2).cross(axes.row(0));
    for (int i = 0; i < 3; ++i) {
        const Vec3 in_plane = axes * (corners[i] - corners[0]);
        x[i] = in_plane.x();
        y[i] = in_plane.y();
    }
}

double Facet::angle_of(const Vec3& direction) const {
    const Vec3 in_plane = axes * direction;
    return std::atan2(in_plane.y(), in_plane.x());
}

namespace {

/// nu12 nu21 of a plane-stress stiffness, the nu^2 of one stuff.
double contraction_of(const Mat3& elastic) {
    return elastic(0, 1) * elastic(0, 1) / (elastic(0, 0) * elastic(1, 1));
}

}  // namespace

ShellElement::ShellElement(const std::array<Vec3, 3>& corners, const std::array<double, 3>& wall_mm,
                           const Lamina& lamina, const Vec3& fibre)
    : ShellElement(corners, wall_mm, Sheet::of(lamina), fibre) {}

ShellElement::ShellElement(const std::array<Vec3, 3>& corners, const std::array<double, 3>& wall_mm,
                           const Sheet& sheet, const Vec3& along)
    : facet_(corners), sheet_(sheet.turned(facet_.angle_of(along))), local_(Mat18::Zero()) {
    const double mean = (wall_mm[0] + wall_mm[1] + wall_mm[2]) / 3.0;
    const Mat9 membrane =
        membrane_stiffness(facet_, sheet_.stretching, mean, contraction_of(sheet.stretching));
    const Mat9 bending = bending_stiffness(facet_, sheet_.bending, wall_mm);
    for (int a = 0; a < 3; ++a)
        for (int b = 0; b < 3; ++b)
            for (int i = 0; i < 3; ++i)
                for (int j = 0; j < 3; ++j) {
                    local_(6 * a + membrane_freedoms[i], 6 * b + membrane_freedoms[j]) =
                        membrane(3 * a + i, 3 * b + j);
                    local_(6 * a + bending_freedoms[i], 6 * b + bending_freedoms[j]) =
                        bending(3 * a + i, 3 * b + j);
                }
}

Mat18 ShellElement::tangent() const {
    Mat18 in_space;
    for (int a = 0; a < 6; ++a)
        for (int b = 0; b < 6; ++b)
            in_space.block<3, 3>(3 * a, 3 * b) =
                facet_.axes.transpose() * local_.block<3, 3>(3 * a, 3 * b) * facet_.axes;
    return in_space;
}

Vec18 ShellElement::local_of(const Vec18& freedoms) const {
    Vec18 local;
    for (int i = 0; i < 6; ++i) local.segment<3>(3 * i) = facet_.axes * freedoms.segment<3>(3 * i);
    return local;
}

Vec18 ShellElement::internal_force(const Vec18& freedoms) const {
    const Vec18 local = local_ * local_of(freedoms);
    Vec18 in_space;
    for (int i = 0; i < 6; ++i)
        in_space.segment<3>(3 * i) = facet_.axes.transpose() * local.segment<3>(3 * i);
    return in_space;
}

}  // namespace archwright::flex
