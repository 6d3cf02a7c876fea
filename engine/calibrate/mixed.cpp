#include "engine/calibrate/mixed.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>

namespace archwright::calibrate {

namespace {

constexpr double least_noise = 1e-7, most_noise = 10.0, most_spread = 1.0;

/// Left side of the mixed model's equations with devices as multiples of the spread: of full rank without
/// spread too. Its last row and column belong to what is left.
Eigen::MatrixXd equations(const MixedSums& sums, const Variances& variances) {
    const int p = sums.fixed, q = sums.devices, n = p + q + 1;
    Eigen::MatrixXd all = Eigen::MatrixXd::Zero(n, n);
    for (int k = 0; k < noise_kinds; ++k)
        if (sums.rows[k] > 0.0) all += sums.sums[k] / (variances.noise[k] * variances.noise[k]);
    all.middleRows(p, q) *= variances.spread;
    all.middleCols(p, q) *= variances.spread;
    all.diagonal().segment(p, q).array() += 1.0;
    return all;
}

/// Least of `f` between bounds by golden section.
double least_between(double low, double high, int steps, const std::function<double(double)>& f) {
    const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
    double a = high - golden * (high - low), b = low + golden * (high - low), fa = f(a), fb = f(b);
    for (int i = 0; i < steps; ++i) {
        if (fa < fb) {
            high = b;
            b = a;
            fb = fa;
            a = high - golden * (high - low);
            fa = f(a);
        } else {
            low = a;
            a = b;
            fa = fb;
            b = low + golden * (high - low);
            fb = f(b);
        }
    }
    return fa < fb ? a : b;
}

}  // namespace

double restricted_deviance(const MixedSums& sums, const Variances& variances) {
    const int inside = sums.fixed + sums.devices;
    const Eigen::MatrixXd all = equations(sums, variances);
    double deviance = all(inside, inside);
    for (int k = 0; k < noise_kinds; ++k)
        if (sums.rows[k] > 0.0) deviance += 2.0 * sums.rows[k] * std::log(variances.noise[k]);
    if (inside == 0) return deviance;
    const Eigen::LLT<Eigen::MatrixXd> factor(all.topLeftCorner(inside, inside));
    if (factor.info() != Eigen::Success) return 1e300;
    const Eigen::VectorXd right = all.col(inside).head(inside);
    deviance -= right.dot(factor.solve(right));
    for (int i = 0; i < inside; ++i) deviance += 2.0 * std::log(factor.matrixLLT()(i, i));
    return deviance;
}

Variances restricted_variances(const MixedSums& sums, const Variances& from,
                               const std::array<std::optional<double>, noise_kinds>& known, bool spread) {
    Variances best = from;
    if (!spread) best.spread = 0.0;
    for (int k = 0; k < noise_kinds; ++k)
        if (known[k]) best.noise[k] = *known[k];
    constexpr int rounds = 12, steps = 26;
    double reach = 3.0;  // of logarithms: shrinks as the rounds settle
    for (int round = 0; round < rounds; ++round) {
        const Variances before = best;
        for (int k = 0; k < noise_kinds; ++k) {
            if (known[k] || sums.rows[k] <= 0.0) continue;
            const double middle = std::log(best.noise[k]);
            Variances tried = best;
            best.noise[k] = std::clamp(std::exp(least_between(middle - reach, middle + reach, steps,
                                                              [&](double at) {
                                                                  tried.noise[k] = std::clamp(
                                                                      std::exp(at), least_noise, most_noise);
                                                                  return restricted_deviance(sums, tried);
                                                              })),
                                       least_noise, most_noise);
        }
        if (spread) {
            // by its root: the likelihood is flat at none
            Variances tried = best;
            const auto at = [&](double root) {
                tried.spread = root * root;
                return restricted_deviance(sums, tried);
            };
            const double root = least_between(0.0, std::sqrt(most_spread), steps, at);
            best.spread = at(0.0) <= at(root) ? 0.0 : root * root;
        }
        double change = std::abs(best.spread - before.spread) / (1e-3 + before.spread);
        for (int k = 0; k < noise_kinds; ++k)
            change = std::max(change, std::abs(std::log(best.noise[k] / before.noise[k])));
        if (change < 1e-4) break;
        reach = std::clamp(4.0 * change, 0.05, 3.0);
    }
    return best;
}

FixedVariance fixed_variance(const MixedSums& sums, const Variances& variances, int which,
                             const std::array<bool, noise_kinds>& noise_found, bool spread_found) {
    const int p = sums.fixed, q = sums.devices, inside = p + q;
    const auto inverse = [&](const Variances& at) {
        Eigen::MatrixXd c = equations(sums, at).topLeftCorner(inside, inside).inverse();
        c.middleRows(p, q) *= at.spread;
        c.middleCols(p, q) *= at.spread;
        return c;
    };
    FixedVariance found;
    const Eigen::MatrixXd c = inverse(variances);
    found.variance = c(which, which);
    found.freedom = most_freedom;

    // the variances that were looked for: kinds of noise, then (index noise_kinds) the spread
    std::vector<int> looked;
    for (int k = 0; k < noise_kinds; ++k)
        if (noise_found[k] && sums.rows[k] > 0.0) looked.push_back(k);
    if (spread_found) looked.push_back(noise_kinds);
    if (looked.empty()) return found;

    // Expected information 1/2 tr(P V_k P V_l) of restricted likelihood, P = R^-1 - R^-1 W C^-1 W' R^-1 with
    // W = [fixed | devices].
    std::array<Eigen::MatrixXd, noise_kinds> whole;  // W'W of each kind
    Eigen::MatrixXd z_w = Eigen::MatrixXd::Zero(q, inside);
    std::array<double, noise_kinds> inverse_noise{};
    for (int k = 0; k < noise_kinds; ++k) {
        inverse_noise[k] = 1.0 / (variances.noise[k] * variances.noise[k]);
        whole[k] = sums.rows[k] > 0.0 ? Eigen::MatrixXd(sums.sums[k].topLeftCorner(inside, inside))
                                      : Eigen::MatrixXd::Zero(inside, inside);
        z_w += inverse_noise[k] * whole[k].middleRows(p, q);
    }
    const Eigen::MatrixXd z_c = z_w * c;  // Z' R^-1 W C^-1
    const auto of_noise = [&](int k, int l) {
        const double both = inverse_noise[k] * inverse_noise[l];
        double trace = both * both * (c * whole[l] * c * whole[k]).trace();
        if (k == l) trace += both * (sums.rows[k] - 2.0 * inverse_noise[k] * (c * whole[k]).trace());
        return trace;
    };
    const auto with_spread = [&](int k) {
        const Eigen::MatrixXd cross = whole[k].middleRows(p, q) * z_c.transpose();
        const Eigen::MatrixXd rows =
            whole[k].block(p, p, q, q) - cross - cross.transpose() + z_c * whole[k] * z_c.transpose();
        return inverse_noise[k] * inverse_noise[k] * rows.trace();
    };
    const Eigen::MatrixXd z_p_z = z_w.middleCols(p, q) - z_c * z_w.transpose();
    const auto count = static_cast<Eigen::Index>(looked.size());
    Eigen::MatrixXd information(count, count);
    Eigen::VectorXd slope(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        for (Eigen::Index j = 0; j < count; ++j) {
            const int k = looked[static_cast<std::size_t>(i)], l = looked[static_cast<std::size_t>(j)];
            const bool spread_k = k == noise_kinds, spread_l = l == noise_kinds;
            information(i, j) = 0.5 * (spread_k && spread_l ? z_p_z.squaredNorm()
                                       : spread_k           ? with_spread(l)
                                       : spread_l           ? with_spread(k)
                                                            : of_noise(k, l));
        }
        // how the variance of the column moves with this one
        const int k = looked[static_cast<std::size_t>(i)];
        Variances more = variances;
        double& figure = k == noise_kinds ? more.spread : more.noise[k];
        const double before = figure * figure;
        const double step = k == noise_kinds ? std::max(1e-3 * before, 1e-8) : 1e-3 * before;
        figure = std::sqrt(before + step);
        slope[i] = (inverse(more)(which, which) - found.variance) / step;
    }
    const double of_variance = slope.dot(information.ldlt().solve(slope));
    if (of_variance > 0.0)
        found.freedom = std::clamp(2.0 * found.variance * found.variance / of_variance, 1.0, most_freedom);
    return found;
}

}  // namespace archwright::calibrate
