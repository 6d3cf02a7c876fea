// Two ways of measuring compared, and one way repeated.
#pragma once

#include <span>
#include <vector>

#include "engine/statistic/icc.hpp"

namespace archwright::statistic {

/// Limits of agreement (J. M. Bland and D. G. Altman, Lancet i:307, 1986): differences first less second of
/// pairs.
struct Agreement {
    int pairs = 0;
    Estimate mean;    ///< of the differences, with its interval by Student's t
    double sd = 0.0;  ///< of the differences
    Estimate low_limit,
        high_limit;            ///< mean -+ 1.96 sd, each with its interval: standard error sqrt(3 / n) sd
    double correlation = 0.0;  ///< of the two, Pearson's: no measure of agreement, told because asked for
};
/// Three pairs or more.
Agreement agreement(std::span<const double> first, std::span<const double> second, double confidence);

/// The same thing measured again and again by one way.
struct Repeatability {
    int groups = 0;
    double freedom = 0.0;
    double tem = 0.0;          ///< technical error of measurement: root of the mean square within groups
    double tem_percent = 0.0;  ///< of the mean of all; not a number where that is no size
    double coefficient = 0.0;  ///< two measurements differ by less 95 times of 100: 1.96 sqrt(2) tem
    double mean = 0.0;
};
/// Groups of two or more count (of two: sqrt(sum d^2 / 2n), G. Dahlberg 1940). Of no freedom: all zero.
Repeatability repeatability(const std::vector<std::vector<double>>& groups);

}  // namespace archwright::statistic
