#include "engine/statistic/components.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "engine/statistic/distribution.hpp"

namespace archwright::statistic {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double least_share = 1e-9;  ///< of the whole variance: the rest is never less
constexpr double nothing = 1e-12;     ///< of the whole variance: held at zero
constexpr int most_rounds = 60;

/// The table as sums: W = [1 | levels of all sources], all that the likelihood asks for.
struct MixedTable {
    double count = 0.0, squares = 0.0;  ///< of values less their mean
    double scale = 1.0;                 ///< total variance
    MatrixXd ww;
    VectorXd wy;
    std::vector<int> first, levels;  ///< of each source, among the columns behind the mean's

    int sources() const { return static_cast<int>(levels.size()); }
    int columns() const { return static_cast<int>(ww.rows()); }
};

MixedTable table_of(const std::vector<double>& values, double mean,
                    const std::vector<std::vector<int>>& sources) {
    MixedTable t;
    int columns = 1;
    for (const std::vector<int>& source : sources) {
        t.first.push_back(columns);
        t.levels.push_back(1 + *std::max_element(source.begin(), source.end()));
        columns += t.levels.back();
    }
    t.ww = MatrixXd::Zero(columns, columns);
    t.wy = VectorXd::Zero(columns);
    std::vector<int> at(sources.size() + 1, 0);
    for (std::size_t i = 0; i < values.size(); ++i) {
        for (std::size_t s = 0; s < sources.size(); ++s) at[s + 1] = t.first[s] + sources[s][i];
        const double y = values[i] - mean;
        t.squares += y * y;
        for (const int a : at) {
            t.wy[a] += y;
            for (const int b : at) t.ww(a, b) += 1.0;
        }
    }
    t.count = static_cast<double>(values.size());
    t.scale = t.squares / (t.count - 1.0);
    return t;
}

/// Variances in the order of the sources, the rest last.
struct Likelihood {
    double deviance = 1e300;  ///< -2 log, without constants
    VectorXd slope;           ///< of the deviance by each variance
    MatrixXd information;     ///< expected, of the deviance's half
    double mean = 0.0, mean_variance = 0.0;
};

/// Henderson's equations with the random columns in units of their standard deviation, so that a variance of
/// nothing does no harm.
Likelihood likelihood(const MixedTable& t, const VectorXd& variances, bool slopes) {
    Likelihood out;
    const int n = t.columns(), sources = t.sources();
    const double rest = variances[sources];
    VectorXd unit = VectorXd::Ones(n);
    for (int s = 0; s < sources; ++s)
        unit.segment(t.first[static_cast<std::size_t>(s)], t.levels[static_cast<std::size_t>(s)])
            .setConstant(std::sqrt(variances[s]));
    MatrixXd all = unit.asDiagonal() * t.ww * unit.asDiagonal() / rest;
    all.diagonal().tail(n - 1).array() += 1.0;
    const Eigen::LLT<MatrixXd> factor(all);
    if (factor.info() != Eigen::Success) return out;
    const VectorXd right = unit.cwiseProduct(t.wy) / rest;
    const VectorXd solved = factor.solve(right);
    double log_det = 0.0;
    for (int i = 0; i < n; ++i) log_det += 2.0 * std::log(factor.matrixLLT()(i, i));
    out.deviance = t.count * std::log(rest) + log_det + t.squares / rest - right.dot(solved);
    out.mean = solved[0];
    if (!std::isfinite(out.deviance)) {
        out.deviance = 1e300;
        return out;
    }
    const MatrixXd inverse = factor.solve(MatrixXd::Identity(n, n));
    out.mean_variance = inverse(0, 0);
    if (!slopes) return out;
    // C^-1 in plain columns: b = c W'y / rest, P = (1 - W c W' / rest) / rest
    const MatrixXd c = unit.asDiagonal() * inverse * unit.asDiagonal();
    const VectorXd b = c * t.wy / rest;
    const MatrixXd m = c * t.ww / rest;
    const VectorXd wpy = (t.wy - t.ww * b) / rest;                // W'Py
    const MatrixXd wpw = (t.ww - t.ww * c * t.ww / rest) / rest;  // W'PW
    const double ypy2 = (t.squares - 2.0 * b.dot(t.wy) + b.dot(t.ww * b)) / (rest * rest);
    out.slope = VectorXd::Zero(sources + 1);
    out.information = MatrixXd::Zero(sources + 1, sources + 1);
    const MatrixXd wppw = (t.ww - 2.0 * t.ww * m + t.ww * m * m) / (rest * rest);  // W'PPW
    const auto from = [&](int s) { return t.first[static_cast<std::size_t>(s)]; };
    const auto wide = [&](int s) { return t.levels[static_cast<std::size_t>(s)]; };
    for (int s = 0; s < sources; ++s) {
        out.slope[s] = wpw.block(from(s), from(s), wide(s), wide(s)).trace() -
                       wpy.segment(from(s), wide(s)).squaredNorm();
        for (int o = 0; o < sources; ++o)
            out.information(s, o) = 0.5 * wpw.block(from(s), from(o), wide(s), wide(o)).squaredNorm();
        out.information(s, sources) = out.information(sources, s) =
            0.5 * wppw.block(from(s), from(s), wide(s), wide(s)).trace();
    }
    out.slope[sources] = (t.count - m.trace()) / rest - ypy2;
    out.information(sources, sources) = 0.5 * (t.count - 2.0 * m.trace() + (m * m).trace()) / (rest * rest);
    return out;
}

struct Best {
    VectorXd variances;
    double deviance = 1e300;
    bool settled = false;
};

/// Least deviance from `from`, the variance `held` (if any, >= 0) kept.
Best least_deviance(const MixedTable& t, VectorXd from, int held) {
    const int parts = t.sources() + 1;
    const auto least = [&](int i) { return i == parts - 1 ? least_share * t.scale : 0.0; };
    for (int i = 0; i < parts; ++i)
        if (i != held) from[i] = std::max(from[i], least(i));
    Best best{from, 0.0, false};
    Likelihood now = likelihood(t, from, true);
    best.deviance = now.deviance;
    for (int round = 0; round < most_rounds; ++round) {
        std::vector<int> free;
        for (int i = 0; i < parts; ++i) {
            const bool at_least = best.variances[i] <= least(i) + nothing * t.scale;
            if (i != held && !(at_least && now.slope[i] >= 0.0)) free.push_back(i);
        }
        if (free.empty()) {
            best.settled = true;
            return best;
        }
        const auto size = static_cast<Eigen::Index>(free.size());
        MatrixXd information(size, size);
        VectorXd slope(size);
        for (Eigen::Index i = 0; i < size; ++i) {
            slope[i] = 0.5 * now.slope[free[static_cast<std::size_t>(i)]];
            for (Eigen::Index j = 0; j < size; ++j)
                information(i, j) =
                    now.information(free[static_cast<std::size_t>(i)], free[static_cast<std::size_t>(j)]);
        }
        const VectorXd step = -information.ldlt().solve(slope);
        bool better = false;
        double gained = 0.0;
        for (double way = 1.0; way > 1e-6; way *= 0.5) {
            VectorXd tried = best.variances;
            for (Eigen::Index i = 0; i < size; ++i) {
                const int part = free[static_cast<std::size_t>(i)];
                tried[part] = std::max(tried[part] + way * step[i], least(part));
            }
            const double deviance = likelihood(t, tried, false).deviance;
            if (!(deviance <= best.deviance)) continue;
            gained = best.deviance - deviance;
            best.variances = tried;
            best.deviance = deviance;
            better = true;
            break;
        }
        constexpr double no_gain = 1e-9;
        if (!better || gained < no_gain) {
            best.settled = true;
            return best;
        }
        now = likelihood(t, best.variances, true);
    }
    return best;
}

/// Where the profile of the deviance has risen by `rise` above the best, away from the estimate: between a
/// value below it and one above it, by halving in the logarithm (of the rise's root, which is nearly even).
double crossing(const MixedTable& t, const Best& best, int part, double rise, double inside, double outside) {
    VectorXd from = best.variances;
    for (int i = 0; i < 30 && std::abs(outside - inside) > 2e-3 * std::max(inside, outside); ++i) {
        const double middle =
            inside > 0.0 && outside > 0.0 ? std::sqrt(inside * outside) : 0.5 * (inside + outside);
        from[part] = middle;
        const Best at = least_deviance(t, from, part);
        (at.deviance - best.deviance < rise ? inside : outside) = middle;
    }
    return 0.5 * (inside + outside);
}

Estimate limits(const MixedTable& t, const Best& best, int part, double rise) {
    Estimate out;
    out.value = best.variances[part];
    const auto above = [&](double variance) {
        VectorXd from = best.variances;
        from[part] = variance;
        return least_deviance(t, from, part).deviance - best.deviance;
    };
    const double small = 1e-6 * t.scale;  // of no consequence
    if (out.value > small && above(small) > rise) out.low = crossing(t, best, part, rise, out.value, small);
    double outside = std::max(4.0 * out.value, 0.1 * t.scale);
    constexpr double farthest = 1e6;
    while (above(outside) < rise && outside < farthest * t.scale) outside *= 4.0;
    out.high = crossing(t, best, part, rise, std::max(out.value, small), outside);
    return out;
}

/// Levels numbered anew, 0, 1, 2, ... in the order they come.
std::vector<int> numbered(const std::vector<int>& levels) {
    std::map<int, int> number;
    std::vector<int> out;
    for (const int level : levels)
        out.push_back(number.emplace(level, static_cast<int>(number.size())).first->second);
    return out;
}

}  // namespace

