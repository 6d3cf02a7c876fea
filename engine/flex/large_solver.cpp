#include "engine/flex/large_solver.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/flex/contact_search.hpp"
#include "engine/flex/large_newton.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"

namespace archwright::flex {

namespace {

/// A step that moves the shell so many times as far as its tangent foresaw has jumped over something.
constexpr double jumps = 3.0;
/// Steps are shortened and lengthened by these; rounds up to which one was easy; halvings in a row after
/// which a limit of the load is looked for.
constexpr double shorter = 0.4, longer = 2.0;
constexpr int easy_rounds = 8, most_halvings = 3;
/// How far the load sinks into the ground while it is soft at first; where no rest is found so, tried again.
constexpr double sinks_mm = 0.05, softer_sinks_mm = 0.5;
/// Over ground a snap is found within this share of the load, and told from so far a jump on: a shell that
/// tips over onto other places of it by less has not snapped.
constexpr double snap_within = 0.01, least_jump_mm = 1.0;
/// A path is given up on steps of this share of the shell's size, or once it has moved so many sizes.
constexpr double least_path_step = 1e-7, most_path_sizes = 3.0;
/// The first step on the path and the longest, of the shell's size times the root of its points.
constexpr double first_path_step = 0.005, longest_path_step = 0.05;

double distance_between(const LargeState& one, const LargeState& other) {
    double sum = 0.0;
    for (std::size_t p = 0; p < one.moved.size(); ++p) sum += (one.moved[p] - other.moved[p]).squaredNorm();
    return std::sqrt(sum);
}

}  // namespace

struct LargeSolver::Inside {
    LargeProblem problem;
    LargeNewton newton;
    explicit Inside(LargeProblem given) : problem(std::move(given)), newton(problem) {}

    /// One course.
    struct Way {
        const LargeSteps* steps = nullptr;
        LargeCourse course;
        LargeState state, before;  ///< the last two that are settled
        Progress* progress = nullptr;
        bool begun = false;
        bool rests = false;  ///< on its ground, as far as is known
    };

    double moved_mm(const LargeState& state) const {
        return problem.load_case.load.dot(state.freedoms()) / newton.load_n();
    }
    void accept(Way& way, LargeState&& state, const LargeSettled& settled, bool asked) const {
        newton.hold_on(state);
        way.before = std::move(way.state);
        way.state = std::move(state);
        way.course.rounds += settled.rounds;
        ++way.course.steps;
        way.course.path.push_back({way.state.share, moved_mm(way.state), settled.negative == 0, asked});
        if (asked) {
            way.course.states.push_back(way.state);
            way.course.unbalanced_n = std::max(way.course.unbalanced_n, settled.left_n);
        }
    }
    Fault given_up(const Way& way, double share) const {
        return contact_fault(FaultKind::input, "No state in balance was found past " +
                                                   rounded(100.0 * way.state.share, 1) + " % of the load (" +
                                                   rounded(100.0 * share, 1) +
                                                   " % was tried). Take a smaller load or larger elements.");
    }

