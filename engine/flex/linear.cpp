#include "engine/flex/linear.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/text.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

constexpr int most_refinements = 4;

Fault wrong_case(const std::string& what) {
    return Fault{FaultKind::input, "flex", what, std::nullopt};
}

Eigen::VectorXd held_force(const Stiffness& stiffness, const std::vector<PointStiffness>& springs,
                           const Eigen::VectorXd& freedoms) {
    Eigen::VectorXd force = stiffness.times(freedoms);
    for (const PointStiffness& spring : springs)
        force.segment<6>(6 * spring.point) += spring.block * freedoms.segment<6>(6 * spring.point);
    return force;
}

}  // namespace

Outcome<Done> check_case(const Model& model, const LinearCase& load_case) {
    const auto points = static_cast<int>(model.points.size());
    if (load_case.load.size() != 6 * points)
        return wrong_case("The load has " + std::to_string(load_case.load.size()) + " figures; " +
                          std::to_string(6 * points) + " are needed, six a point.");
    if (!load_case.load.allFinite()) return wrong_case("The load is not a number somewhere.");
    for (const Support& support : load_case.supports)
        if (support.point < 0 || support.point >= points || support.component < 0 || support.component > 5 ||
            !std::isfinite(support.value))
            return wrong_case("A support holds component " + std::to_string(support.component) +
                              " of point " + std::to_string(support.point) + " at " + exact(support.value) +
                              ": there is no such freedom, or no such number.");
    for (const PointStiffness& spring : load_case.springs)
        if (spring.point < 0 || spring.point >= points || !spring.block.allFinite())
            return wrong_case("A spring stands at point " + std::to_string(spring.point) +
                              ", which is not there, or its stiffness is not a number.");
    return Done{};
}

LinearResult solve_refined(const Factor& factor, const Stiffness& stiffness,
                           const std::vector<PointStiffness>& springs, const std::vector<char>& fixed,
                           const Eigen::VectorXd& load, const Eigen::VectorXd& start) {
    LinearResult result;
    result.displacement = start;
    Eigen::VectorXd out = load - held_force(stiffness, springs, start);
    const auto keep_free = [&](Eigen::VectorXd& v) {
        for (Eigen::Index i = 0; i < v.size(); ++i)
            if (fixed[i]) v[i] = 0.0;
    };
    keep_free(out);
    const double most = out.cwiseAbs().maxCoeff();
    double left = most;
    for (int round = 0; round <= most_refinements && left > 0.0; ++round) {
        const Eigen::VectorXd better = result.displacement + factor.solve(out);
        Eigen::VectorXd better_out = load - held_force(stiffness, springs, better);
        keep_free(better_out);
        const double better_left = better_out.cwiseAbs().maxCoeff();
        if (!(better_left < left)) break;
        const bool slow = better_left > 0.5 * left;
        result.displacement = better;
        out = better_out;
        left = better_left;
        if (slow) break;
    }
    const double sum = std::max(most, stiffness.greatest_sum(result.displacement));
    result.residual = sum > 0.0 ? left / sum : 0.0;
    result.reaction = held_force(stiffness, springs, result.displacement) - load;
    for (Eigen::Index i = 0; i < result.reaction.size(); ++i)
        if (!fixed[i]) result.reaction[i] = 0.0;
    return result;
}

Outcome<LinearSolver> LinearSolver::of(const Model& model, LinearCase load_case, Progress* progress,
                                       std::shared_ptr<const Stiffness> assembled) {
    if (const auto good = model.check(); !good) return good.fault();
    if (const auto good = check_case(model, load_case); !good) return good.fault();
    std::vector<char> fixed(6 * model.points.size(), 0);
    Eigen::VectorXd start = Eigen::VectorXd::Zero(load_case.load.size());
    for (const Support& support : load_case.supports) {
        fixed[freedom(support.point, support.component)] = 1;
        start[freedom(support.point, support.component)] = support.value;
    }
    if (const auto held = check_held(model, fixed, load_case.springs); !held) return held.fault();
    if (assembled == nullptr) {
        auto fresh = assemble(model, progress);
        if (!fresh) return fresh.fault();
        assembled = std::make_shared<const Stiffness>(std::move(fresh).value());
    }
    if (progress != nullptr && !progress->report("Deflection of the shell", 0.5))
        return Fault{FaultKind::cancelled, "flex", "Cancelled.", std::nullopt};
    LinearSolver solver(std::move(assembled));
    solver.springs_ = std::move(load_case.springs);
    solver.fixed_ = std::move(fixed);
    solver.start_ = std::move(start);
    if (const auto done = solver.factor_.factor(*solver.stiffness_, solver.springs_, solver.fixed_); !done)
        return done.fault();
    return solver;
}

Outcome<LinearResult> LinearSolver::solve(const Eigen::VectorXd& load) const {
    if (load.size() != start_.size() || !load.allFinite())
        return wrong_case("The load is not a number at every freedom.");
    LinearResult result = solve_refined(factor_, *stiffness_, springs_, fixed_, load, start_);
    if (!(result.residual < limit::residual) || !result.displacement.allFinite())
        return wrong_case("The shell's deflection could not be found (forces out of balance by " +
                          exact(result.residual) +
                          " of what the "
                          "elements carry). Look for slivers in its mesh, or for a "
                          "wall that changes out of all measure.");
    return result;
}

Outcome<LinearResult> solve_linear(const Model& model, const LinearCase& load_case, Progress* progress) {
    const auto solver = LinearSolver::of(model, load_case, progress);
    if (!solver) return solver.fault();
    auto result = solver->solve(load_case.load);
    if (result && progress != nullptr && !progress->report("Deflection of the shell", 1.0))
        return Fault{FaultKind::cancelled, "flex", "Cancelled.", std::nullopt};
    return result;
}

}  // namespace archwright::flex
