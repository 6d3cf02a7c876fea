#include "engine/flex/large_newton.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/flex/contact_law.hpp"
#include "engine/flex/contact_search.hpp"
#include "engine/flex/friction_bounds.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"

namespace archwright::flex {

namespace {

/// Places hold by this share of the membrane's stiffness in Newton's matrix alone: a shell on its ground can
/// be factored whatever touches.
constexpr double ghost_of_membrane = 1e-9;
constexpr int most_newton_rounds = 60, most_ground_rounds = 200, most_friction_rounds = 400;
/// A search is given up when so many rounds in a row have not halved what is out of balance; over ground,
/// where places come down and lift off one after the other, later, and its steps are then searched along; and
/// much later where it is still soft and a light load rolls a device from corner to corner of its underside.
constexpr int idle_rounds = 7, idle_ground_rounds = 15, idle_rolling_rounds = 60;
/// One round moves by no more than this: radians, share of the shell's size.
constexpr double most_spin = 0.7, most_move = 0.3;
/// A factor is kept while a round leaves less than this of what was out of balance.
constexpr double keeps_factor = 0.05, near_balance = 1e-3;
/// Rounding of forces over the sums of their sizes, of places over the shell's size, and how near to both is
/// no longer made better.
constexpr double force_rounding = 1e-14, place_rounding = 1e-15, near_rounding = 50.0;
/// Points with moments up to which their unsymmetric part is taken into the steps.
constexpr std::size_t most_turned = 40;
/// Soft ground is stiffened by so much at a time; before it is rigid no more is balanced than to a share of
/// the load.
constexpr double stiffer = 30.0, least_stiffer = 1.3, rough_settled = 1e-2;
constexpr int most_retries = 8;
/// Where the energy bends down, every point is held by springs of this share of the membrane's stiffness and
/// more, so that a round goes downhill; their arm for turns.
constexpr double least_spring = 1e-7, most_spring = 10.0, stiffer_spring = 5.0, spring_arm_mm = 3.0;
/// From a state that balances and is not stable (a shell that stands on an edge) it goes on downhill along
/// the lowest eigenvector, found in so many rounds, moved by so much; so often at most.
constexpr int saddle_rounds = 20, most_saddles = 4;
constexpr double saddle_mm = 0.05;
/// Of the slope of the energy that a searched length may leave, and lengths tried for it.
constexpr double slope_left = 0.7;
constexpr int lengths_tried = 8;

}  // namespace

LargeNewton::LargeNewton(const LargeProblem& problem)
    : shell_(problem), factor_(shell_.pattern()), held_(held_freedoms(problem)) {
    tangent_.pattern = shell_.pattern();
    Box3 box;
    for (const Vec3& p : problem.model.points) box.add(p);
    size_mm_ = box.size().norm();
    membrane_n_mm_ = problem.model.modulus_along() * problem.model.mean_wall();
    const Eigen::VectorXd& load = problem.load_case.load;
    for (Eigen::Index at = 0; at < load.size(); at += 6)
        load_n_ += load.segment<3>(at).norm() + load.segment<3>(at + 3).norm() / (0.1 * size_mm_);
    for (Eigen::Index at = 0; at < load.size(); at += 6)
        if (!load.segment<3>(at + 3).isZero(0.0)) turned_.push_back(static_cast<int>(at / 6));
    if (turned_.size() > most_turned) turned_.clear();
    load_n_ = std::max(load_n_, 1e-9 * membrane_n_mm_);
    settled_ = limit::settled;
    friction_settled_ = limit::friction_settled;
    for (const Contact& contact : problem.contacts) {
        const Mat3x6 carried = carried_by(contact);
        ghosts_.push_back(
            {contact.point, ghost_of_membrane * membrane_n_mm_ * carried.transpose() * carried});
    }
}

Eigen::VectorXd LargeNewton::out_of_balance(const LargeState& state, const std::vector<Vec18>& strained,
                                            double* rounding) const {
    Eigen::VectorXd sums;
    Eigen::VectorXd out = shell_.out_of_balance(state, strained, rounding == nullptr ? nullptr : &sums);
    for (Eigen::Index i = 0; i < out.size(); ++i)
        if (held_[i]) out[i] = 0.0;
    if (rounding != nullptr)
        *rounding = force_rounding * greatest(sums) + place_rounding * size_mm_ * membrane_n_mm_;
    return out;
}

double LargeNewton::greatest(const Eigen::VectorXd& forces) const {
    double most = 0.0;
    for (Eigen::Index at = 0; at < forces.size(); at += 6)
        most = std::max({most, forces.segment<3>(at).cwiseAbs().maxCoeff(),
                         forces.segment<3>(at + 3).cwiseAbs().maxCoeff() / (0.1 * size_mm_)});
    return most;
}

Outcome<int> LargeNewton::factor(const LargeState& state, const std::vector<Vec18>& strained, bool downhill) {
    shell_.tangent(state, strained, tangent_);
    downhill_.clear();
    auto negative = downhill ? factor_downhill() : factor_.factor_any(tangent_, ghosts_, held_);
    if (!negative || turned_.empty()) return negative;
    const auto count = 3 * static_cast<Eigen::Index>(turned_.size());
    Eigen::MatrixXd units = Eigen::MatrixXd::Zero(shell_.pattern().size(), count);
    uneven_ = Eigen::MatrixXd::Zero(count, count);
    for (Eigen::Index k = 0; k < count; k += 3) {
        const Eigen::Index at = 6 * turned_[k / 3] + 3;
        units.block<3, 3>(at, k).setIdentity();
        uneven_.block<3, 3>(k, k) =
            -0.5 * state.share * cross_matrix(shell_.problem().load_case.load.segment<3>(at));
    }
    turns_ = factor_.solve(units);
    return negative;
}

Outcome<int> LargeNewton::factor_downhill() {
    auto definite = factor_.factor(tangent_, ghosts_, held_);
    if (definite) return 0;
    Mat6 unit = Mat6::Identity();
    unit.bottomRightCorner<3, 3>() *= spring_arm_mm * spring_arm_mm;
    for (double share = least_spring; share <= most_spring; share *= stiffer_spring) {
        if (definite.fault().kind != FaultKind::input) return definite.fault();
        downhill_.clear();
        for (int p = 0; p < shell_.pattern().points(); ++p)
            downhill_.push_back({p, share * membrane_n_mm_ * unit});
        definite = factor_.factor(tangent_, downhill_, held_);
        if (definite) return 1;
    }
    return definite.fault();
}

std::optional<Eigen::VectorXd> LargeNewton::way_down(const LargeState& state,
                                                     const std::vector<Vec18>& strained,
                                                     const Eigen::VectorXd& out, int& negative) {
    const auto found = factor(state, strained, true);
    if (!found) return std::nullopt;
    negative = *found;
    if (negative == 0) return std::nullopt;
    // the lowest eigenvector by inverse iteration: the springs shift all eigenvalues alike
    Eigen::VectorXd way = factor_.solve(out + 1e-6 * load_n_ * Eigen::VectorXd::Ones(out.size()));
    for (int i = 0; i < saddle_rounds; ++i) way = factor_.solve(way / way.norm());
    double most = 0.0;
    for (Eigen::Index at = 0; at < way.size(); at += 6) most = std::max(most, way.segment<3>(at).norm());
    if (!(most > 0.0) || !(way.dot(tangent_.times(way)) < 0.0)) return std::nullopt;
    return (way.dot(out) < 0.0 ? -1.0 : 1.0) * saddle_mm / most * way;
}

Eigen::VectorXd LargeNewton::solve(const Eigen::VectorXd& forces, const Eigen::VectorXd& start) const {
    Eigen::VectorXd found = solve_refined(factor_, tangent_, downhill_, held_, forces, start).displacement;
    if (turned_.empty()) return found;
    // moments about axes that stand still give no energy: their part of the tangent is taken in exactly
    const auto count = 3 * static_cast<Eigen::Index>(turned_.size());
    Eigen::MatrixXd small(count, count);
    Eigen::VectorXd right(count);
    for (Eigen::Index k = 0; k < count; k += 3) {
        const Eigen::Index at = 6 * turned_[k / 3] + 3;
        small.middleRows<3>(k) = turns_.middleRows<3>(at) * uneven_;
        right.segment<3>(k) = found.segment<3>(at);
    }
    small += Eigen::MatrixXd::Identity(count, count);
    return found - turns_ * (uneven_ * small.partialPivLu().solve(right));
}

std::vector<char> LargeNewton::touching(const LargeState& state) const {
    const LargeProblem& problem = shell_.problem();
    std::vector<char> now(problem.contacts.size());
    for (std::size_t c = 0; c < now.size(); ++c)
        now[c] = contact_in(problem, state, c, shell_.rigid_n_mm()).under.gap_mm < 0.0;
    return now;
}

Eigen::VectorXd LargeNewton::bounds_off(const LargeState& state) const {
    const LargeProblem& problem = shell_.problem();
    Eigen::VectorXd off = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(problem.contacts.size()));
    for (std::size_t c = 0; c < problem.contacts.size(); ++c)
        if (problem.contacts[c].friction > 0.0)
            off[static_cast<Eigen::Index>(c)] =
                problem.contacts[c].friction * contact_in(problem, state, c, shell_.rigid_n_mm()).normal_n -
                state.bounds_n[c];
    return off;
}