    Outcome<Done> go_to(Way& way, double share);
    /// The same over ground.
    Outcome<Done> lay_to(Way& way, double share);
    void tell_jump(Way& way, const LargeState& after) const;
    /// `failed`: a share that load steps did not reach.
    Outcome<Done> pass_limit(Way& way, double share, double failed);
};

Outcome<Done> LargeSolver::Inside::go_to(Way& way, double share) {
    double stride = std::min(share - way.state.share, way.steps->longest_step);
    int halvings = 0;
    bool search = false;
    while (way.state.share < share || !way.begun) {
        if (way.course.steps >= way.steps->most_steps) return given_up(way, share);
        double to = way.begun ? way.state.share + stride : way.state.share;
        if (share - to < 1e-9 * std::abs(share)) to = share;
        LargeState trial = way.state;
        const auto settled = newton.to_share(trial, to, search, way.progress);
        if (!settled) return settled.fault();
        const double moved = distance_between(trial, way.state);
        const bool jumped = way.begun && moved > jumps * settled->foreseen_mm && settled->rounds > 0;
        if (settled->found && settled->negative == 0 && !jumped) {
            if (!way.begun) stride = share - way.state.share;
            way.begun = true;
            accept(way, std::move(trial), *settled, to == share);
            if (settled->rounds <= easy_rounds) {
                if (halvings == 0) stride *= longer;
                search = false;
            }
            halvings = std::max(0, halvings - 1);
            stride = std::min({stride, way.steps->longest_step, share - way.state.share});
            continue;
        }
        way.course.rounds += settled->rounds;
        if (!way.begun) {
            if (search) return given_up(way, to);
            search = true;
            continue;
        }
        if (++halvings > most_halvings) return pass_limit(way, share, to);
        stride *= shorter;
        search = !settled->found;
    }
    return Done{};
}

Outcome<Done> LargeSolver::Inside::lay_to(Way& way, double share) {
    double stride = std::min(share - way.state.share, way.steps->longest_step);
    int halvings = 0;
    double sinks = sinks_mm;
    bool anew = false;  // put down anew under that load, instead of going on from the last state
    while (way.state.share < share || !way.begun) {
        if (way.course.steps >= way.steps->most_steps) return given_up(way, share);
        double to = way.begun ? way.state.share + stride : way.state.share;
        if (share - to < 1e-9 * std::abs(share)) to = share;
        LargeState trial = anew ? LargeState::at_rest(problem) : way.state;
        const auto settled =
            newton.lay_down(trial, to, sinks, anew || !way.rests || sinks > sinks_mm, way.progress);
        if (!settled) return settled.fault();
        const bool found = settled->found && settled->negative == 0;
        if (!found) {
            way.course.rounds += settled->rounds;
            if (sinks < softer_sinks_mm) {
                sinks = softer_sinks_mm;
                continue;
            }
            sinks = sinks_mm;
            if (++halvings > most_halvings) {
                // where a lightly loaded device rolls over from one stance to the next, the load may find the
                // next one only when it is put down in the other
                if (anew || !way.begun) return given_up(way, to);
                anew = true;
                stride = share - way.state.share;
            } else if (way.begun) {
                stride *= shorter;
            } else {
                way.state.share *= 0.5;  // it may stand under less, and go on from there
            }
            continue;
        }
        // as it has moved so far it goes on; a state far from that is one it has snapped over into
        const double foreseen =
            (to / way.state.share - 1.0) * distance_between(way.state, LargeState::at_rest(problem));
        if (way.begun && distance_between(trial, way.state) > jumps * foreseen) {
            if (!anew && stride > snap_within * share) {
                way.course.rounds += settled->rounds;
                stride = std::max(shorter * stride, 0.99 * snap_within * share);
                continue;
            }
            tell_jump(way, trial);
        }
        way.begun = way.rests = true;
        accept(way, std::move(trial), *settled, to == share);
        halvings = 0;
        sinks = sinks_mm;
        anew = false;
        stride = std::min({longer * std::max(stride, snap_within * share), way.steps->longest_step,
                           share - way.state.share});
    }
    return Done{};
}

void LargeSolver::Inside::tell_jump(Way& way, const LargeState& after) const {
    SnapThrough told{way.state.share, way.state.share, 0, 0.0};
    for (std::size_t p = 0; p < after.moved.size(); ++p)
        if (const double jump = (after.moved[p] - way.state.moved[p]).norm(); jump > told.jump_mm) {
            told.jump_mm = jump;
            told.point = static_cast<int>(p);
        }
    if (told.jump_mm >= least_jump_mm) way.course.snaps.push_back(told);
}

Outcome<Done> LargeSolver::Inside::pass_limit(Way& way, double share, double failed) {
    if (!way.steps->past_limits) {
        way.course.snaps.push_back({way.state.share, way.state.share, 0, 0.0});
        way.course.whole = false;
        return Done{};
    }
    const double root = std::sqrt(static_cast<double>(problem.model.points.size()));
    const double scale = newton.size_mm() * root;
    double length = first_path_step * scale;
    if (const double last = distance_between(way.state, way.before); last > 0.0)
        length = std::min(length, last);
    LargeState top = way.state;
    double low = top.share;
    bool falls = false;
    std::vector<LargeState> last{way.before, way.state};  // up to three, for the turns of the share
    const auto turn = [&](const LargeState& next) -> Outcome<std::optional<LargeState>> {
        last.push_back(next);
        if (last.size() > 3) last.erase(last.begin());
        if (last.size() < 3) return std::optional<LargeState>();
        const double one = distance_between(last[0], last[1]), two = distance_between(last[1], last[2]);
        const double up = last[1].share - last[0].share, on = last[2].share - last[1].share;
        if (!(one > 0.0 && two > 0.0) || (up > 0.0) == (on > 0.0)) return std::optional<LargeState>();
        // the top or bottom of the parabola through them, and the state there
        const double bend = (on / two - up / one) / (one + two);
        const double at = 0.5 * (one - up / (one * bend));
        LargeState there = last[0];
        Eigen::VectorXd along = Eigen::VectorXd::Zero(problem.load_case.load.size());
        for (std::size_t p = 0; p < there.moved.size(); ++p)
            along.segment<3>(6 * static_cast<Eigen::Index>(p)) = last[1].moved[p] - last[0].moved[p];
        const auto found = newton.along(there, along / along.norm(), at, way.progress);
        if (!found) return found.fault();
        if (!found->found || distance_between(there, last[0]) > jumps * at)
            return std::optional<LargeState>();
        return std::optional<LargeState>(std::move(there));
    };
    const auto snap = [&](const LargeState* after) {
        if (!falls) return;
        SnapThrough told{top.share, low, 0, 0.0};
        double most = 0.0;
        for (std::size_t p = 0; p < top.moved.size(); ++p)
            if (const double jump = ((after != nullptr ? *after : way.state).moved[p] - top.moved[p]).norm();
                jump > most) {
                most = jump;
                told.point = static_cast<int>(p);
            }
        if (after != nullptr) told.jump_mm = most;
        way.course.snaps.push_back(told);
    };
    while (way.course.steps < way.steps->most_steps) {
        auto onward = newton.onward(way.state);
        if (!onward) return onward.fault();
        for (Eigen::Index at = 0; at < onward->size(); at += 6) onward->segment<3>(at + 3).setZero();
        Eigen::VectorXd unit = *onward / onward->norm();
        if (!unit.allFinite()) return given_up(way, share);
        double sense = 0.0;  // the path does not turn back
        for (std::size_t p = 0; p < way.state.moved.size(); ++p)
            sense += unit.segment<3>(6 * static_cast<Eigen::Index>(p))
                         .dot(way.state.moved[p] - way.before.moved[p]);
        if (sense < 0.0) unit = -unit;
        LargeState trial;
        LargeSettled settled;
        for (;;) {
            trial = way.state;
            auto found = newton.along(trial, unit, length, way.progress);
            if (!found) return found.fault();
            settled = *found;
            if (settled.found && distance_between(trial, way.state) < jumps * length) break;
            way.course.rounds += settled.rounds;
            length *= shorter;
            if (length < least_path_step * scale) {
                snap(nullptr);
                if (!falls) return given_up(way, share);
                way.course.whole = false;
                return Done{};
            }
        }
        if (trial.share >= share) {  // as much as is asked for: exactly there
            LargeState there = trial;
            auto exact_share = newton.to_share(there, share, false, way.progress);
            if (!exact_share) return exact_share.fault();
            if (exact_share->found && distance_between(there, way.state) < jumps * length) {
                snap(&there);
                accept(way, std::move(there), *exact_share, true);
                return Done{};
            }
            length *= shorter;
            if (length < least_path_step * scale) return given_up(way, share);
            continue;
        }
        const bool stable_again = settled.negative == 0 && trial.share > (falls ? top.share : failed) &&
                                  trial.share > way.state.share;
        const auto turned = turn(trial);
        if (!turned) return turned.fault();
        if (!falls && trial.share > top.share) top = trial;
        if (!falls && *turned && (*turned)->share > top.share) top = **turned;
        accept(way, std::move(trial), settled, false);
        if (way.state.share < top.share && !falls) {
            falls = true;
            low = way.state.share;
        }
        low = std::min(low, way.state.share);
        if (falls && *turned) low = std::min(low, (*turned)->share);
        if (stable_again) {
            snap(&way.state);
            return go_to(way, share);
        }
        if (distance_between(way.state, LargeState::at_rest(problem)) > most_path_sizes * scale) {
            snap(nullptr);
            way.course.whole = false;
            return Done{};
        }
        if (settled.rounds <= easy_rounds) length = std::min(1.5 * length, longest_path_step * scale);
    }
    if (falls) {
        snap(nullptr);
        way.course.whole = false;
        return Done{};
    }
    return given_up(way, share);
}

LargeSolver::LargeSolver(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
LargeSolver::LargeSolver(LargeSolver&&) noexcept = default;
LargeSolver& LargeSolver::operator=(LargeSolver&&) noexcept = default;
LargeSolver::~LargeSolver() = default;

Outcome<LargeSolver> LargeSolver::of(LargeProblem problem, Progress* progress) {
    if (const auto good = check_large(problem); !good) return good.fault();
    if (problem.contacts.empty())
        if (const auto held = check_held(problem.model, held_freedoms(problem), problem.load_case.springs);
            !held)
            return held.fault();
    if (progress != nullptr && !progress->report("Shell moved on", 0.0))
        return contact_fault(FaultKind::cancelled, "Cancelled.");
    return LargeSolver(std::make_unique<Inside>(std::move(problem)));
}

const LargeProblem& LargeSolver::problem() const {
    return inside_->problem;
}
const LargeShell& LargeSolver::shell() const {
    return inside_->newton.shell();
}

Outcome<LargeCourse> LargeSolver::follow(const LargeSteps& steps, const std::optional<LargeState>& from,
                                         Progress* progress) {
    Inside& in = *inside_;
    double last = 0.0;
    for (const double share : steps.shares) {
        if (!(share > last) || !std::isfinite(share))
            return contact_fault(FaultKind::input, "Shares of a load must rise from above 0; " +
                                                       exact(share) + " follows " + exact(last) + ".");
        last = share;
    }
    Inside::Way way;
    way.steps = &steps;
    way.progress = progress;
    const int factored = in.newton.factored();
    if (from) {
        way.state = *from;  // settled where it stands, before it goes on
        way.rests = true;
        way.begun =
            !in.problem.contacts.empty() && !steps.shares.empty() && from->share < steps.shares.front();
    } else if (!steps.shares.empty()) {
        way.state = LargeState::at_rest(in.problem);
        if (!in.problem.contacts.empty()) way.state.share = steps.shares.front();
        way.begun = in.problem.contacts.empty();
    }
    way.before = way.state;
    for (const double share : steps.shares) {
        const auto done = in.problem.contacts.empty() ? in.go_to(way, share) : in.lay_to(way, share);
        if (!done) return done.fault();
        if (!way.course.whole) break;
    }
    way.course.factored = in.newton.factored() - factored;
    return std::move(way.course);
}

Outcome<LargeCourse> solve_large(LargeProblem problem, const LargeSteps& steps, Progress* progress) {
    auto solver = LargeSolver::of(std::move(problem), progress);
    if (!solver) return solver.fault();
    return solver->follow(steps, {}, progress);
}

}  // namespace archwright::flex
