// One modulus scale for all devices, and what holds them on the bench, from their readings.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/calibrate/response.hpp"

namespace archwright::calibrate {

/// One loading as the fit takes it; gauges have zeros of their own.
struct FitLoading {
    int device = -1;                     ///< -1: the rigid block
    const Response* response = nullptr;  ///< of the device under its load; none for the rigid block
    std::vector<double> load, deflection;
    std::vector<double> slide_load, slide;  ///< where it was measured
};

struct FitInput {
    std::vector<FitLoading> loadings;
    int devices = 0;
    std::optional<double> spring_n_mm{}, friction{};  ///< where they are known
    std::optional<double> noise_mm{}, slide_noise_mm{};
    /// Devices of one wall and more differ from each other: how much is found. Else they are taken as one.
    bool spread = true;
};

/// An estimate with its 95 % interval.
struct Estimate {
    double value = 0.0, low = 0.0, high = 0.0;
    bool free = true;  ///< else it was known
};

/// What is left of a reading: measured less fitted, mm; of the fit's own rows in their order.
struct FitResidual {
    std::size_t loading = 0, reading = 0;
    bool slide = false;
    double mm = 0.0;
};

struct Fit {
    Estimate modulus_scale;
    Estimate spring_n_mm, friction;
    double rig_mm_n = 0.0, rig_mm_n2 = 0.0;  ///< what the rig gives: first x load + second x load squared
    double noise_mm = 0.0, slide_noise_mm = 0.0;
    double device_spread = 0.0;        ///< standard deviation of the devices' own moduli, as a share
    std::vector<double> device_scale;  ///< of each device: what it is stiffer than the others, 1 for none
    double freedom = 0.0;              ///< degrees of freedom of the scale's interval
    double log_scale_sd = 0.0;         ///< standard error of the scale's logarithm
    double alone_low = 0.0, alone_high = 0.0;  ///< interval of the scale if the supports found were known
    /// 95 % prediction interval of the stiffness of a further device: times or by 1 + this. Devices' spread
    /// in it where it is known.
    double prediction_share = 0.0;
    double deviance = 0.0;
    std::vector<FitResidual> residuals;

    Restraint restraint() const { return {spring_n_mm.value, friction.value}; }
    /// Deflection or slide that the fit has of a device's load, from the same zero as Response::At, without
    /// the device's own share, with what the rig gives.
    Response::At at(const Response& response, double load_n, double times = 1.0) const;
};

/// Readings d = zero + u(F; s e^b, k, mu) + rig(F) + noise, slides alike without the rig, b of each device
/// normal about 0. Nonlinear mixed model by the alternation of M. J. Lindstrom and D. M. Bates (1990,
/// Biometrics 46:673): penalised least squares for everything but the variances, then restricted likelihood
/// (H. D. Patterson and R. Thompson 1971, Biometrika 58:545) for these on the linearised model. Interval of
/// the scale by profile likelihood over all supports that are not known (D. J. Venzon and S. H. Moolgavkar
/// 1988, Appl Stat 37:87), judged by t^2 with F. E. Satterthwaite's degrees of freedom (1946, Biometrics
/// Bulletin 2:110). Prediction: t with two degrees fewer than devices on sqrt(variance + spread^2) (J. P. T.
/// Higgins, S. G. Thompson and D. J. Spiegelhalter 2009, J R Stat Soc A 172:137). Fault: fewer readings than
/// what is to be found; no fit was reached.
Outcome<Fit> fit(const FitInput& input);

/// Within which the scale is looked for.
inline constexpr double least_scale = 0.2, most_scale = 5.0;

}  // namespace archwright::calibrate