Components components(const std::vector<double>& values, const std::vector<Source>& sources,
                      double confidence) {
    Components out;
    double mean = 0.0;
    for (const double value : values) mean += value;
    mean /= static_cast<double>(values.size());
    std::vector<std::vector<int>> used;
    std::vector<std::size_t> which;
    std::set<std::vector<int>> seen;
    for (std::size_t s = 0; s < sources.size(); ++s) {
        Component part;
        part.name = sources[s].name;
        const std::vector<int> levels = numbered(sources[s].level);
        part.levels = levels.empty() ? 0 : 1 + *std::max_element(levels.begin(), levels.end());
        // one level is the mean, a level of its own for each value is the rest
        part.known =
            part.levels > 1 && part.levels < static_cast<int>(values.size()) && seen.insert(levels).second;
        if (part.known) {
            used.push_back(levels);
            which.push_back(s);
        }
        out.parts.push_back(part);
    }
    Component rest;
    rest.name = rest_name;
    rest.levels = static_cast<int>(values.size());
    const MixedTable t = table_of(values, mean, used);
    out.mean = mean;
    if (!(t.scale > 0.0)) {  // nothing varies
        out.parts.push_back(rest);
        return out;
    }
    const auto parts = static_cast<Eigen::Index>(used.size() + 1);
    const VectorXd even = VectorXd::Constant(parts, t.scale / static_cast<double>(parts));
    const Best best = least_deviance(t, even, -1);
    out.settled = best.settled;
    const Likelihood at = likelihood(t, best.variances, false);
    out.mean += at.mean;
    out.mean_sd = std::sqrt(at.mean_variance);
    const double rise = chi_squared_below(confidence, 1.0);
    for (std::size_t i = 0; i < used.size(); ++i)
        out.parts[which[i]].variance = limits(t, best, static_cast<int>(i), rise);
    rest.variance = limits(t, best, static_cast<int>(used.size()), rise);
    out.parts.push_back(rest);
    return out;
}

}  // namespace archwright::statistic
