#include "engine/calibrate/least_squares.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

namespace archwright::calibrate {

namespace {

constexpr double bend_tells =
    3.0;  ///< times its standard error: then the rig's own curve is no straight line
constexpr int most_steps = 60;
constexpr double settled_step = 1e-9, at_bound = 1e-9;
/// Step of the differences, of figures of size 1.
constexpr double difference = 1e-6;
/// The rig's figures are kept in mm for a hundred newtons, so that all figures are of size 1.
constexpr double rig_load = 0.01;

/// Whether the rigid block's own table bends, by a parabola through all its runs with a zero each.
bool block_bends(const FitInput& input) {
    std::vector<double> load, square, measured;
    int zeros = 0;
    for (const FitLoading& one : input.loadings) {
        if (one.device >= 0) continue;
        const auto n = static_cast<double>(one.load.size());
        double mean = 0.0, mean_square = 0.0, mean_measured = 0.0;
        for (std::size_t i = 0; i < one.load.size(); ++i) {
            mean += one.load[i] / n;
            mean_square += one.load[i] * one.load[i] / n;
            mean_measured += one.deflection[i] / n;
        }
        for (std::size_t i = 0; i < one.load.size(); ++i) {
            load.push_back(one.load[i] - mean);
            square.push_back(one.load[i] * one.load[i] - mean_square);
            measured.push_back(one.deflection[i] - mean_measured);
        }
        ++zeros;
    }
    const auto rows = static_cast<Eigen::Index>(load.size());
    const double spare = static_cast<double>(rows) - zeros - 2.0;
    if (spare < 1.0) return false;
    Eigen::MatrixXd x(rows, 2);
    x.col(0) = Eigen::Map<Eigen::VectorXd>(load.data(), rows);
    x.col(1) = Eigen::Map<Eigen::VectorXd>(square.data(), rows);
    const Eigen::Map<Eigen::VectorXd> y(measured.data(), rows);
    const Vec2 scale(x.col(0).norm(), x.col(1).norm());
    if (!(scale.minCoeff() > 0.0)) return false;
    x.col(0) /= scale[0];
    x.col(1) /= scale[1];
    const Eigen::Matrix2d normal = x.transpose() * x;
    if (normal.determinant() < 1e-9) return false;  // two loads alone
    const Eigen::Matrix2d inverse = normal.inverse();
    const Vec2 found = inverse * (x.transpose() * y);
    double noise = std::sqrt((y - x * found).squaredNorm() / spare);
    if (input.noise_mm) noise = *input.noise_mm;
    return std::abs(found[1]) > bend_tells * noise * std::sqrt(inverse(1, 1));
}

}  // namespace

LeastSquares::LeastSquares(const FitInput& input)
    : spring_(input.spring_n_mm), friction_(input.friction), devices_(input.devices) {
    bool pressed = false;
    for (std::size_t l = 0; l < input.loadings.size(); ++l) {
        const FitLoading& one = input.loadings[l];
        const auto series = [&](int kind, const std::vector<double>& load,
                                const std::vector<double>& measured) {
            if (load.empty()) return;
            series_begin_.push_back(rows_.size());
            for (std::size_t i = 0; i < load.size(); ++i)
                rows_.push_back(
                    {kind, one.device, one.response, load[i], measured[i], series_begin_.size() - 1, l, i});
        };
        series(0, one.load, one.deflection);
        series(1, one.slide_load, one.slide);
        pressed =
            pressed || (one.response != nullptr && one.response->load_case() == flex::LoadCase::arch_press);
    }
    series_begin_.push_back(rows_.size());
    figures_.push_back(Figure::log_scale);
    if (pressed && !spring_) figures_.push_back(Figure::grip);
    if (pressed && !friction_) figures_.push_back(Figure::friction);
    if (!pressed) {
        spring_ = spring_.value_or(0.0);
        friction_ = friction_.value_or(0.3);
    }
    figures_.push_back(Figure::rig);
    if (block_bends(input)) figures_.push_back(Figure::rig_bend);
    spare_ = static_cast<int>(rows_.size()) - static_cast<int>(series_begin_.size() - 1) -
             static_cast<int>(figures_.size());
}

State LeastSquares::begin() const {
    State state;
    for (const Figure of : figures_)
        state.figures.push_back(of == Figure::grip ? 0.3 : of == Figure::friction ? 0.3 : 0.0);
    state.devices.assign(static_cast<std::size_t>(devices_), 0.0);
    return state;
}

std::optional<std::size_t> LeastSquares::figure(Figure of) const {
    const auto at = std::find(figures_.begin(), figures_.end(), of);
    if (at == figures_.end()) return std::nullopt;
    return static_cast<std::size_t>(at - figures_.begin());
}

std::pair<double, double> LeastSquares::bounds(std::size_t figure) const {
    switch (figures_[figure]) {
        case Figure::log_scale:
            return {std::log(least_scale), std::log(most_scale)};
        case Figure::grip:
            return {0.0, most_grip};
        case Figure::friction:
            return {0.0, most_friction};
        case Figure::rig:
        case Figure::rig_bend:
            break;
    }
    return {-1e3, 1e3};
}

bool LeastSquares::on_bound(const State& state, std::size_t figure) const {
    const auto [low, high] = bounds(figure);
    return state.figures[figure] <= low + at_bound || state.figures[figure] >= high - at_bound;
}

int LeastSquares::column(const State& state, std::size_t figure) const {
    int column = 0;
    for (std::size_t i = 0; i < figure; ++i) column += on_bound(state, i) ? 0 : 1;
    return column;
}

double LeastSquares::figure_or(const State& state, Figure of, double otherwise) const {
    const auto at = figure(of);
    return at ? state.figures[*at] : otherwise;
}

Restraint LeastSquares::restraint(const State& state) const {
    return {spring_ ? *spring_ : spring_of(figure_or(state, Figure::grip, 0.0)),
            friction_ ? *friction_ : figure_or(state, Figure::friction, 0.0)};
}

std::array<double, 2> LeastSquares::rig(const State& state) const {
    return {rig_load * figure_or(state, Figure::rig, 0.0),
            rig_load * rig_load * figure_or(state, Figure::rig_bend, 0.0)};
}

double LeastSquares::model(const Row& row, const State& state, double spread) const {
    const std::array<double, 2> gives = rig(state);
    const double of_rig = gives[0] * row.load + gives[1] * row.load * row.load;
    if (row.response == nullptr) return of_rig;
    const double own = row.device >= 0 ? spread * state.devices[static_cast<std::size_t>(row.device)] : 0.0;
    const Response::At at = row.response->at(row.load, std::exp(state.figures[0] + own), restraint(state));
    return row.kind == 1 ? at.slide_mm : at.deflection_mm + (presses(row) ? of_rig : 0.0);
}

bool LeastSquares::presses(const Row& row) {
    return row.kind == 0 &&
           (row.response == nullptr || row.response->load_case() == flex::LoadCase::arch_press);
}

void LeastSquares::take_zeros(Eigen::Ref<Eigen::VectorXd> column) const {
    for (std::size_t s = 0; s + 1 < series_begin_.size(); ++s) {
        const auto from = static_cast<Eigen::Index>(series_begin_[s]);
        const auto count = static_cast<Eigen::Index>(series_begin_[s + 1]) - from;
        column.segment(from, count).array() -= column.segment(from, count).mean();
    }
}

Eigen::VectorXd LeastSquares::left(const State& state, const Variances& variances) const {
    Eigen::VectorXd left(static_cast<Eigen::Index>(rows_.size()));
    for (std::size_t r = 0; r < rows_.size(); ++r)
        left[static_cast<Eigen::Index>(r)] = rows_[r].measured - model(rows_[r], state, variances.spread);
    take_zeros(left);
    return left;
}

LeastSquares::Linear LeastSquares::linear(const State& state, const Variances& variances) const {
    Linear at;
    const auto rows = static_cast<Eigen::Index>(rows_.size());
    Eigen::VectorXd here(rows);
    at.left.resize(rows);
    for (std::size_t r = 0; r < rows_.size(); ++r) {
        const auto i = static_cast<Eigen::Index>(r);
        here[i] = model(rows_[r], state, variances.spread);
        at.left[i] = rows_[r].measured - here[i];
    }
    take_zeros(at.left);
    at.columns.setZero(rows, static_cast<Eigen::Index>(figures_.size()));
    for (std::size_t f = 0; f < figures_.size(); ++f) {
        const bool of_rig = figures_[f] == Figure::rig || figures_[f] == Figure::rig_bend;
        State moved = state;
        double step = difference;
        if (state.figures[f] + step > bounds(f).second) step = -step;
        moved.figures[f] += step;
        for (std::size_t r = 0; r < rows_.size(); ++r) {
            const auto i = static_cast<Eigen::Index>(r), c = static_cast<Eigen::Index>(f);
            if (of_rig && !presses(rows_[r])) continue;
            if (of_rig)  // straight: no difference needed
                at.columns(i, c) = figures_[f] == Figure::rig
                                       ? rig_load * rows_[r].load
                                       : rig_load * rig_load * rows_[r].load * rows_[r].load;
            else if (rows_[r].response != nullptr)
                at.columns(i, c) = (model(rows_[r], moved, variances.spread) - here[i]) / step;
        }
    }
    // a device's own share works on its rows as the common scale does
    at.own = at.columns.col(0);
    for (std::size_t r = 0; r < rows_.size(); ++r)
        if (rows_[r].device < 0) at.own[static_cast<Eigen::Index>(r)] = 0.0;
    for (Eigen::Index f = 0; f < at.columns.cols(); ++f) take_zeros(at.columns.col(f));
    take_zeros(at.own);
    return at;
}

double LeastSquares::deviance(const Eigen::VectorXd& left, const State& state,
                              const Variances& variances) const {
    double sum = 0.0;
    for (std::size_t r = 0; r < rows_.size(); ++r) {
        const double of_noise =
            left[static_cast<Eigen::Index>(r)] / variances.noise[static_cast<std::size_t>(rows_[r].kind)];
        sum += of_noise * of_noise;
    }
    for (const double device : state.devices) sum += device * device;
    return sum;
}

State LeastSquares::minimise(State from, const Variances& variances,
                             const std::vector<std::size_t>& held) const {
    const auto p = static_cast<Eigen::Index>(figures_.size()), q = static_cast<Eigen::Index>(devices_);
    if (variances.spread == 0.0) std::fill(from.devices.begin(), from.devices.end(), 0.0);
    State best = std::move(from);
    best.deviance = deviance(left(best, variances), best, variances);
    double damping = 1e-4;
    for (int step = 0; step < most_steps; ++step) {
        const Linear at = linear(best, variances);
        Eigen::MatrixXd all = Eigen::MatrixXd::Zero(p + q, p + q);
        Eigen::VectorXd right = Eigen::VectorXd::Zero(p + q);
        for (std::size_t r = 0; r < rows_.size(); ++r) {
            const auto i = static_cast<Eigen::Index>(r);
            const double noise = variances.noise[static_cast<std::size_t>(rows_[r].kind)],
                         weight = 1.0 / (noise * noise);
            all.topLeftCorner(p, p).noalias() += weight * at.columns.row(i).transpose() * at.columns.row(i);
            right.head(p) += weight * at.left[i] * at.columns.row(i).transpose();
            if (rows_[r].device < 0 || variances.spread == 0.0) continue;
            const Eigen::Index d = p + rows_[r].device;
            const double own = variances.spread * at.own[i];
            all.col(d).head(p) += weight * own * at.columns.row(i).transpose();
            all(d, d) += weight * own * own;
            right[d] += weight * own * at.left[i];
        }
        for (Eigen::Index d = 0; d < q; ++d) {
            all.row(p + d).head(p) = all.col(p + d).head(p).transpose();
            all(p + d, p + d) += 1.0;
            right[p + d] -= best.devices[static_cast<std::size_t>(d)];
        }
        // what is held, or lies on a bound and wants across it, stays
        for (std::size_t f = 0; f < figures_.size(); ++f) {
            const auto [low, high] = bounds(f);
            const auto i = static_cast<Eigen::Index>(f);
            const double value = best.figures[f];
            if (std::find(held.begin(), held.end(), f) == held.end() &&
                !(value <= low + at_bound && right[i] < 0.0) && !(value >= high - at_bound && right[i] > 0.0))
                continue;
            all.row(i).setZero();
            all.col(i).setZero();
            all(i, i) = 1.0;
            right[i] = 0.0;
        }
        bool better = false;
        double moved = 0.0;
        for (int attempt = 0; attempt < 12 && !better; ++attempt) {
            Eigen::MatrixXd damped = all;
            damped.diagonal() *= 1.0 + damping;
            const Eigen::VectorXd way = damped.ldlt().solve(right);
            if (!way.allFinite()) break;
            State tried = best;
            for (std::size_t f = 0; f < figures_.size(); ++f) {
                const auto [low, high] = bounds(f);
                tried.figures[f] = std::clamp(best.figures[f] + way[static_cast<Eigen::Index>(f)], low, high);
            }
            for (Eigen::Index d = 0; d < q; ++d) tried.devices[static_cast<std::size_t>(d)] += way[p + d];
            tried.deviance = deviance(left(tried, variances), tried, variances);
            moved = way.cwiseAbs().maxCoeff();
            if (tried.deviance <= best.deviance) {
                better = true;
                const double gained = best.deviance - tried.deviance;
                best = std::move(tried);
                damping = std::max(0.2 * damping, 1e-9);
                if (gained < settled_step * (1.0 + best.deviance)) moved = 0.0;
            } else {
                damping = std::max(8.0 * damping, 1e-6);
            }
        }
        if (!better || moved < settled_step) break;
    }
    return best;
}

MixedSums LeastSquares::sums(const State& state, const Variances& variances) const {
    const Linear at = linear(state, variances);
    std::vector<Eigen::Index> free;
    for (std::size_t f = 0; f < figures_.size(); ++f)
        if (!on_bound(state, f)) free.push_back(static_cast<Eigen::Index>(f));
    MixedSums sums;
    sums.fixed = static_cast<int>(free.size());
    sums.devices = devices_;
    const auto p = static_cast<Eigen::Index>(sums.fixed), n = p + devices_ + 1;
    for (Eigen::MatrixXd& kind : sums.sums) kind.setZero(n, n);
    Eigen::VectorXd row(n);
    for (std::size_t r = 0; r < rows_.size(); ++r) {
        const auto i = static_cast<Eigen::Index>(r);
        row.setZero();
        for (Eigen::Index f = 0; f < p; ++f) row[f] = at.columns(i, free[static_cast<std::size_t>(f)]);
        double left = at.left[i];
        if (rows_[r].device >= 0) {
            row[p + rows_[r].device] = at.own[i];
            // what the device's own share explains belongs to it
            left += at.own[i] * variances.spread * state.devices[static_cast<std::size_t>(rows_[r].device)];
        }
        row[n - 1] = left;
        sums.sums[static_cast<std::size_t>(rows_[r].kind)].noalias() += row * row.transpose();
        sums.rows[static_cast<std::size_t>(rows_[r].kind)] += 1.0;
    }
    for (std::size_t s = 0; s + 1 < series_begin_.size(); ++s)
        sums.rows[static_cast<std::size_t>(rows_[series_begin_[s]].kind)] -= 1.0;
    return sums;
}

std::vector<FitResidual> LeastSquares::residuals(const State& state, const Variances& variances) const {
    const Eigen::VectorXd of_rows = left(state, variances);
    std::vector<FitResidual> told;
    for (std::size_t r = 0; r < rows_.size(); ++r)
        told.push_back(
            {rows_[r].loading, rows_[r].reading, rows_[r].kind == 1, of_rows[static_cast<Eigen::Index>(r)]});
    return told;
}

}  // namespace archwright::calibrate