void LargeNewton::hold_on(LargeState& state) const {
    const LargeProblem& problem = shell_.problem();
    state.came_from = state.anchors;
    for (std::size_t c = 0; c < problem.contacts.size(); ++c) {
        const LargeContact at = contact_in(problem, state, c, shell_.rigid_n_mm());
        Contact here = problem.contacts[c];
        here.normal = at.under.normal;
        const Vec3 along = along_ground(here, at.moved);
        const Vec3 slip = along - along_ground(here, state.anchors[c]);
        if (!(at.under.gap_mm < 0.0) || !(state.bounds_n[c] > 0.0))
            state.anchors[c] = along;  // what does not touch holds on anew where it comes down
        else if (slip.norm() > limit::slip_mm)
            state.anchors[c] = along - limit::slip_mm * slip.normalized();
    }
}

double LargeNewton::best_length(const LargeState& state, const Eigen::VectorXd& step, double slope) const {
    // g(l) = step' out(l) is what the energy still falls by; a length is good that leaves little of it
    const auto left = [&](double length) {
        LargeState moved = state;
        moved.move(step, length);
        const std::vector<Vec18> strained = shell_.strain_forces(moved);
        return strained.empty() ? -1e300 : step.dot(out_of_balance(moved, strained));
    };
    if (!(slope > 0.0)) return 1.0;
    double low = 0.0, high = 1.0, best = 1.0;
    for (int i = 0; i < lengths_tried; ++i) {
        const double g = left(best);
        if (std::abs(g) <= slope_left * slope) break;
        if (g > 0.0 && best == 1.0) break;  // further downhill than a whole step: the next round goes on
        (g > 0.0 ? low : high) = best;
        best = 0.5 * (low + high);
    }
    return best;
}

