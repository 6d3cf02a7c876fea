#include "engine/flex/lamina.hpp"

#include <Eigen/Dense>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/flex/laminate.hpp"

namespace archwright::flex {

Lamina Lamina::isotropic(double modulus_mpa, double poisson_ratio) {
    return {modulus_mpa, modulus_mpa, modulus_mpa / (2.0 * (1.0 + poisson_ratio)), poisson_ratio};
}

Mat3 Lamina::plane_stress(double angle) const {
    const double nu21 = nu12 * e2_mpa / e1_mpa;
    const double share = 1.0 / (1.0 - nu12 * nu21);
    Mat3 along = Mat3::Zero();
    along(0, 0) = share * e1_mpa;
    along(1, 1) = share * e2_mpa;
    along(0, 1) = along(1, 0) = share * nu12 * e2_mpa;
    along(2, 2) = g12_mpa;
    return turned(along, angle);
}

Outcome<Done> Lamina::check() const {
    const auto wrong = [](const std::string& what) {
        return Fault{FaultKind::input, "flex", what, std::nullopt};
    };
    for (const double modulus : {e1_mpa, e2_mpa, g12_mpa})
        if (!(modulus > 0.0) || !std::isfinite(modulus))
            return wrong("The material's moduli must be above 0 MPa; one of them is " + exact(modulus) +
                         ". Correct the material.");
    if (!std::isfinite(nu12) || !(nu12 * nu12 * e2_mpa < e1_mpa))
        return wrong("Poisson's ratio " + exact(nu12) +
                     " is not possible with these moduli (its square must be below e1 / e2 = " +
                     exact(e1_mpa / e2_mpa) + "). Correct the material.");
    return Done{};
}

}  // namespace archwright::flex
