#include "engine/flex/large.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/flex/contact_law.hpp"
#include "engine/flex/contact_search.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"

namespace archwright::flex {

namespace {

constexpr std::size_t elements_a_piece = 64;
/// Rigid ground over the shell's membrane (modulus x wall), and what it gives in if one place bears all, mm.
constexpr double rigid_over_membrane = 20.0, rigid_sinks_mm = 1e-4;

/// Force and stiffness of a spring that answers to displacement and rotation vector.
struct SpringForce {
    Vec6 force = Vec6::Zero();
    Mat6 stiffness = Mat6::Zero();
};

SpringForce spring_force(const PointStiffness& spring, const LargeState& state) {
    const Vec3 vector = vector_of(state.turned[spring.point]);
    Vec6 moved;
    moved << state.moved[spring.point], vector;
    const Vec6 answer = spring.block * moved;
    Mat6 by_spin = Mat6::Identity();
    by_spin.bottomRightCorner<3, 3>() = vector_by_spin(vector);
    SpringForce found;
    found.force = by_spin.transpose() * answer;
    found.stiffness = by_spin.transpose() * spring.block * by_spin;
    const Mat3 turned = vector_by_spin_change(vector, answer.tail<3>()) * by_spin.bottomRightCorner<3, 3>();
    found.stiffness.bottomRightCorner<3, 3>() += 0.5 * (turned + turned.transpose());
    return found;
}

}  // namespace

LargeState LargeState::at_rest(const LargeProblem& problem) {
    LargeState state;
    state.moved.assign(problem.model.points.size(), Vec3::Zero());
    state.turned.assign(problem.model.points.size(), Mat3::Identity());
    state.anchors.assign(problem.contacts.size(), Vec3::Zero());
    state.came_from = state.anchors;
    state.bounds_n.assign(problem.contacts.size(), 0.0);
    return state;
}

Eigen::VectorXd LargeState::freedoms() const {
    Eigen::VectorXd all(6 * static_cast<Eigen::Index>(moved.size()));
    for (std::size_t p = 0; p < moved.size(); ++p) {
        const auto at = 6 * static_cast<Eigen::Index>(p);
        all.segment<3>(at) = moved[p];
        all.segment<3>(at + 3) = vector_of(turned[p]);
    }
    return all;
}

void LargeState::move(const Eigen::VectorXd& step, double length) {
    for (std::size_t p = 0; p < moved.size(); ++p) {
        const auto at = 6 * static_cast<Eigen::Index>(p);
        moved[p] += length * step.segment<3>(at);
        const Vec3 spin = length * step.segment<3>(at + 3);
        if (!spin.isZero(0.0)) turned[p] = rotation_of(spin) * turned[p];
    }
}

Outcome<Done> check_large(const LargeProblem& problem) {
    if (const auto good = problem.model.check(); !good) return good.fault();
    if (const auto good = check_case(problem.model, problem.load_case); !good) return good.fault();
    for (const Support& support : problem.load_case.supports)
        if (support.component > 2 && support.value != 0.0)
            return Fault{FaultKind::input, "flex",
                         "A support turns point " + std::to_string(support.point) + " by " +
                             exact(support.value) +
                             ": where a shell moves far, rotations are held at 0 only. Give a moment.",
                         std::nullopt};
    return check_contacts(problem.model, problem.contacts);
}

double rigid_ground(const LargeProblem& problem) {
    double load_n = 0.0;
    const Eigen::VectorXd& load = problem.load_case.load;
    for (Eigen::Index at = 0; at < load.size(); at += 6) load_n += load.segment<3>(at).norm();
    return std::max(rigid_over_membrane * problem.model.modulus_along() * problem.model.mean_wall(),
                    load_n / rigid_sinks_mm);
}

LargeContact contact_in(const LargeProblem& problem, const LargeState& state, std::size_t c,
                        double rigid_n_mm) {
    Contact contact = problem.contacts[c];
    LargeContact found;
    found.arm = state.turned[contact.point] * contact.arm;
    found.moved = state.moved[contact.point] + found.arm - contact.arm;
    if (problem.ground) {
        found.under =
            problem.ground(problem.model.points[contact.point] + state.moved[contact.point] + found.arm);
        contact.normal = found.under.normal;
        contact.gap_mm = found.under.gap_mm - contact.normal.dot(found.moved);
    } else {
        found.under.normal = contact.normal;
        found.under.gap_mm = contact.gap_mm + contact.normal.dot(found.moved);
    }
    const double push = contact.bed_n_mm > 0.0 ? contact.bed_n_mm : rigid_n_mm;
    const GroundForce ground = ground_force(contact, found.moved, along_ground(contact, state.anchors[c]),
                                            push, state.bounds_n[c], Touch::by_gap);
    found.force = ground.force;
    found.stiffness = ground.stiffness;
    found.normal_n = std::max(0.0, -push * found.under.gap_mm);
    found.stiffness -= found.normal_n * found.under.bend;
    return found;
}

std::vector<ContactAnswer> contact_answers(const LargeProblem& problem, const LargeState& state) {
    const double rigid_n_mm = rigid_ground(problem);
    std::vector<ContactAnswer> answers;
    for (std::size_t c = 0; c < problem.contacts.size(); ++c) {
        const LargeContact at = contact_in(problem, state, c, rigid_n_mm);
        Contact here = problem.contacts[c];
        here.normal = at.under.normal;
        ContactAnswer answer;
        answer.gap_mm = at.under.gap_mm;
        answer.normal_n = at.normal_n;
        answer.friction_n = along_ground(here, at.force);
        answer.slip_mm = along_ground(here, at.moved);
        if (answer.gap_mm < 0.0) {
            // at its full, friction has slipped as far as it must; a settled state holds on from just there
            const bool slides =
                !(answer.friction_n.norm() < (1.0 - limit::friction_settled) * state.bounds_n[c]);
            answer.state = slides ? ContactAnswer::State::slides : ContactAnswer::State::sticks;
        }
        answers.push_back(answer);
    }
    return answers;
}

LargeShell::LargeShell(const LargeProblem& problem)
    : problem_(&problem),
      pattern_(problem.model.points.size(), problem.model.triangles),
      rigid_n_mm_(rigid_ground(problem)) {
    elements_.reserve(problem.model.triangles.size());
    for (std::size_t t = 0; t < problem.model.triangles.size(); ++t)
        elements_.emplace_back(problem.model.element(t));
}

CorotatedElement::Place LargeShell::place(const LargeState& state, std::size_t element) const {
    const Triangle& t = problem_->model.triangles[element];
    std::array<Vec3, 3> corners;
    for (int i = 0; i < 3; ++i) corners[i] = problem_->model.points[t[i]] + state.moved[t[i]];
    return elements_[element].place(corners, {state.turned[t[0]], state.turned[t[1]], state.turned[t[2]]});
}

std::vector<Vec18> LargeShell::strain_forces(const LargeState& state) const {
    std::vector<Vec18> found(elements_.size());
    std::vector<char> possible(elements_.size(), 0);
    parallel_for(elements_.size(), elements_a_piece, [&](std::size_t begin, std::size_t end) {
        for (std::size_t e = begin; e < end; ++e) {
            const CorotatedElement::Place at = place(state, e);
            found[e] = elements_[e].strain_force(at);
            possible[e] = at.possible && found[e].allFinite();
        }
    });
    if (std::find(possible.begin(), possible.end(), 0) != possible.end()) return {};
    return found;
}

std::vector<Vec18> LargeShell::strain_forces(const LargeState& state, const Eigen::VectorXd& step) const {
    std::vector<Vec18> found(elements_.size());
    parallel_for(elements_.size(), elements_a_piece, [&](std::size_t begin, std::size_t end) {
        for (std::size_t e = begin; e < end; ++e) {
            const CorotatedElement::Place at = place(state, e);
            Vec18 change;
            for (int i = 0; i < 3; ++i)
                change.segment<6>(6 * i) = step.segment<6>(6 * problem_->model.triangles[e][i]);
            found[e] = elements_[e].strain_force(at) + elements_[e].strain_force_change(at, change);
        }
    });
    return found;
}

Eigen::VectorXd LargeShell::internal_force(const LargeState& state, const std::vector<Vec18>& strain_forces,
                                           Eigen::VectorXd* sums) const {
    std::vector<Vec18> forces(elements_.size());
    parallel_for(elements_.size(), elements_a_piece, [&](std::size_t begin, std::size_t end) {
        for (std::size_t e = begin; e < end; ++e)
            forces[e] = elements_[e].force(place(state, e), strain_forces[e]);
    });
    Eigen::VectorXd whole = Eigen::VectorXd::Zero(pattern_.size());
    if (sums != nullptr) *sums = Eigen::VectorXd::Zero(pattern_.size());
    for (std::size_t e = 0; e < elements_.size(); ++e)
        for (int i = 0; i < 3; ++i) {
            const auto at = 6 * problem_->model.triangles[e][i];
            whole.segment<6>(at) += forces[e].segment<6>(6 * i);
            if (sums != nullptr) sums->segment<6>(at) += forces[e].segment<6>(6 * i).cwiseAbs();
        }
    return whole;
}

Eigen::VectorXd LargeShell::out_of_balance(const LargeState& state, const std::vector<Vec18>& strain_forces,
                                           Eigen::VectorXd* sums) const {
    Eigen::VectorXd out = state.share * problem_->load_case.load - internal_force(state, strain_forces, sums);
    for (const PointStiffness& spring : problem_->load_case.springs)
        out.segment<6>(6 * spring.point) -= spring_force(spring, state).force;
    for (std::size_t c = 0; c < problem_->contacts.size(); ++c) {
        const LargeContact contact = contact_in(*problem_, state, c, rigid_n_mm_);
        if (contact.force.isZero(0.0)) continue;
        const auto at = 6 * problem_->contacts[c].point;
        out.segment<3>(at) += contact.force;
        out.segment<3>(at + 3) += contact.arm.cross(contact.force);
    }
    return out;
}

void LargeShell::tangent(const LargeState& state, const std::vector<Vec18>& strain_forces,
                         Stiffness& into) const {
    if (into.pattern.points() != pattern_.points()) into.pattern = pattern_;
    add_elements(problem_->model.triangles, into, [&](std::size_t e) {
        const Mat18 full = elements_[e].tangent(place(state, e), strain_forces[e]);
        return Mat18(0.5 * (full + full.transpose()));
    });
    for (const PointStiffness& spring : problem_->load_case.springs)
        into.add({spring.point, spring_force(spring, state).stiffness});
    for (std::size_t c = 0; c < problem_->contacts.size(); ++c) {
        const LargeContact contact = contact_in(*problem_, state, c, rigid_n_mm_);
        if (contact.stiffness.isZero(0.0)) continue;
        PointStiffness at{problem_->contacts[c].point, Mat6::Zero()};
        Mat3x6 carried;
        carried.leftCols<3>().setIdentity();
        carried.rightCols<3>() = -cross_matrix(contact.arm);
        at.block = carried.transpose() * contact.stiffness * carried;
        const Mat3 turned = cross_matrix(contact.force) * cross_matrix(contact.arm);
        at.block.bottomRightCorner<3, 3>() -= 0.5 * (turned + turned.transpose());
        into.add(at);
    }
}

std::vector<char> held_freedoms(const LargeProblem& problem) {
    std::vector<char> held(6 * problem.model.points.size(), 0);
    for (const Support& support : problem.load_case.supports)
        held[freedom(support.point, support.component)] = 1;
    return held;
}

Eigen::VectorXd residual(const LargeProblem& problem, const LargeState& state) {
    const LargeShell shell(problem);
    const std::vector<Vec18> strained = shell.strain_forces(state);
    if (strained.empty()) return {};
    Eigen::VectorXd out = shell.out_of_balance(state, strained);
    const std::vector<char> held = held_freedoms(problem);
    for (Eigen::Index i = 0; i < out.size(); ++i)
        if (held[i]) out[i] = 0.0;
    return out;
}

Stiffness tangent(const LargeProblem& problem, const LargeState& state) {
    const LargeShell shell(problem);
    Stiffness made;
    shell.tangent(state, shell.strain_forces(state), made);
    return made;
}

}  // namespace archwright::flex
