#include "engine/calibrate/fit.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "engine/calibrate/least_squares.hpp"
#include "engine/statistic/distribution.hpp"

namespace archwright::calibrate {

namespace {

constexpr double within = 0.95;
constexpr int most_alternations = 25;
constexpr double alternated = 1e-5;

/// Where a figure leaves an interval: the place between `inside` and `outside` at which `over` (below 0
/// inside) comes to 0.
template <class Over>
double crossing(double inside, double outside, const Over& over) {
    for (int i = 0; i < 40 && std::abs(outside - inside) > 1e-5; ++i) {
        const double middle = 0.5 * (inside + outside);
        (over(middle) < 0.0 ? inside : outside) = middle;
    }
    return 0.5 * (inside + outside);
}

/// Interval of one free figure: all that, with everything else fitted anew, is worse by less than
/// `threshold`.
std::pair<double, double> profile(const LeastSquares& problem, const State& best, const Variances& variances,
                                  std::size_t figure, double step, double threshold) {
    const auto [least, most] = problem.bounds(figure);
    const auto side = [&](double way, double bound) {
        State last = best;
        const auto over = [&](double at) {
            State from = last;
            from.figures[figure] = at;
            const State found = problem.minimise(from, variances, {figure});
            last = found;
            return found.deviance - best.deviance - threshold;
        };
        double inside = best.figures[figure], reach = step;
        while (true) {
            const double tried =
                way > 0.0 ? std::min(bound, inside + reach) : std::max(bound, inside - reach);
            if (over(tried) >= 0.0) return crossing(inside, tried, over);
            if (tried == bound) return bound;
            inside = tried;
            reach *= 1.6;
        }
    };
    return {side(-1.0, least), side(1.0, most)};
}

struct Found {
    State state;
    Variances variances;
    bool settled = false;
};

Found alternate(const LeastSquares& problem, const FitInput& input, Found found) {
    const std::array<std::optional<double>, noise_kinds> known{input.noise_mm, input.slide_noise_mm};
    for (int round = 0; round < most_alternations; ++round) {
        found.state = problem.minimise(found.state, found.variances, {});
        const Variances before = found.variances;
        found.variances =
            restricted_variances(problem.sums(found.state, found.variances), before, known, input.spread);
        double change = std::abs(found.variances.spread - before.spread);
        for (int k = 0; k < noise_kinds; ++k)
            change = std::max(change, std::abs(std::log(found.variances.noise[k] / before.noise[k])));
        if (change < alternated) {
            found.settled = true;
            break;
        }
    }
    found.state = problem.minimise(found.state, found.variances, {});
    return found;
}

}  // namespace

Response::At Fit::at(const Response& response, double load_n, double times) const {
    Response::At at = response.at(load_n, times * modulus_scale.value, restraint());
    if (response.load_case() == flex::LoadCase::arch_press)
        at.deflection_mm += rig_mm_n * load_n + rig_mm_n2 * load_n * load_n;
    return at;
}

Outcome<Fit> fit(const FitInput& input) {
    const LeastSquares problem(input);
    if (problem.spare() < 1)
        return Fault{FaultKind::input,
                     "calibrate",
                     "there are fewer readings than figures to be found: give more of them.",
                     {}};
    Variances start;
    if (input.noise_mm) start.noise[0] = *input.noise_mm;
    if (input.slide_noise_mm) start.noise[1] = *input.slide_noise_mm;
    start.spread = input.spread ? 0.05 : 0.0;
    // supports and modulus may fit in more than one way: the best of several beginnings
    Found found;
    found.variances = start;
    found.state.deviance = std::numeric_limits<double>::infinity();
    for (const double grip : {0.1, 0.5, 0.85})
        for (const double friction : {0.1, 0.5}) {
            State from = problem.begin();
            if (const auto at = problem.figure(Figure::grip)) from.figures[*at] = grip;
            if (const auto at = problem.figure(Figure::friction)) from.figures[*at] = friction;
            State tried = problem.minimise(from, start, {});
            if (tried.deviance < found.state.deviance) found.state = std::move(tried);
        }
    found = alternate(problem, input, found);
    if (!std::isfinite(found.state.deviance))
        return Fault{FaultKind::input, "calibrate", "no modulus and no support follow these readings.", {}};

    const std::array<bool, noise_kinds> noise_found{!input.noise_mm, !input.slide_noise_mm};
    const std::size_t scale = *problem.figure(Figure::log_scale);
    const FixedVariance of_scale =
        fixed_variance(problem.sums(found.state, found.variances), found.variances,
                       problem.column(found.state, scale), noise_found, input.spread);
    const double t = statistic::student_t(within, of_scale.freedom);
    const double sd = std::max(std::sqrt(of_scale.variance), 1e-6);

    Fit told;
    const Restraint restraint = problem.restraint(found.state);
    const double value = found.state.figures[scale];
    const auto [low, high] = profile(problem, found.state, found.variances, scale, t * sd, t * t);
    told.modulus_scale = {std::exp(value), std::exp(low), std::exp(high), true};
    told.spring_n_mm = {restraint.distal_spring_n_mm, restraint.distal_spring_n_mm,
                        restraint.distal_spring_n_mm, false};
    told.friction = {restraint.friction, restraint.friction, restraint.friction, false};
    if (const auto at = problem.figure(Figure::grip)) {
        const auto [loose, firm] = profile(problem, found.state, found.variances, *at, 0.1, t * t);
        told.spring_n_mm = {restraint.distal_spring_n_mm, spring_of(loose), spring_of(firm), true};
    }
    if (const auto at = problem.figure(Figure::friction)) {
        const auto [smooth, rough] = profile(problem, found.state, found.variances, *at, 0.1, t * t);
        told.friction = {restraint.friction, smooth, rough, true};
    }
    {
        FitInput alone = input;
        alone.spring_n_mm = restraint.distal_spring_n_mm;
        alone.friction = restraint.friction;
        const LeastSquares known(alone);
        State from = known.begin();
        from.devices = found.state.devices;
        from.figures[*known.figure(Figure::log_scale)] = value;
        const State best = known.minimise(from, found.variances, {});
        const auto [l, h] =
            profile(known, best, found.variances, *known.figure(Figure::log_scale), 0.5 * t * sd, t * t);
        told.alone_low = std::exp(l);
        told.alone_high = std::exp(h);
    }
    told.rig_mm_n = problem.rig(found.state)[0];
    told.rig_mm_n2 = problem.rig(found.state)[1];
    told.noise_mm = found.variances.noise[0];
    told.slide_noise_mm = found.variances.noise[1];
    told.device_spread = found.variances.spread;
    told.freedom = of_scale.freedom;
    // of the profile, so that supports which are bounded or bend it are in it
    told.log_scale_sd = std::max(sd, 0.5 * (high - low) / t);
    for (const double device : found.state.devices)
        told.device_scale.push_back(std::exp(found.variances.spread * device));
    const double freedom = input.spread ? std::max(1.0, input.devices - 2.0) : of_scale.freedom;
    told.prediction_share = std::expm1(std::max(
        statistic::student_t(within, freedom) *
            std::sqrt(told.log_scale_sd * told.log_scale_sd + told.device_spread * told.device_spread),
        std::max(high - value, value - low)));
    told.deviance = found.state.deviance;
    told.residuals = problem.residuals(found.state, found.variances);
    return told;
}

}  // namespace archwright::calibrate
