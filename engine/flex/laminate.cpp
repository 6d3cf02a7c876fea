#include "engine/flex/laminate.hpp"

#include <Eigen/Dense>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::flex {

double Laminate::thickness_mm() const {
    double whole = 0.0;
    for (const Ply& one : plies) whole += one.thickness_mm;
    return whole;
}

Outcome<Done> Laminate::check() const {
    const auto wrong = [](const std::string& what) {
        return Fault{FaultKind::input, "flex", what, std::nullopt};
    };
    if (plies.empty()) return wrong("The laminate has no plies. Correct the material.");
    for (std::size_t i = 0; i < plies.size(); ++i)
        if (!(plies[i].thickness_mm > 0.0) || !std::isfinite(plies[i].thickness_mm) ||
            !std::isfinite(plies[i].angle))
            return wrong("Ply " + std::to_string(i) + " of the laminate is " + exact(plies[i].thickness_mm) +
                         " mm thick; it must be above 0. Correct the material.");
    return ply.check();
}

LaminateStiffness stiffness_of(const Laminate& laminate) {
    LaminateStiffness sum;
    double low = -0.5 * laminate.thickness_mm();
    for (const Ply& one : laminate.plies) {
        const double high = low + one.thickness_mm;
        const Mat3 here = laminate.ply.plane_stress(one.angle);
        sum.stretching += (high - low) * here;
        sum.coupling += 0.5 * (high * high - low * low) * here;
        sum.bending += (high * high * high - low * low * low) / 3.0 * here;
        low = high;
    }
    return sum;
}

Sheet Sheet::of(const Lamina& lamina) {
    const Mat3 all = lamina.plane_stress();
    return {all, all};
}

Sheet Sheet::of(const Laminate& laminate) {
    const LaminateStiffness whole = stiffness_of(laminate);
    const double t = laminate.thickness_mm();
    return {whole.stretching / t, 12.0 / (t * t * t) * whole.bending};
}

Sheet Sheet::turned(double angle) const {
    return {flex::turned(stretching, angle), flex::turned(bending, angle)};
}

double Sheet::bending_modulus() const {
    return 1.0 / bending.inverse()(0, 0);
}

double Sheet::rigidity(double wall_mm) const {
    return bending(0, 0) * wall_mm * wall_mm * wall_mm / 12.0;
}

bool symmetric(const Laminate& laminate) {
    const auto& plies = laminate.plies;
    for (std::size_t i = 0; 2 * i < plies.size(); ++i) {
        const Ply &one = plies[i], &other = plies[plies.size() - 1 - i];
        if (one.angle != other.angle || one.thickness_mm != other.thickness_mm) return false;
    }
    return true;
}

Mat3 turned(const Mat3& stiffness, double angle) {
    const double c = std::cos(angle), s = std::sin(angle);
    Mat3 turn;  // strain in the sheet's own axes of strain in x and y
    turn << c * c, s * s, c * s, s * s, c * c, -c * s, -2.0 * c * s, 2.0 * c * s, c * c - s * s;
    return turn.transpose() * stiffness * turn;
}

}  // namespace archwright::flex
