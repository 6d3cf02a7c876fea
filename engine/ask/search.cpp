#include "engine/ask/search.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/ask/least_change.hpp"

namespace archwright::ask {

namespace {

/// Half the difference of walls whose bodies give a slope, as a share of the wall: far above rounding, and so
/// little that its square is nothing.
constexpr double slope_share = 1e-3;
/// Longest step, logarithm of a wall: 35 %.
constexpr double longest_step = 0.3;
/// A search ends when no stiffness misses by more than `close_share` and no wall would move by more than
/// `still_share`, or at the latest after so many steps.
constexpr double close_share = 3e-4, still_share = 2e-3, no_step_share = 1e-5;
constexpr int most_search_steps = 15, most_halvings = 3, most_corners = 4;
/// Walls looked at for another beginning.
constexpr int places_looked_at = 6;

/// Spread evenly over 0 to 1 along each direction: J. H. Halton, Numerische Mathematik 2 (1960), of the first
/// primes.
double spread(int place, int direction) {
    constexpr int primes[] = {2, 3, 5, 7, 11, 13};
    const int base = primes[direction % 6];
    double share = 1.0, sum = 0.0;
    for (int left = place + direction / 6; left > 0; left /= base) {
        share /= base;
        sum += share * (left % base);
    }
    return sum;
}

Fault cancelled_search() {
    return Fault{FaultKind::cancelled, "ask", "Cancelled.", std::nullopt};
}

}  // namespace

Outcome<Tried> Search::at(const std::vector<double>& values, const Tried* near, Progress* progress) {
    if (progress != nullptr &&
        !progress->report("Trial walls", 1.0 - 1.0 / (1.0 + 0.25 * static_cast<double>(trials_))))
        return cancelled_search();
    const auto body = trial_.body(with_values(wall_, asked_, values), nullptr);
    if (!body) return body.fault();
    Tried tried;
    tried.values = values;
    tried.log_stiffness.resize(static_cast<Eigen::Index>(loadings_.size()));
    for (std::size_t t = 0; t < loadings_.size(); ++t) {
        auto course = take_course(trial_.subject(), *body, loadings_[t],
                                  near != nullptr ? &near->courses[t] : nullptr, progress);
        if (!course) return course.fault();
        if (progress != nullptr && progress->cancelled()) return cancelled_search();
        tried.log_stiffness[static_cast<Eigen::Index>(t)] = std::log(course->stiffness);
        tried.courses.push_back(std::move(*course));
    }
    ++trials_;
    return tried;
}

Outcome<Eigen::MatrixXd> Search::slopes(const Tried& tried, Progress* progress) const {
    const auto count = static_cast<Eigen::Index>(asked_.size());
    Eigen::MatrixXd slopes(static_cast<Eigen::Index>(loadings_.size()), count);
    std::vector<Adjoint> adjoints;
    for (std::size_t t = 0; t < loadings_.size(); ++t) {
        auto adjoint = Adjoint::of(tried.courses[t], loadings_[t], progress);
        if (!adjoint) return adjoint.fault();
        adjoints.push_back(std::move(*adjoint));
    }
    for (Eigen::Index i = 0; i < count; ++i) {
        if (progress != nullptr && progress->cancelled()) return cancelled_search();
        const double width = slope_share * tried.values[i];
        std::shared_ptr<const flex::BenchBody> bodies[2];
        for (int side = 0; side < 2; ++side) {
            std::vector<double> values = tried.values;
            values[i] += side == 0 ? width : -width;
            auto body = trial_.body(with_values(wall_, asked_, values), nullptr);
            if (!body) return body.fault();
            bodies[side] = std::move(*body);
        }
        const BodyAt at = [&](double change) -> Outcome<std::shared_ptr<const flex::BenchBody>> {
            return bodies[change > 0.0 ? 0 : 1];
        };
        for (std::size_t t = 0; t < loadings_.size(); ++t) {
            const auto slope = adjoints[t].log_slope(trial_.subject(), at, width);
            if (!slope) return slope.fault();
            slopes(static_cast<Eigen::Index>(t), i) = *slope * tried.values[i];
        }
    }
    return slopes;
}

double Search::worth(const Eigen::VectorXd& aims, const Tried& tried) const {
    double changed = 0.0;
    for (std::size_t i = 0; i < asked_.size(); ++i)
        changed += std::pow(std::log(tried.values[i] / asked_[i].now), 2);
    return (tried.log_stiffness - aims).squaredNorm() + least_change_weight * changed;
}

Outcome<Search::Descent> Search::descend(const Eigen::VectorXd& aims, Tried from, Progress* progress) {
    const auto count = static_cast<Eigen::Index>(asked_.size());
    Eigen::VectorXd now(count), begun(count), low(count), high(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        now[i] = std::log(from.values[i]);
        begun[i] = std::log(asked_[i].now);
        low[i] = std::log(asked_[i].low);
        high[i] = std::log(asked_[i].high);
    }
    bool stopped = false;
    std::optional<Eigen::MatrixXd> known;  // slopes, of here or of one step back
    for (int round = 0; round < most_search_steps && !stopped; ++round) {
        const Eigen::VectorXd misses = from.log_stiffness - aims;
        const auto step_by = [&](const Eigen::MatrixXd& slopes) {
            return least_change_step(misses, slopes, now - begun, least_change_weight,
                                     (low - now).cwiseMax(-longest_step),
                                     (high - now).cwiseMin(longest_step));
        };
        const bool close = misses.cwiseAbs().maxCoeff() <= close_share;
        if (known && close && step_by(*known).cwiseAbs().maxCoeff() <= still_share) break;
        auto slopes = this->slopes(from, progress);
        if (!slopes) return slopes.fault();
        known = std::move(*slopes);
        Eigen::VectorXd step = step_by(*known);
        if (step.cwiseAbs().maxCoeff() <= no_step_share) break;
        const double before = worth(aims, from);
        bool better = false;
        for (int halving = 0; halving <= most_halvings && !better; ++halving, step *= 0.5) {
            const Eigen::VectorXd next = (now + step).cwiseMax(low).cwiseMin(high);
            std::vector<double> values(asked_.size());
            for (Eigen::Index i = 0; i < count; ++i)
                values[i] = std::clamp(std::exp(next[i]), asked_[i].low, asked_[i].high);
            auto tried = at(values, &from, progress);
            if (!tried && tried.fault().kind == FaultKind::cancelled) return tried.fault();
            if (!tried || !(worth(aims, *tried) < before)) continue;
            better = true;
            now = next;
            from = std::move(*tried);
        }
        stopped = !better && !close;
        if (!better) break;
    }
    return Descent{std::move(from), stopped};
}

Outcome<Tried> Search::between(double aim, Tried one, Tried other, Progress* progress) {
    const auto miss = [&](const Tried& tried) { return tried.log_stiffness[0] - aim; };
    double at_one = miss(one), at_other = miss(other);
    for (int halving = 0; halving < most_search_steps; ++halving) {
        const double share = std::clamp(at_one / (at_one - at_other), 0.05, 0.95);
        std::vector<double> values;
        for (std::size_t i = 0; i < asked_.size(); ++i)
            values.push_back(one.values[i] * std::pow(other.values[i] / one.values[i], share));
        auto tried = at(values, &one, progress);
        if (!tried) return tried.fault();
        const double here = miss(*tried);
        if (std::abs(here) <= close_share) return tried;
        // the end that stays counts half from then on (Dowell and Jarratt 1971, BIT 11:168)
        if ((here > 0.0) == (miss(one) > 0.0)) {
            one = std::move(*tried);
            at_one = here;
            at_other *= 0.5;
        } else {
            other = std::move(*tried);
            at_other = here;
            at_one *= 0.5;
        }
    }
    return std::abs(miss(one)) < std::abs(miss(other)) ? one : other;
}

Outcome<Tried> Search::meet(const Eigen::VectorXd& aims, Tried from, Progress* progress) {
    auto found = descend(aims, std::move(from), progress);
    if (!found) return found.fault();
    if (!found->stopped) return std::move(found->tried);
    std::optional<Tried> start, across;  // across: on the other side of a single aim, the nearest
    const auto miss = [&](const Tried& tried) { return tried.log_stiffness[0] - aims[0]; };
    for (int place = -1; place <= places_looked_at; ++place) {  // the thinnest, the thickest, some between
        std::vector<double> values;
        for (std::size_t i = 0; i < asked_.size(); ++i) {
            const double share = place < 1 ? place + 1.0 : spread(place, static_cast<int>(i));
            values.push_back(asked_[i].low * std::pow(asked_[i].high / asked_[i].low, share));
        }
        auto tried = at(values, &found->tried, progress);
        if (!tried && tried.fault().kind == FaultKind::cancelled) return tried.fault();
        if (!tried) continue;
        if (aims.size() == 1 && (miss(*tried) > 0.0) != (miss(found->tried) > 0.0) &&
            (!across || std::abs(miss(*tried)) < std::abs(miss(*across))))
            across = *tried;
        if (!start || worth(aims, *tried) < worth(aims, *start)) start = std::move(*tried);
    }
    if (across) return between(aims[0], std::move(found->tried), std::move(*across), progress);
    if (!start) return std::move(found->tried);
    auto other = descend(aims, std::move(*start), progress);
    if (!other && other.fault().kind == FaultKind::cancelled) return other.fault();
    if (other && worth(aims, other->tried) < worth(aims, found->tried)) return std::move(other->tried);
    return std::move(found->tried);
}

Outcome<std::pair<double, double>> Search::reach(std::size_t target, const Tried& from, Progress* progress) {
    const auto row = static_cast<Eigen::Index>(target);
    std::pair<double, double> ends{from.log_stiffness[row], from.log_stiffness[row]};
    const auto first = slopes(from, progress);
    if (!first) return first.fault();
    for (const bool up : {false, true}) {
        Eigen::MatrixXd slopes = *first;
        std::vector<double> corner;
        const Tried* near = &from;
        std::optional<Tried> there;
        for (int look = 0; look < most_corners; ++look) {
            std::vector<double> next;
            for (std::size_t i = 0; i < asked_.size(); ++i) {
                const double slope = slopes(row, static_cast<Eigen::Index>(i));
                next.push_back((slope > 0.0) == up ? asked_[i].high : asked_[i].low);
            }
            if (next == corner) break;
            corner = next;
            auto tried = at(corner, near, progress);
            if (!tried && tried.fault().kind == FaultKind::cancelled) return tried.fault();
            if (!tried) break;  // nothing to be told of walls that cannot be put on the bench
            const double found = tried->log_stiffness[row];
            (up ? ends.second : ends.first) = up ? std::max(ends.second, found) : std::min(ends.first, found);
            there = std::move(*tried);
            near = &*there;
            auto turned = this->slopes(*there, progress);
            if (!turned && turned.fault().kind == FaultKind::cancelled) return turned.fault();
            if (!turned) break;
            slopes = std::move(*turned);
        }
    }
    return ends;
}

}  // namespace archwright::ask