Outcome<LargeSettled> LargeNewton::to_share(LargeState& state, double share, bool search,
                                            Progress* progress) {
    Eigen::VectorXd start = Eigen::VectorXd::Zero(shell_.pattern().size());
    for (const Support& support : shell_.problem().load_case.supports)
        if (support.component < 3)
            start[freedom(support.point, support.component)] =
                share * support.value - state.moved[support.point][support.component];
    state.share = share;
    return settle(state, start, nullptr, search, progress);
}

void LargeNewton::lower(LargeState& state, double sinks_mm) const {
    const LargeProblem& problem = shell_.problem();
    GroundUnder lowest;
    lowest.gap_mm = 1e300;
    for (std::size_t c = 0; c < problem.contacts.size(); ++c)
        if (const GroundUnder under = contact_in(problem, state, c, shell_.rigid_n_mm()).under;
            under.gap_mm < lowest.gap_mm)
            lowest = under;
    if (lowest.gap_mm > -sinks_mm)
        for (Vec3& moved : state.moved) moved -= (lowest.gap_mm + sinks_mm) * lowest.normal;
}

Outcome<LargeSettled> LargeNewton::lay_down(LargeState& state, double share, double sinks_mm, bool lowered,
                                            Progress* progress) {
    const double rigid = shell_.rigid_n_mm();
    if (lowered) lower(state, sinks_mm);
    LargeState good = state;
    int rounds = 0, retries = 0;
    const std::vector<Contact>& places = shell_.problem().contacts;
    const bool beds = std::all_of(places.begin(), places.end(),
                                  [](const Contact& contact) { return contact.bed_n_mm > 0.0; });
    double held = 0.0, n_mm = beds ? rigid : std::min(rigid, std::abs(share) * load_n_ / sinks_mm);
    double times = stiffer;
    for (;;) {
        const bool last = n_mm >= rigid;
        shell_.set_rigid(n_mm);
        rolls_ = held == 0.0;
        settled_ = last ? limit::settled : rough_settled * std::abs(share);
        friction_settled_ = last ? limit::friction_settled : rough_settled * std::abs(share);
        auto settled = to_share(state, share, true, progress);
        if (settled) rounds += settled->rounds;
        const bool found = settled && settled->found;
        if (found && !last) {
            good = state;
            held = n_mm;
            n_mm = std::min(rigid, times * n_mm);
            continue;
        }
        if (settled && !found && held > 0.0 && n_mm > least_stiffer * held && ++retries <= most_retries) {
            times = std::sqrt(n_mm / held);
            state = good;
            n_mm = std::min(rigid, times * held);
            continue;
        }
        if (settled) settled->rounds = rounds;
        shell_.set_rigid(rigid);
        rolls_ = false;
        settled_ = limit::settled;
        friction_settled_ = limit::friction_settled;
        return settled;
    }
}

