#include "engine/statistic/icc.hpp"

#include <cmath>

#include "engine/statistic/distribution.hpp"

namespace archwright::statistic {

namespace {

/// Spearman and Brown's step from one rater to the mean of `raters`.
double of_mean(double one, double raters) {
    return raters * one / (1.0 + (raters - 1.0) * one);
}
Estimate of_mean(const Estimate& one, double raters) {
    return {of_mean(one.value, raters), of_mean(one.low, raters), of_mean(one.high, raters)};
}

MeasurementError error_of(double mean_square) {
    const double sem = std::sqrt(mean_square);
    return {sem, normal_below(0.975) * std::sqrt(2.0) * sem};
}

/// Forms one and three: of the ratio of two mean squares.
Estimate of_ratio(double between, double error, double targets_freedom, double error_freedom, double raters,
                  double tail) {
    const double f = between / error;
    const double low = f / f_below(1.0 - tail, targets_freedom, error_freedom),
                 high = f * f_below(1.0 - tail, error_freedom, targets_freedom);
    const auto share = [&](double ratio) { return (ratio - 1.0) / (ratio + raters - 1.0); };
    return {share(f), share(low), share(high)};
}

}  // namespace

MeanSquares mean_squares(const Eigen::MatrixXd& table) {
    MeanSquares m;
    const Eigen::Index n = table.rows(), k = table.cols();
    m.targets = static_cast<int>(n);
    m.raters = static_cast<int>(k);
    const double grand = table.mean();
    const Eigen::VectorXd rows = table.rowwise().mean();
    const Eigen::RowVectorXd columns = table.colwise().mean();
    const double targets = static_cast<double>(k) * (rows.array() - grand).square().sum(),
                 raters = static_cast<double>(n) * (columns.array() - grand).square().sum(),
                 inside = (table.colwise() - rows).array().square().sum();
    const auto free_targets = static_cast<double>(n - 1), free_raters = static_cast<double>(k - 1);
    m.between = targets / free_targets;
    m.within = inside / (static_cast<double>(n) * free_raters);
    m.rater = raters / free_raters;
    const Eigen::MatrixXd left = ((table.colwise() - rows).rowwise() - columns).array() + grand;
    m.error = left.squaredNorm() / (free_targets * free_raters);
    return m;
}

IntraclassCorrelations intraclass_correlations(const Eigen::MatrixXd& table, double confidence) {
    IntraclassCorrelations icc;
    icc.squares = mean_squares(table);
    const MeanSquares& m = icc.squares;
    const double n = m.targets, k = m.raters, tail = 0.5 * (1.0 - confidence);
    icc.one_way = of_ratio(m.between, m.within, n - 1.0, n * (k - 1.0), k, tail);
    icc.consistency = of_ratio(m.between, m.error, n - 1.0, (n - 1.0) * (k - 1.0), k, tail);
    const double rho =
        (m.between - m.error) / (m.between + (k - 1.0) * m.error + k * (m.rater - m.error) / n);
    // Satterthwaite's freedom of the denominator (their equation for ICC(2,1))
    const double fj = m.rater / m.error, a = k * rho * fj, b = n * (1.0 + (k - 1.0) * rho) - k * rho;
    const double freedom = (k - 1.0) * (n - 1.0) * (a + b) * (a + b) / ((n - 1.0) * a * a + b * b);
    const double f_low = f_below(1.0 - tail, n - 1.0, freedom),
                 f_high = f_below(1.0 - tail, freedom, n - 1.0);
    const double rest = k * m.rater + (k * n - k - n) * m.error;
    icc.agreement = {rho, n * (m.between - f_low * m.error) / (f_low * rest + n * m.between),
                     n * (f_high * m.between - m.error) / (rest + n * f_high * m.between)};
    icc.one_way_mean = of_mean(icc.one_way, k);
    icc.agreement_mean = of_mean(icc.agreement, k);
    icc.consistency_mean = of_mean(icc.consistency, k);
    return icc;
}

MeasurementError error_of_consistency(const MeanSquares& squares) {
    return error_of(squares.error);
}
MeasurementError error_of_agreement(const MeanSquares& squares) {
    return error_of(squares.within);
}

}  // namespace archwright::statistic
