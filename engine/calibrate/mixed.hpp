// The linear algebra of a fit with devices of their own: variances by restricted likelihood, freedom of an
// interval. On a linearised model whose columns have lost the zeros of every gauge.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>

namespace archwright::calibrate {

/// Kinds of readings, each with its own noise.
inline constexpr int noise_kinds = 2;

struct Variances {
    std::array<double, noise_kinds> noise{0.01, 0.01};  ///< standard deviations
    double spread = 0.0;                                ///< of the devices
};

/// Sums of squares and products of one linearised model, for each kind of reading: columns [fixed | devices |
/// what is left]. Enough for every value of the variances.
struct MixedSums {
    int fixed = 0, devices = 0;
    std::array<Eigen::MatrixXd, noise_kinds> sums;
    std::array<double, noise_kinds> rows{};  ///< readings less zeros
};

/// Restricted likelihood, -2 log and a constant, by the mixed model's own equations (C. R. Henderson 1975,
/// Biometrics 31:423).
double restricted_deviance(const MixedSums& sums, const Variances& variances);
/// The variances at its least; those given as known are kept, and no spread is looked for unless `spread`.
Variances restricted_variances(const MixedSums& sums, const Variances& from,
                               const std::array<std::optional<double>, noise_kinds>& known, bool spread);

/// Variance of the fixed column `which` and its degrees of freedom (Satterthwaite) from the expected
/// information of the variances that were looked for.
struct FixedVariance {
    double variance = 0.0, freedom = 0.0;
};
FixedVariance fixed_variance(const MixedSums& sums, const Variances& variances, int which,
                             const std::array<bool, noise_kinds>& noise_found, bool spread_found);
/// Beyond it t is as good as normal.
inline constexpr double most_freedom = 200.0;

}  // namespace archwright::calibrate
