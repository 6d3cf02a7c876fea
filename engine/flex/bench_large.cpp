#include "engine/flex/bench_large.hpp"

#include <algorithm>
#include <string>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/flex/bench_ground.hpp"

namespace archwright::flex {

namespace {

/// Any place under the load touches.
bool rests_under(const BenchLoad& placed, const LargeProblem& problem, const LargeState& state) {
    const std::vector<ContactAnswer> answers = contact_answers(problem, state);
    for (std::size_t c = 0; c < answers.size(); ++c)
        if (placed.shares[problem.contacts[c].point] > 0.0 && answers[c].state != ContactAnswer::State::open)
            return true;
    return false;
}

void tell_snaps(const LargeCourse& course, const Model& model, double load, LargeTakeUp& into) {
    for (const SnapThrough& snap : course.snaps)
        into.snaps.push_back(
            {snap.share * load, snap.falls_to * load, model.points[snap.point], snap.jump_mm});
}

}  // namespace

Outcome<LargeTakeUp> take_up_large(BenchStand& stand, const BenchLoad& placed, const surface::TrimRule& rule,
                                   LoadCase load_case, double load, const std::vector<double>& shares,
                                   const std::vector<double>& further, Progress* progress) {
    const auto named = [&](const Fault& fault) {
        Fault told = bench_fault(load_case, fault.message);
        told.kind = fault.kind;
        return told;
    };
    auto solver = stand.large(placed.forces(load), progress);
    if (!solver) return named(solver.fault());
    const LargeProblem& problem = solver->problem();
    LargeSteps steps;
    steps.shares = shares;
    auto course = solver->follow(steps, {}, progress);
    if (!course) return named(course.fault());
    LargeTakeUp made;
    tell_snaps(*course, problem.model, load, made);
    const auto point = [&](const LargeState& state) {
        const Eigen::VectorXd moved = state.freedoms();
        return BenchPoint{state.share * load, placed.deflection(moved), distal_slide(stand, moved),
                          arch_force(rule, stand, problem.contacts, contact_answers(problem, state))};
    };
    if (!course->whole || course->states.size() < shares.size()) {
        if (made.snaps.empty())
            return bench_fault(load_case, "the shell gives way before it bears the load.");
        const BenchSnap& last = made.snaps.back();
        Fault gives_way =
            bench_fault(load_case, "the shell snaps through at " + bench_figure(last.load) + " " +
                                       units(load_case).load + " (" + coordinates(last.at) +
                                       " moves most), and no state was found in which it bears " +
                                       bench_figure(load) + ". Make it stiffer, or load it less.");
        gives_way.kind = FaultKind::check;  // an answer about the device, which small deflections do not see
        return gives_way;
    }
    for (const LargeState& state : course->states) made.points.push_back(point(state));
    made.whole = std::move(course->states.back());
    made.contacts = contact_answers(problem, made.whole);
    made.stress = stresses(solver->shell(), made.whole);
    LargeState state = made.whole;
    for (const double share : further) {
        made.rests = rests_under(placed, problem, state);
        if (made.rests) break;
        steps.shares = {share};
        auto more = solver->follow(steps, state, progress);
        if (!more && more.fault().kind == FaultKind::cancelled) return more.fault();
        if (!more) break;  // the curve ends where the last state was found
        tell_snaps(*more, problem.model, load, made);
        if (more->states.empty()) break;
        state = std::move(more->states.back());
        made.further.push_back(point(state));
        made.rests = rests_under(placed, problem, state);
    }
    return made;
}

}  // namespace archwright::flex
