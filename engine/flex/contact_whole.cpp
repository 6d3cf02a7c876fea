#include "engine/flex/contact_whole.hpp"

#include <numeric>

#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Places that do not touch hold by this share of the membrane stiffness in Newton's matrix alone, so that it
/// can be factored whatever touches.
constexpr double ghost_share = 1e-9;
/// Rounding of the elements' forces over the sum of their sizes.
constexpr double rounding_share = 1e-14;

}  // namespace

WholeSpace::WholeSpace(const ContactSetup& setup)
    : setup_(setup), factor_(setup.stiffness->pattern), places_(setup.count()), u_(setup.start) {
    std::iota(places_.begin(), places_.end(), 0);
    for (std::size_t c = 0; c < setup.count(); ++c)
        ghosts_.push_back(
            {setup.problem->contacts[c].point,
             ghost_share * setup.membrane_n_mm * setup.carried[c].transpose() * setup.carried[c]});
}

Outcome<Done> WholeSpace::find_step(const std::vector<char>* given, const std::vector<double>& bounds) {
    std::vector<PointStiffness> springs = setup_.problem->load_case.springs;
    Eigen::VectorXd out = setup_.elastic_out(u_);
    for (std::size_t c = 0; c < places_.size(); ++c) {
        const Touch touch = given == nullptr ? Touch::by_gap : (*given)[c] ? Touch::yes : Touch::no;
        if (touch == Touch::no && !(bounds[c] > 0.0)) continue;
        const Contact& contact = setup_.problem->contacts[c];
        const GroundForce ground =
            ground_force(contact, displacement(c), setup_.anchors[c], setup_.push_of(c), bounds[c], touch);
        out.segment<6>(6 * contact.point) += setup_.carried[c].transpose() * ground.force;
        springs.push_back(
            {contact.point, setup_.carried[c].transpose() * ground.stiffness * setup_.carried[c]});
    }
    std::vector<PointStiffness> all = springs;
    all.insert(all.end(), ghosts_.begin(), ghosts_.end());
    if (const auto done = factor_.factor(*setup_.stiffness, all, setup_.fixed); !done) return done.fault();
    step_ = solve_refined(factor_, *setup_.stiffness, springs, setup_.fixed, out,
                          Eigen::VectorXd::Zero(out.size()))
                .displacement;
    if (!step_.allFinite()) return lifted_fault();
    elastic_step_ = setup_.load - setup_.elastic_out(step_);
    return Done{};
}

double WholeSpace::slope(double length, const std::vector<double>& bounds) const {
    double sum = elastic_step_.dot(u_ + length * step_) - setup_.load.dot(step_);
    for (std::size_t c = 0; c < places_.size(); ++c) {
        const Vec3 way = setup_.displacement_of(c, step_);
        sum -= way.dot(ground_force(setup_.problem->contacts[c], displacement(c) + length * way,
                                    setup_.anchors[c], setup_.push_of(c), bounds[c], Touch::by_gap)
                           .force);
    }
    return sum;
}

void WholeSpace::move(double length) {
    before_ = u_;
    u_ += length * step_;
}

double WholeSpace::left(const std::vector<double>& bounds) const {
    return setup_.out_of_balance(u_, bounds).cwiseAbs().maxCoeff();
}

double WholeSpace::rounding() const {
    return rounding_share * setup_.stiffness->greatest_sum(u_);
}

Outcome<ContactResult> solve_whole(const ContactSetup& setup, WholeSpace& space, Progress* progress) {
    std::vector<double> bounds(setup.count(), 0.0);
    if (setup.stuck_first)
        for (std::size_t c = 0; c < setup.count(); ++c)
            if (setup.touching[c]) bounds[c] = setup.problem->contacts[c].friction * setup.load_n;
    std::vector<char> touching = setup.touching;
    const auto rounds = settle(setup, space, touching, bounds, limit::most_whole_rounds, progress);
    if (!rounds) return rounds.fault();
    return setup.result(space.displacement(), bounds, *rounds);
}

}  // namespace archwright::flex
