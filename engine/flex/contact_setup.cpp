#include <algorithm>
#include <cmath>
#include <string>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Rigid ground is this much stiffer than the shell's membrane (modulus x wall).
constexpr double rigid_share = 20.0;
/// Load over the stiffness of rigid ground: what it gives in if one place bears all, mm.
constexpr double rigid_gives_mm = 1e-4;
/// Heights above the lowest place that are tried for what touches at first, mm; the first that holds the
/// shell is taken.
constexpr double first_heights_mm[] = {1e-3, 0.02, 0.1, 0.3, 1.0, 3.0, 10.0, 30.0};
constexpr double well_held = 1e-4;

/// Springs of the case and of what touches, 1 N/mm against the ground and `along` where there is friction.
std::vector<PointStiffness> holding(const ContactSetup& setup, const std::vector<char>& touching,
                                    double along) {
    std::vector<PointStiffness> springs = setup.problem->load_case.springs;
    for (std::size_t c = 0; c < setup.count(); ++c) {
        if (!touching[c]) continue;
        const Contact& contact = setup.problem->contacts[c];
        const Mat3 across = contact.normal * contact.normal.transpose();
        const double hold = contact.friction > 0.0 ? along : 0.0;
        springs.push_back(
            {contact.point, setup.carried[c].transpose() * (across + hold * (Mat3::Identity() - across)) *
                                setup.carried[c]});
    }
    return springs;
}

std::vector<char> lowest_that_hold(const ContactSetup& setup) {
    double lowest = 1e300;
    for (const Contact& contact : setup.problem->contacts) lowest = std::min(lowest, contact.gap_mm);
    std::vector<char> touching(setup.count(), 1);
    for (const double height : first_heights_mm) {
        for (std::size_t c = 0; c < setup.count(); ++c)
            touching[c] = setup.problem->contacts[c].gap_mm <= lowest + height;
        if (least_hold(setup.problem->model, setup.fixed, holding(setup, touching, 1.0)) > well_held)
            return touching;
    }
    return std::vector<char>(setup.count(), 1);
}

}  // namespace

Fault contact_fault(FaultKind kind, const std::string& what) {
    return Fault{kind, "flex", what, std::nullopt};
}

Outcome<Done> check_contacts(const Model& model, const std::vector<Contact>& contacts) {
    const auto points = static_cast<int>(model.points.size());
    for (const Contact& contact : contacts)
        if (contact.point < 0 || contact.point >= points || !contact.arm.allFinite() ||
            !(std::abs(contact.normal.norm() - 1.0) < 1e-6) || !std::isfinite(contact.gap_mm) ||
            !(contact.friction >= 0.0 && contact.friction <= 10.0) || !(contact.bed_n_mm >= 0.0) ||
            !std::isfinite(contact.bed_n_mm))
            return contact_fault(FaultKind::input,
                                 "A place of contact at point " + std::to_string(contact.point) +
                                     " is not there, has no direction or gap, a friction outside 0 to 10, or "
                                     "ground of no stiffness.");
    return Done{};
}

Fault lifted_fault() {
    return contact_fault(FaultKind::input,
                         "The load lifts or tips the shell off what it stands on. Put the load between the "
                         "places it rests on, or hold the shell.");
}

Outcome<ContactSetup> ContactSetup::of(const ContactProblem& problem, Progress* progress,
                                       std::shared_ptr<const Stiffness> assembled) {
    const Model& model = problem.model;
    if (const auto good = model.check(); !good) return good.fault();
    if (const auto good = check_case(model, problem.load_case); !good) return good.fault();
    if (const auto good = check_contacts(model, problem.contacts); !good) return good.fault();
    ContactSetup setup;
    setup.problem = &problem;
    for (const Contact& contact : problem.contacts) {
        setup.carried.push_back(carried_by(contact));
        setup.friction = setup.friction || contact.friction > 0.0;
    }
    setup.fixed.assign(6 * model.points.size(), 0);
    for (const Support& support : problem.load_case.supports)
        setup.fixed[freedom(support.point, support.component)] = 1;
    Box3 box;
    for (const Vec3& p : model.points) box.add(p);
    setup.size_mm = box.size().norm();
    const std::vector<char> all(setup.count(), 1);
    if (const auto held = check_held(model, setup.fixed, holding(setup, all, 1.0)); !held)
        return held.fault();
    setup.stuck_first =
        setup.friction && least_hold(model, setup.fixed, holding(setup, all, 0.0)) < limit::least_hold;
    setup.membrane_n_mm = model.modulus_along() * model.mean_wall();
    if (assembled == nullptr) {
        auto fresh = assemble(model, progress);
        if (!fresh) return fresh.fault();
        assembled = std::make_shared<const Stiffness>(std::move(fresh).value());
    }
    setup.stiffness = std::move(assembled);
    return setup;
}

