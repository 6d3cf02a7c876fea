// Loading a shell over its ground again and again.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "engine/flex/contact_condensed.hpp"
#include "engine/flex/contact_whole.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Rows of the compliance (three a place with friction, one without) above which factors of the whole shell
/// are the quicker way.
constexpr Eigen::Index most_rows = 1500;
/// Directions along the ground in which the farthest places are in play from the beginning: without the
/// places at its ends a shell could tip over.
constexpr int ends_looked_for = 32;
/// Places taken in at a time.
constexpr std::size_t taken_in = 48;
/// Of the load: what may be left at a point of the whole shell.
constexpr double accepted_share = 1e-7;
constexpr int most_extensions = 60, most_improvements = 4;

/// Places that are in the ground but not in play, the deepest and some spread over all of them.
std::vector<int> left_out(const ContactSetup& setup, const Eigen::VectorXd& u,
                          const std::vector<char>& in_play) {
    std::vector<std::pair<double, int>> deep;
    for (std::size_t c = 0; c < setup.count(); ++c)
        if (const double gap = setup.gap_of(c, setup.displacement_of(c, u)); !in_play[c] && gap < 0.0)
            deep.emplace_back(gap, static_cast<int>(c));
    std::vector<int> taken;
    if (deep.size() <= taken_in) {
        for (const auto& [gap, c] : deep) taken.push_back(c);
        return taken;
    }
    for (std::size_t i = 0; i < taken_in / 2; ++i)
        taken.push_back(deep[i * deep.size() / (taken_in / 2)].second);
    std::sort(deep.begin(), deep.end());
    for (std::size_t i = 0; taken.size() < taken_in; ++i)
        if (std::find(taken.begin(), taken.end(), deep[i].second) == taken.end())
            taken.push_back(deep[i].second);
    std::sort(taken.begin(), taken.end());
    return taken;
}

/// Places at the ends of the shell along the ground that are not in play.
std::vector<int> ends(const ContactSetup& setup, const std::vector<char>& in_play) {
    Vec3 up = Vec3::Zero();
    for (const Contact& contact : setup.problem->contacts) up += contact.normal;
    if (!(up.norm() > 0.0)) up = Vec3::UnitZ();
    up.normalize();
    const Vec3 one = up.unitOrthogonal(), other = up.cross(one);
    std::vector<int> found;
    for (int i = 0; i < ends_looked_for; ++i) {
        const double angle = 2.0 * std::numbers::pi * i / ends_looked_for;
        const Vec3 way = std::cos(angle) * one + std::sin(angle) * other;
        double most = -1e300;
        int end = -1;
        for (std::size_t c = 0; c < setup.count(); ++c) {
            const Contact& contact = setup.problem->contacts[c];
            if (const double far = way.dot(setup.problem->model.points[contact.point] + contact.arm);
                far > most) {
                most = far;
                end = static_cast<int>(c);
            }
        }
        if (end >= 0 && !in_play[end] && std::find(found.begin(), found.end(), end) == found.end())
            found.push_back(end);
    }
    return found;
}

/// Which places the space has in play.
std::vector<char> in_play_of(const ContactSetup& setup, const CondensedSpace& space) {
    std::vector<char> in_play(setup.count(), 0);
    for (const int c : space.places()) in_play[c] = 1;
    return in_play;
}

/// The space under the setup's load, with all that touches at first in play; false where that is too much.
Outcome<bool> make_ready(const ContactSetup& setup, CondensedSpace& space) {
    std::vector<char> in_play = in_play_of(setup, space);
    std::vector<int> more;
    Eigen::Index rows = space.rows();
    for (std::size_t c = 0; c < setup.count(); ++c)
        if (setup.touching[c] && !in_play[c]) {
            more.push_back(static_cast<int>(c));
            rows += setup.problem->contacts[c].friction > 0.0 ? 3 : 1;
        }
    if (rows > most_rows) return false;
    if (space.prepared()) {
        space.load_anew();
        space.take_in(more);
        return true;
    }
    if (const auto done = space.prepare(more); !done) return done.fault();
    for (const int c : more) in_play[c] = 1;
    space.take_in(ends(setup, in_play));
    return true;
}

}  // namespace

