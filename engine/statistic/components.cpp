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
    if (!slopes) return out;
    // C^-1 in plain columns: b = c W'y / rest, P = (1 - W c W' / rest) / rest
    MatrixXd c = factor.solve(MatrixXd::Identity(n, n));
    out.mean_variance = c(0, 0);
    c.array() *= (unit * unit.transpose()).array();
    const VectorXd b = c * t.wy / rest;
    MatrixXd m, wwm;
    m.noalias() = c * t.ww;
    m /= rest;
    wwm.noalias() = t.ww * m;
    const VectorXd wpy = (t.wy - t.ww * b) / rest;  // W'Py
    const double ypy2 = (t.squares - 2.0 * b.dot(t.wy) + b.dot(t.ww * b)) / (rest * rest);
    out.slope = VectorXd::Zero(sources + 1);
    out.information = MatrixXd::Zero(sources + 1, sources + 1);
    const auto from = [&](int s) { return t.first[static_cast<std::size_t>(s)]; };
    const auto wide = [&](int s) { return t.levels[static_cast<std::size_t>(s)]; };
    // W'PW = (W'W - W'W m) / rest; the trace of a block of W'PPW = (W'W - 2 W'W m + W'W m m) / rest^2
    for (int s = 0; s < sources; ++s) {
        const int i = from(s), k = wide(s);
        out.slope[s] =
            (t.ww.block(i, i, k, k) - wwm.block(i, i, k, k)).trace() / rest - wpy.segment(i, k).squaredNorm();
        for (int o = 0; o < sources; ++o)
            out.information(s, o) =
                0.5 * (t.ww.block(i, from(o), k, wide(o)) - wwm.block(i, from(o), k, wide(o))).squaredNorm() /
                (rest * rest);
        const double twice = wwm.middleRows(i, k).cwiseProduct(m.middleCols(i, k).transpose()).sum();
        out.information(s, sources) = out.information(sources, s) =
            0.5 * (t.ww.block(i, i, k, k).trace() - 2.0 * wwm.block(i, i, k, k).trace() + twice) /
            (rest * rest);
    }
    const double trace = m.trace();
    out.slope[sources] = (t.count - trace) / rest - ypy2;
    out.information(sources, sources) =
        0.5 * (t.count - 2.0 * trace + m.cwiseProduct(m.transpose()).sum()) / (rest * rest);
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

/// Where the root of the profile's rise meets that of `rise`, between a variance below it and one above it.
/// Over the cube root of a variance it is nearly a straight line (E. B. Wilson and M. M. Hilferty, Proc Natl
/// Acad Sci 17:684, 1931), so the false position with Illinois's halving is there in a few steps.
double crossing(const MixedTable& t, const Best& best, int part, double rise, double inside, double outside,
                double risen_outside) {
    const double target = std::sqrt(rise);
    constexpr double close = 2e-3;  // of the root: a limit to some thousandths
    double low = std::cbrt(inside), high = std::cbrt(outside), at_low = -target,
           at_high = std::sqrt(std::max(risen_outside, 0.0)) - target;
    VectorXd from = best.variances;
    int last = 0;
    double x = high;
    constexpr int most_steps = 40;
    for (int i = 0; i < most_steps; ++i) {
        x = low - at_low * (high - low) / (at_high - at_low);
        from[part] = x * x * x;
        const Best now = least_deviance(t, from, part);
        from = now.variances;  // the next begins here
        const double at = std::sqrt(std::max(now.deviance - best.deviance, 0.0)) - target;
        if (std::abs(at) < close) break;
        if (at < 0.0) {
            low = x;
            at_low = at;
            if (last < 0) at_high *= 0.5;
            last = -1;
        } else {
            high = x;
            at_high = at;
            if (last > 0) at_low *= 0.5;
            last = 1;
        }
    }
    return x * x * x;
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
    if (out.value > small)
        if (const double risen = above(small); risen > rise)
            out.low = crossing(t, best, part, rise, out.value, small, risen);
    double outside = std::max(4.0 * out.value, 0.1 * t.scale), risen = above(outside);
    constexpr double farthest = 1e6;
    while (risen < rise && outside < farthest * t.scale) {
        outside *= 4.0;
        risen = above(outside);
    }
    out.high = crossing(t, best, part, rise, out.value, outside, risen);
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
    const Likelihood at = likelihood(t, best.variances, true);
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
