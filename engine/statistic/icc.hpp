// Agreement of several raters of the same targets: intraclass correlation.
#pragma once

#include <Eigen/Core>
#include <array>

namespace archwright::statistic {

/// An estimate with its limits.
struct Estimate {
    double value = 0.0, low = 0.0, high = 0.0;
};

/// Mean squares of a table of targets (rows) by raters (columns), one value a cell.
struct MeanSquares {
    int targets = 0, raters = 0;
    double between = 0.0;  ///< targets: BMS, targets - 1 degrees of freedom
    double within = 0.0;   ///< WMS, targets (raters - 1)
    double rater = 0.0;    ///< JMS, raters - 1
    double error = 0.0;    ///< EMS, (targets - 1)(raters - 1)
};
MeanSquares mean_squares(const Eigen::MatrixXd& table);

/// The six forms of P. E. Shrout and J. L. Fleiss, Psychol Bull 86:420, 1979, with their confidence limits.
struct IntraclassCorrelations {
    MeanSquares squares;
    Estimate one_way;       ///< ICC(1,1): every target by raters of its own
    Estimate agreement;     ///< ICC(2,1): the same raters, drawn at random; one of them
    Estimate consistency;   ///< ICC(3,1): these raters and no others; their differences are no error
    Estimate one_way_mean;  ///< ICC(1,k), (2,k), (3,k): of the mean of all raters
    Estimate agreement_mean;
    Estimate consistency_mean;

    std::array<const Estimate*, 6> all() const {
        return {&one_way, &agreement, &consistency, &one_way_mean, &agreement_mean, &consistency_mean};
    }
};
/// Two targets and two raters or more, `confidence` as 0.95. Not numbers where nothing varies.
IntraclassCorrelations intraclass_correlations(const Eigen::MatrixXd& table, double confidence);

/// Standard error of measurement, and from it the least change of one target that is more than error 95 times
/// of 100: 1.96 sqrt(2) of it.
struct MeasurementError {
    double sem = 0.0, mdc95 = 0.0;
};
/// By EMS: raters' differences are no error; by WMS: they are.
MeasurementError error_of_consistency(const MeanSquares& squares);
MeasurementError error_of_agreement(const MeanSquares& squares);

}  // namespace archwright::statistic
