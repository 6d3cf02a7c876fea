#include "engine/mark/lab.hpp"

#include <array>
#include <cmath>

namespace archwright::mark {

namespace {

constexpr double knee = 6.0 / 29.0;

/// sRGB's transfer curve, one entry a level.
const std::array<double, 256>& linear_light() {
    static const std::array<double, 256> table = [] {
        std::array<double, 256> made{};
        for (std::size_t i = 0; i < made.size(); ++i) {
            const double c = static_cast<double>(i) / 255.0;
            made[i] = c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
        }
        return made;
    }();
    return table;
}

double response(double share) {
    return share > knee * knee * knee ? std::cbrt(share) : share / (3.0 * knee * knee) + 4.0 / 29.0;
}

}  // namespace

Vec3 lab(const TriangleMesh::Colour& colour) {
    const auto& light = linear_light();
    const Vec3 rgb(light[colour[0]], light[colour[1]], light[colour[2]]);
    Mat3 to_xyz;  // primaries of sRGB, each row over the white's value
    to_xyz << 0.4124 / 0.9505, 0.3576 / 0.9505, 0.1805 / 0.9505, 0.2126, 0.7152, 0.0722, 0.0193 / 1.0890,
        0.1192 / 1.0890, 0.9505 / 1.0890;
    const Vec3 xyz = to_xyz * rgb;
    const Vec3 f(response(xyz[0]), response(xyz[1]), response(xyz[2]));
    return {116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])};
}

double luminance(double lightness) {
    const double f = (lightness + 16.0) / 116.0;
    return f > knee ? f * f * f : 3.0 * knee * knee * (f - 4.0 / 29.0);
}

}  // namespace archwright::mark