Outcome<Done> ContactSetup::begin(const Eigen::VectorXd& under, const ContactStart& from) {
    const Model& model = problem->model;
    const auto freedoms = static_cast<Eigen::Index>(fixed.size());
    if (under.size() != freedoms || !under.allFinite())
        return contact_fault(FaultKind::input, "The load is not a number at every freedom.");
    load = under;
    start = Eigen::VectorXd::Zero(freedoms);
    const bool begun = from.displacement.size() == freedoms && from.displacement.allFinite();
    if (begun) start = from.displacement;
    for (const Support& support : problem->load_case.supports)
        start[freedom(support.point, support.component)] = support.value;
    load_n = 0.0;
    for (Eigen::Index at = 0; at < freedoms; at += 6) load_n += load.segment<3>(at).norm();
    rigid_n_mm = std::max({rigid_n_mm, rigid_share * membrane_n_mm, load_n / rigid_gives_mm});
    load_n = std::max(load_n, 1e-9 * membrane_n_mm);  // what is only moved has forces too
    anchors = from.anchors.size() == count() ? from.anchors : std::vector<Vec3>(count(), Vec3::Zero());
    touching.clear();
    if (from.touching.size() == count()) {
        touching = from.touching;
    } else if (begun) {
        for (std::size_t c = 0; c < count(); ++c)
            touching.push_back(gap_of(c, displacement_of(c, start)) < 0.0);
    }
    if (touching.empty() || least_hold(model, fixed, holding(*this, touching, 1.0)) < well_held)
        touching = lowest_that_hold(*this);
    return Done{};
}

Eigen::VectorXd ContactSetup::elastic_out(const Eigen::VectorXd& u) const {
    Eigen::VectorXd out = load - stiffness->times(u);
    for (const PointStiffness& spring : problem->load_case.springs)
        out.segment<6>(6 * spring.point) -= spring.block * u.segment<6>(6 * spring.point);
    return out;
}

Eigen::VectorXd ContactSetup::out_of_balance(const Eigen::VectorXd& u, const std::vector<double>& bounds,
                                             const std::vector<char>* given) const {
    Eigen::VectorXd out = elastic_out(u);
    for (std::size_t c = 0; c < count(); ++c) {
        const Touch touch = given == nullptr ? Touch::by_gap : (*given)[c] ? Touch::yes : Touch::no;
        out.segment<6>(6 * problem->contacts[c].point) +=
            carried[c].transpose() * ground_force(problem->contacts[c], displacement_of(c, u), anchors[c],
                                                  push_of(c), bounds[c], touch)
                                         .force;
    }
    for (Eigen::Index i = 0; i < out.size(); ++i)
        if (fixed[i]) out[i] = 0.0;
    return out;
}

bool ContactSetup::lifted(const Eigen::VectorXd& u) const {
    for (Eigen::Index at = 0; at < u.size(); at += 6)
        if (!(u.segment<3>(at).norm() <= limit::lifted_sizes * size_mm)) return true;
    return false;
}

ContactResult ContactSetup::result(const Eigen::VectorXd& u, const std::vector<double>& bounds,
                                   int rounds) const {
    ContactResult found;
    found.displacement = u;
    found.rounds = rounds;
    found.unbalanced_n = out_of_balance(u, bounds).cwiseAbs().maxCoeff();
    Eigen::VectorXd out = elastic_out(u);
    for (std::size_t c = 0; c < count(); ++c) {
        const Contact& contact = problem->contacts[c];
        const Vec3 moved = displacement_of(c, u);
        const GroundForce ground =
            ground_force(contact, moved, anchors[c], push_of(c), bounds[c], Touch::by_gap);
        ContactAnswer answer;
        answer.gap_mm = gap_of(c, moved);
        answer.normal_n = contact.normal.dot(ground.force);
        answer.friction_n = along_ground(contact, ground.force);
        answer.slip_mm = along_ground(contact, moved);
        Vec3 anchor = answer.slip_mm;  // what does not touch holds on anew where it comes down
        if (answer.gap_mm < 0.0) {
            const Vec3 slip = answer.slip_mm - anchors[c];
            const bool slides = slip.norm() > limit::slip_mm || !(bounds[c] > 0.0);
            answer.state = slides ? ContactAnswer::State::slides : ContactAnswer::State::sticks;
            if (bounds[c] > 0.0)
                anchor = slides ? Vec3(answer.slip_mm - limit::slip_mm * slip.normalized()) : anchors[c];
        }
        found.anchors.push_back(anchor);
        found.contacts.push_back(answer);
        out.segment<6>(6 * contact.point) += carried[c].transpose() * ground.force;
    }
    found.reaction = Eigen::VectorXd::Zero(u.size());
    for (Eigen::Index i = 0; i < u.size(); ++i)
        if (fixed[i]) found.reaction[i] = -out[i];
    return found;
}

}  // namespace archwright::flex
