#include "engine/ask/course.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::ask {

namespace {

/// Gaps of places a device rests on as it is put down, mm: three of them, by rounding.
constexpr double rests_mm = 1e-6;

Held held_of(const flex::ContactAnswer& answer) {
    switch (answer.state) {
        case flex::ContactAnswer::State::sticks:
            return Held::sticks;
        case flex::ContactAnswer::State::slides:
            return Held::slides;
        default:
            return Held::open;
    }
}

/// Force over depth where the ground is rigid: all places share it; the deepest tells it best.
double rigid_stiffness(const std::vector<flex::Contact>& contacts,
                       const std::vector<flex::ContactAnswer>& answers) {
    double deepest = 0.0, stiffness = 0.0;
    for (std::size_t c = 0; c < contacts.size(); ++c)
        if (contacts[c].bed_n_mm == 0.0 && answers[c].gap_mm < deepest) {
            deepest = answers[c].gap_mm;
            stiffness = -answers[c].normal_n / deepest;
        }
    return stiffness;
}

/// The steps with large deflections.
Outcome<std::vector<Step>> far_steps(const Stood& stood, const Loading& loading, const Course* begin,
                                     Progress* progress) {
    const auto named = [&](const Fault& fault) {
        Fault told = flex::bench_fault(loading.load_case, fault.message);
        told.kind = fault.kind;
        return told;
    };
    auto solver = stood.stand->large(stood.load.forces(loading.load), progress);
    if (!solver) return named(solver.fault());
    const flex::LargeProblem& problem = solver->problem();
    flex::LargeSteps steps;
    if (stood.on_ground(loading)) steps.shares = {loading.preload / loading.load, 1.0};
    std::optional<flex::LargeState> from;
    if (begin != nullptr && stood.on_ground(loading) && !begin->steps.empty() && begin->steps.front().far &&
        begin->steps.front().places.size() == problem.contacts.size()) {
        from = begin->steps.front().far;
        from->share = steps.shares.front();
        from->anchors.assign(problem.contacts.size(), Vec3::Zero());
    }
    auto course = solver->follow(steps, from, progress);
    if (!course && from && course.fault().kind != FaultKind::cancelled)
        course = solver->follow(steps, {}, progress);
    if (!course) return named(course.fault());
    if (!course->whole || course->states.size() < steps.shares.size())
        return flex::bench_fault(loading.load_case,
                                 "with that wall the shell gives way before it bears the load.");
    std::vector<Step> taken;
    for (flex::LargeState& state : course->states) {
        const auto answers = flex::contact_answers(problem, state);
        Step step{
            state.share * loading.load, state.freedoms(), {}, state.came_from, flex::rigid_ground(problem)};
        for (const flex::ContactAnswer& answer : answers) step.places.push_back(held_of(answer));
        step.far = std::move(state);
        taken.push_back(std::move(step));
    }
    return taken;
}

}  // namespace

Eigen::VectorXd Stood::measured(const Loading& loading) const {
    Eigen::VectorXd weights = load.forces(1.0);
    if (loading.load_case == flex::LoadCase::torsion) weights *= degrees(1.0);
    return weights;
}

Outcome<Stood> put_on_bench(const flex::BenchSubject& subject, std::shared_ptr<const flex::BenchBody> body,
                            const Loading& loading, Progress* progress) {
    Stood stood;
    stood.body = std::move(body);
    stood.load = loading.placed;
    const auto take = [&](Outcome<flex::BenchStand> stand) -> Outcome<Done> {
        if (!stand) return stand.fault();
        stood.stand = std::make_shared<flex::BenchStand>(std::move(*stand));
        stood.load.up = stood.stand->up();
        return Done{};
    };
    if (stood.on_ground(loading)) {
        const auto pose = flex::put_down(stood.body->middle.place, subject.rule->heel_centre,
                                         loading.placed.at, loading.support.bed_shape);
        if (!pose)
            return flex::bench_fault(loading.load_case,
                                     "with that wall the shell finds no rest under the load.");
        if (const auto done =
                take(flex::BenchStand::on_ground(subject, stood.body, loading.support, *pose, progress));
            !done)
            return done.fault();
    } else if (const auto done = take(flex::BenchStand::held(subject, stood.body, progress)); !done) {
        return done.fault();
    }
    return stood;
}

std::vector<char> Course::state() const {
    std::vector<char> all;
    for (const Step& step : steps)
        for (const Held place : step.places) all.push_back(static_cast<char>(place));
    if (!steps.empty() && !steps.front().places.empty())
        for (const flex::Contact& contact : stood.stand->contact().problem().contacts)
            all.push_back(std::abs(contact.gap_mm) < rests_mm);
    return all;
}

Outcome<Course> take_course(const flex::BenchSubject& subject, std::shared_ptr<const flex::BenchBody> body,
                            const Loading& loading, const Course* begin, Progress* progress) {
    auto stood = put_on_bench(subject, std::move(body), loading, progress);
    if (!stood) return stood.fault();
    Course course;
    course.stood = std::move(*stood);
    const flex::BenchLoad& load = course.stood.load;
    if (loading.far) {
        auto steps = far_steps(course.stood, loading, begin, progress);
        if (!steps) return steps.fault();
        course.steps = std::move(*steps);
        course.deflection = load.deflection(course.steps.back().displacement);
        if (course.steps.size() > 1) course.deflection -= load.deflection(course.steps.front().displacement);
    } else if (!course.stood.on_ground(loading)) {
        auto solved = course.stood.stand->linear().solve(load.forces(loading.load));
        if (!solved) return solved.fault();
        course.deflection = load.deflection(solved->displacement);
        course.steps.push_back({loading.load, std::move(solved->displacement), {}, {}, 0.0});
    } else {
        flex::ContactSolver& solver = course.stood.stand->contact();
        const std::vector<flex::Contact>& contacts = solver.problem().contacts;
        flex::ContactStart start;
        if (begin != nullptr && !begin->steps.empty() &&
            begin->steps.front().places.size() == contacts.size()) {
            start.displacement = begin->steps.front().displacement;
            for (const Held place : begin->steps.front().places)
                start.touching.push_back(place != Held::open);
        }
        start.anchors.assign(contacts.size(), Vec3::Zero());
        double before = 0.0;
        for (const double share : {loading.preload, loading.load}) {
            auto solved = solver.solve(load.forces(share), start, progress);
            if (!solved) {
                Fault named = flex::bench_fault(loading.load_case, solved.fault().message);
                named.kind = solved.fault().kind;
                return named;
            }
            Step step{
                share, solved->displacement, {}, start.anchors, rigid_stiffness(contacts, solved->contacts)};
            start = {solved->displacement, {}, solved->anchors};
            for (const flex::ContactAnswer& answer : solved->contacts) {
                step.places.push_back(held_of(answer));
                start.touching.push_back(answer.state != flex::ContactAnswer::State::open);
            }
            course.steps.push_back(std::move(step));
            course.deflection = load.deflection(solved->displacement) - before;
            before = load.deflection(solved->displacement);
        }
    }
    if (!(course.deflection >= flex::least_deflection) && course.stood.on_ground(loading))
        return flex::bench_fault(loading.load_case, "it gives by less than " +
                                                        rounded(flex::least_deflection, 2) +
                                                        " mm: there is no stiffness to ask for.");
    course.stiffness = (loading.load - loading.preload) / course.deflection;
    return course;
}

}  // namespace archwright::ask
