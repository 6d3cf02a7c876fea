#include "engine/mill/envelope.hpp"

namespace archwright::mill {

namespace {

/// The u > 0 at which the torus has this slope > 0 along the line. With rho = a + c sin(phi) the distance
/// from the axis, the slope there is tan(phi) u / rho: its root in phi is sought, which is smooth up to phi =
/// 90 degrees.
double bull_root(double a, double c, double aside, double slope) {
    double low = aside > a ? std::asin(std::min(1.0, (aside - a) / c)) : 0.0,
           high = 0.5 * 3.14159265358979324;
    double phi = std::clamp(std::atan(slope), low, high), u = 0.0;
    for (int i = 0; i < 100; ++i) {
        const double sine = std::sin(phi), cosine = std::cos(phi), rho = a + c * sine;
        u = std::sqrt(std::max(0.0, (rho - aside) * (rho + aside)));
        const double value = sine * u - slope * cosine * rho;
        (value < 0.0 ? low : high) = phi;
        const double rate = cosine * u + (u > 0.0 ? sine * rho * c * cosine / u : 0.0) +
                            slope * (sine * rho - cosine * c * cosine);
        double next = rate != 0.0 ? phi - value / rate : low;
        if (!(next > low && next < high)) next = 0.5 * (low + high);
        if (std::abs(next - phi) < 1e-13) break;
        phi = next;
    }
    return u;
}

}  // namespace

double highest_along(const Cutter& cutter, double aside, double slope, double low, double high) {
    double u = 0.0;
    if (cutter.flat()) {
        u = slope > 0.0 ? high : slope < 0.0 ? low : 0.0;
    } else if (cutter.ball()) {
        u = half_chord(cutter, aside) * slope / std::sqrt(1.0 + slope * slope);
    } else if (slope != 0.0) {
        const double size = bull_root(cutter.flat_radius(), cutter.corner_radius, aside, std::abs(slope));
        u = slope > 0.0 ? size : -size;
    }
    return std::clamp(u, low, high);
}

}  // namespace archwright::mill
