// Readings against the table of answers: what is left, and the figures that leave the least.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <utility>
#include <vector>

#include "engine/calibrate/fit.hpp"
#include "engine/calibrate/mixed.hpp"

namespace archwright::calibrate {

/// What is to be found of the whole bench.
enum class Figure { log_scale, grip, friction, rig, rig_bend };

/// A place of the search.
struct State {
    std::vector<double> figures;  ///< of the problem, in its order
    std::vector<double> devices;  ///< of each device: its own share over the spread
    double deviance = 0.0;        ///< squares over noise, and the devices' own
};

/// Penalised least squares: sum of (left / noise)^2 over readings, zeros of gauges taken out, and of the
/// devices' shares squared.
class LeastSquares {
  public:
    explicit LeastSquares(const FitInput& input);

    State begin() const;
    /// Where a figure stands among those to be found; nothing where it is known.
    std::optional<std::size_t> figure(Figure of) const;
    /// Its column in `sums` at that state.
    int column(const State& state, std::size_t figure) const;
    std::pair<double, double> bounds(std::size_t figure) const;
    /// Levenberg-Marquardt inside the bounds, with the figures of `held` kept.
    State minimise(State from, const Variances& variances, const std::vector<std::size_t>& held) const;
    /// The linearised model there; figures that lie on a bound are not among its columns.
    MixedSums sums(const State& state, const Variances& variances) const;
    std::vector<FitResidual> residuals(const State& state, const Variances& variances) const;

    Restraint restraint(const State& state) const;
    std::array<double, 2> rig(const State& state) const;
    /// Readings less zeros of gauges and figures.
    int spare() const { return spare_; }

  private:
    struct Row {
        int kind = 0, device = -1;
        const Response* response = nullptr;
        double load = 0.0, measured = 0.0;
        std::size_t series = 0, loading = 0, reading = 0;
    };
    struct Linear {
        Eigen::VectorXd left;     ///< measured less model, zeros taken out
        Eigen::MatrixXd columns;  ///< of the figures, zeros taken out
        Eigen::VectorXd own;      ///< of the row's device: change by its modulus' logarithm
    };
    Eigen::VectorXd left(const State& state, const Variances& variances) const;
    Linear linear(const State& state, const Variances& variances) const;
    /// Whether the rig's own share is in the reading.
    static bool presses(const Row& row);
    double model(const Row& row, const State& state, double spread) const;
    double deviance(const Eigen::VectorXd& left, const State& state, const Variances& variances) const;
    void take_zeros(Eigen::Ref<Eigen::VectorXd> column) const;
    bool on_bound(const State& state, std::size_t figure) const;
    double figure_or(const State& state, Figure of, double otherwise) const;

    std::vector<Row> rows_;
    std::vector<std::size_t> series_begin_;  ///< rows of a series stand together
    std::vector<Figure> figures_;
    std::optional<double> spring_, friction_;
    int devices_ = 0, spare_ = 0;
};

}  // namespace archwright::calibrate