Outcome<std::optional<ContactResult>> solve_condensed(ContactSetup& setup, CondensedSpace& space,
                                                      Progress* progress) {
    const auto ready = make_ready(setup, space);
    if (!ready) return ready.fault();
    if (!*ready) return std::optional<ContactResult>();
    std::vector<char> in_play = in_play_of(setup, space), touching;
    std::vector<double> bounds(space.places().size(), 0.0);
    for (std::size_t k = 0; k < space.places().size(); ++k) {
        const int c = space.places()[k];
        touching.push_back(setup.touching[c]);
        if (setup.stuck_first && setup.touching[c])
            bounds[k] = setup.problem->contacts[c].friction * setup.load_n;
    }
    int rounds = 0;
    for (int extension = 0; extension < most_extensions; ++extension) {
        const auto settled = settle(setup, space, touching, bounds, limit::most_rounds, progress);
        if (!settled) return settled.fault();
        rounds += *settled;
        Eigen::VectorXd u = space.whole();
        if (setup.lifted(u)) return lifted_fault();
        std::vector<double> all_bounds(setup.count(), 0.0);
        std::vector<char> all_touching(setup.count(), 0);
        double deepest = 0.0;
        for (std::size_t k = 0; k < space.places().size(); ++k) {
            const int c = space.places()[k];
            all_bounds[c] = bounds[k];
            all_touching[c] = touching[k];
            if (setup.problem->contacts[c].bed_n_mm == 0.0)
                deepest = std::min(deepest, setup.gap_of(c, space.displacement(k)));
        }
        if (deepest < -0.5 * limit::penetration_mm) {
            setup.rigid_n_mm *= 10.0;
            continue;
        }
        std::vector<int> more = left_out(setup, u, in_play);
        if (more.empty()) {
            // The small equations know the shell by a compliance; the last digits come from the shell itself.
            double out_n = setup.out_of_balance(u, all_bounds, &all_touching).cwiseAbs().maxCoeff();
            for (int i = 0; i < most_improvements && out_n > limit::settled * setup.load_n; ++i) {
                const Eigen::VectorXd out = setup.out_of_balance(u, all_bounds, &all_touching);
                const Eigen::VectorXd better = space.improved(u, out, touching, bounds);
                const double left =
                    setup.out_of_balance(better, all_bounds, &all_touching).cwiseAbs().maxCoeff();
                if (!(left < out_n)) break;
                u = better;
                out_n = left;
            }
            more = left_out(setup, u, in_play);
        }
        if (more.empty()) {
            const double left = setup.out_of_balance(u, all_bounds).cwiseAbs().maxCoeff();
            if (left <= accepted_share * setup.load_n)
                return std::optional<ContactResult>(setup.result(u, all_bounds, rounds));
            setup.start = u;  // too fine for the small equations: the whole shell goes on from here
            setup.touching = all_touching;
            return std::optional<ContactResult>();
        }
        for (const int c : more) in_play[c] = 1;
        space.take_in(more);
        if (space.rows() > most_rows) return std::optional<ContactResult>();
        touching.resize(space.places().size(), 1);
        bounds.resize(space.places().size(), 0.0);
    }
    return std::optional<ContactResult>();
}

struct ContactSolver::Inside {
    ContactProblem problem;
    ContactSetup setup;
    std::optional<CondensedSpace> condensed;
    std::optional<WholeSpace> whole;
    bool bed = false;
};

ContactSolver::ContactSolver(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
ContactSolver::ContactSolver(ContactSolver&&) noexcept = default;
ContactSolver& ContactSolver::operator=(ContactSolver&&) noexcept = default;
ContactSolver::~ContactSolver() = default;

Outcome<ContactSolver> ContactSolver::of(ContactProblem problem, Progress* progress,
                                         std::shared_ptr<const Stiffness> assembled) {
    auto inside = std::make_unique<Inside>();
    inside->problem = std::move(problem);
    auto setup = ContactSetup::of(inside->problem, progress, std::move(assembled));
    if (!setup) return setup.fault();
    inside->setup = std::move(*setup);
    inside->bed = std::any_of(inside->problem.contacts.begin(), inside->problem.contacts.end(),
                              [](const Contact& contact) { return contact.bed_n_mm > 0.0; });
    return ContactSolver(std::move(inside));
}

const ContactProblem& ContactSolver::problem() const {
    return inside_->problem;
}

Outcome<ContactResult> ContactSolver::solve(const Eigen::VectorXd& load, const ContactStart& start,
                                            Progress* progress) {
    Inside& in = *inside_;
    if (const auto begun = in.setup.begin(load, start); !begun) return begun.fault();
    if (!in.bed && !in.whole) {
        if (!in.condensed) in.condensed.emplace(in.setup);
        auto found = solve_condensed(in.setup, *in.condensed, progress);
        if (!found) return found.fault();
        if (found->has_value()) return std::move(**found);
        in.condensed.reset();  // what is too much for the small equations now is so for further loads
    }
    if (!in.whole) in.whole.emplace(in.setup);
    in.whole->load_anew();
    return solve_whole(in.setup, *in.whole, progress);
}

Outcome<ContactResult> solve_contact(const ContactProblem& problem, const ContactStart& start,
                                     Progress* progress) {
    auto solver = ContactSolver::of(problem, progress);
    if (!solver) return solver.fault();
    return solver->solve(problem.load_case.load, start, progress);
}

}  // namespace archwright::flex