Outcome<LargeSettled> LargeNewton::along(LargeState& state, const Eigen::VectorXd& way, double length,
                                         Progress* progress) {
    const Path path{&way, length, state.moved};
    return settle(state, Eigen::VectorXd::Zero(shell_.pattern().size()), &path, false, progress);
}

Outcome<Eigen::VectorXd> LargeNewton::onward(const LargeState& state) {
    const std::vector<Vec18> strained = shell_.strain_forces(state);
    const auto done = factor(state, strained);
    if (!done) return done.fault();
    return solve(shell_.problem().load_case.load, Eigen::VectorXd::Zero(shell_.pattern().size()));
}

Outcome<LargeSettled> LargeNewton::settle(LargeState& state, const Eigen::VectorXd& first_start,
                                          const Path* path, bool search, Progress* progress) {
    const Eigen::VectorXd none = Eigen::VectorXd::Zero(shell_.pattern().size());
    const bool friction = std::any_of(shell_.problem().contacts.begin(), shell_.problem().contacts.end(),
                                      [](const Contact& contact) { return contact.friction > 0.0; });
    LargeSettled settled;
    std::vector<Vec18> strained = shell_.strain_forces(state), mixed = strained;
    if (strained.empty()) return settled;
    std::vector<char> were = touching(state);
    double before = 1e300, best = 1e300;
    int idle = 0;
    bool fresh = true;  // the tangent must be factored anew
    // for given bounds of friction a state is looked for; then they follow what presses there
    FrictionBounds bounds;
    const auto follow = [&](const Eigen::VectorXd& off) {
        bounds.follow(state.bounds_n, off);
        before = best = 1e300;
        idle = 0;
        fresh = false;  // the tangent changes little: a round that leaves much is what makes it anew
    };
    const bool ground = !shell_.problem().contacts.empty();
    const int idle_most = !ground ? idle_rounds : rolls_ ? idle_rolling_rounds : idle_ground_rounds;
    bool searched = search;
    const bool downhill = search && path == nullptr && !ghosts_.empty();
    int saddles = 0;
    const auto leave_saddle = [&](const Eigen::VectorXd& out) {
        if (!downhill || settled.negative == 0 || ++saddles > most_saddles) return false;
        const auto way = way_down(state, strained, out, settled.negative);
        if (!way) return false;
        state.move(*way);
        strained = shell_.strain_forces(state);
        mixed = strained;
        before = best = 1e300;
        idle = 0;
        fresh = true;
        return !strained.empty();
    };
    const int most_rounds = friction ? most_friction_rounds
                            : ground ? most_ground_rounds
                                     : most_newton_rounds;
    for (int round = 0; round < most_rounds; ++round) {
        if (progress != nullptr && !progress->report("Shell moved on", 1.0 - 1.0 / (1.0 + 0.2 * (round + 1))))
            return contact_fault(FaultKind::cancelled, "Cancelled.");
        double rounding = 0.0;
        Eigen::VectorXd out = out_of_balance(state, strained, &rounding);
        double left = greatest(out);
        if (!std::isfinite(left)) return settled;
        settled.left_n = left;
        if (round > 1 && left < 0.5 * best) {
            best = left;
            idle = 0;
        } else if (++idle > idle_most) {
            if (!leave_saddle(out)) return settled;
            continue;
        }
        searched = search || idle > idle_rounds;
        settled.rounds = round;
        double off = 0.0;  // of the path
        if (path != nullptr) {
            for (std::size_t p = 0; p < state.moved.size(); ++p)
                off += path->way->segment<3>(6 * static_cast<Eigen::Index>(p))
                           .dot(state.moved[p] - path->from[p]);
            off = path->length - off;
        }
        const bool moved_supports = round == 0 && !first_start.isZero(0.0);
        const bool on_path = path == nullptr || std::abs(off) <= 1e-9 * path->length;
        const bool as_good = round > 0 && left > 0.5 * before && left <= near_rounding * rounding;
        if (!moved_supports && on_path) {
            const bool balanced = left <= settled_ * load_n_ || as_good;
            const Eigen::VectorXd bounds_are_off =
                friction && (balanced || round > 0) ? bounds_off(state) : Eigen::VectorXd();
            const double unlike = bounds_are_off.lpNorm<1>();
            if (balanced && unlike <= friction_settled_ * load_n_) {
                if (leave_saddle(out)) continue;
                settled.found = true;
                return settled;
            }
            if (unlike > 0.0 && (balanced || (left <= follow_share * unlike && touching(state) == were))) {
                follow(bounds_are_off);
                out = out_of_balance(state, strained, &rounding);
                left = greatest(out);
            }
        }
        if (round > 0) {
            const std::vector<char> now = touching(state);
            fresh = fresh || now != were || left > keeps_factor * before || left > near_balance * load_n_;
            were = now;
        }
        before = left;
        if (fresh) {
            const auto negative = factor(state, searched ? strained : mixed, downhill);
            if (!negative && negative.fault().kind == FaultKind::input) return settled;
            if (!negative) return negative.fault();
            settled.negative = *negative;
        }
        fresh = false;
        Eigen::VectorXd step = solve(out, round == 0 ? first_start : none);
        if (path != nullptr) {
            const Eigen::VectorXd loaded = solve(shell_.problem().load_case.load, none);
            const double more = (off - path->way->dot(step)) / path->way->dot(loaded);
            if (!std::isfinite(more)) return settled;
            step += more * loaded;
            state.share += more;
        }
        if (!step.allFinite()) return settled;
        double farthest = 0.0;
        for (Eigen::Index at = 0; at < step.size(); at += 6)
            farthest = std::max({farthest, step.segment<3>(at).norm() / (most_move * size_mm_),
                                 step.segment<3>(at + 3).norm() / most_spin});
        double length = farthest > 1.0 && !moved_supports ? 1.0 / farthest : 1.0;
        if (round == 0)
            for (Eigen::Index at = 0; at < step.size(); at += 6)
                settled.foreseen_mm = std::hypot(settled.foreseen_mm, step.segment<3>(at).norm());
        step *= length;
        if (searched && !moved_supports) step *= best_length(state, step, step.dot(out));
        mixed = shell_.strain_forces(state, step);
        state.move(step);
        strained = shell_.strain_forces(state);
        if (strained.empty()) return settled;
    }
    return settled;
}

}  // namespace archwright::flex
