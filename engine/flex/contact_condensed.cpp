#include "engine/flex/contact_condensed.hpp"

#include <Eigen/Dense>
#include <algorithm>

#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Springs at the places that touch at first, over modulus x wall: they hold the shell for the one factor and
/// are taken out again by the equations, exactly. Of the shell's own size, so that nothing is lost to
/// rounding.
constexpr double base_share = 0.05;
/// Of the membrane's stiffness: what every place holds by in steps by search, so that there is a step
/// whatever touches.
constexpr double search_share = 1e-9;
/// Right sides solved at a time.
constexpr Eigen::Index sides_at_once = 64;
/// Forces of the small equations against those of the whole shell.
constexpr double rounding_n_share = 1e-9;

/// With friction a place moves in space, without only along the ground's normal.
int width_of(const Contact& contact) {
    return contact.friction > 0.0 ? 3 : 1;
}
Mat3 block(const Contact& contact) {
    return contact.friction > 0.0 ? Mat3(Mat3::Identity())
                                  : Mat3(contact.normal * contact.normal.transpose());
}

}  // namespace

Outcome<Done> CondensedSpace::prepare(const std::vector<int>& base) {
    springs_ = setup_.problem->load_case.springs;
    based_.assign(setup_.count(), 0);
    const double base_n_mm = base_share * setup_.membrane_n_mm;
    for (const int c : base) {
        const Contact& contact = setup_.problem->contacts[c];
        based_[c] = 1;
        base_.push_back(
            {contact.point, base_n_mm * setup_.carried[c].transpose() * block(contact) * setup_.carried[c]});
    }
    springs_.insert(springs_.end(), base_.begin(), base_.end());
    base_n_mm_ = base_n_mm;
    if (const auto done = factor_.factor(*setup_.stiffness, springs_, setup_.fixed); !done)
        return done.fault();
    start_ = Eigen::VectorXd::Zero(setup_.start.size());
    for (const Support& support : setup_.problem->load_case.supports)
        start_[freedom(support.point, support.component)] = support.value;
    load_anew();
    take_in(base);
    prepared_ = true;
    return Done{};
}

void CondensedSpace::load_anew() {
    free_ = solve(setup_.load);
    for (std::size_t k = 0; k < places_.size(); ++k)
        free_d_.segment(first_[k], width(k)) = reduced(k, setup_.displacement_of(places_[k], free_));
    if (!places_.empty()) d_ = free_d_ + compliance_ * q_;
}

void CondensedSpace::take_in(const std::vector<int>& more) {
    const Eigen::Index rows_before = rows();
    for (const int c : more) {
        places_.push_back(c);
        first_.push_back(first_.back() + width_of(setup_.problem->contacts[c]));
    }
    compliance_.conservativeResize(rows(), rows());
    free_d_.conservativeResize(rows());
    q_.conservativeResize(rows());
    for (std::size_t k = places_.size() - more.size(); k < places_.size(); ++k) {
        free_d_.segment(first_[k], width(k)) = reduced(k, setup_.displacement_of(places_[k], free_));
        q_.segment(first_[k], width(k)).setZero();
    }
    std::vector<std::pair<std::size_t, int>> sides;  // place, direction
    for (std::size_t k = places_.size() - more.size(); k < places_.size(); ++k)
        for (int i = 0; i < width(k); ++i) sides.emplace_back(k, i);
    for (std::size_t from = 0; from < sides.size(); from += sides_at_once) {
        const auto here =
            std::min<Eigen::Index>(sides_at_once, static_cast<Eigen::Index>(sides.size() - from));
        Eigen::MatrixXd forces = Eigen::MatrixXd::Zero(setup_.start.size(), here);
        for (Eigen::Index s = 0; s < here; ++s) {
            const auto [k, i] = sides[from + s];
            const Contact& contact = setup_.problem->contacts[places_[k]];
            forces.block<6, 1>(6 * contact.point, s) =
                setup_.carried[places_[k]].transpose() * direction(k, i);
        }
        const Eigen::MatrixXd moved = factor_.solve(forces);
        for (Eigen::Index s = 0; s < here; ++s) {
            const Eigen::Index column = rows_before + static_cast<Eigen::Index>(from) + s;
            for (std::size_t k = 0; k < places_.size(); ++k) {
                const Contact& contact = setup_.problem->contacts[places_[k]];
                const Vec3 d = setup_.carried[places_[k]] * moved.block<6, 1>(6 * contact.point, s);
                compliance_.block(first_[k], column, width(k), 1) = reduced(k, d);
            }
        }
    }
    // the other way round it is the same (Maxwell 1864)
    compliance_.block(rows_before, 0, rows() - rows_before, rows_before) =
        compliance_.block(0, rows_before, rows_before, rows() - rows_before).transpose();
    d_ = free_d_ + compliance_ * q_;
}

Eigen::VectorXd CondensedSpace::whole() const {
    Eigen::VectorXd forces = setup_.load;
    for (std::size_t k = 0; k < places_.size(); ++k)
        forces.segment<6>(6 * setup_.problem->contacts[places_[k]].point) +=
            setup_.carried[places_[k]].transpose() * expanded(k, q_.segment(first_[k], width(k)));
    return solve(forces);
}

Eigen::VectorXd CondensedSpace::improved(const Eigen::VectorXd& u, const Eigen::VectorXd& out,
                                         const std::vector<char>& touching,
                                         const std::vector<double>& bounds) const {
    const Eigen::VectorXd first = factor_.solve(out);
    Eigen::MatrixXd change = Eigen::MatrixXd::Zero(rows(), 3);
    std::vector<Eigen::Index> coupled;
    Eigen::VectorXd right = Eigen::VectorXd::Zero(rows());
    for (std::size_t k = 0; k < places_.size(); ++k) {
        const Vec3 at = setup_.displacement_of(places_[k], u);
        const Eigen::VectorXd moved = reduced(k, setup_.displacement_of(places_[k], first));
        const Touch touch = touching[k] ? Touch::yes : Touch::no;
        if (change_at(k, force(k, at, bounds, touch).stiffness, change, coupled))
            right.segment(first_[k], width(k)) = -change.block(first_[k], 0, width(k), width(k)) * moved;
    }
    const Eigen::VectorXd q = small_equations(change, coupled, right);
    Eigen::VectorXd forces = Eigen::VectorXd::Zero(u.size());
    for (std::size_t k = 0; k < places_.size(); ++k)
        forces.segment<6>(6 * setup_.problem->contacts[places_[k]].point) +=
            setup_.carried[places_[k]].transpose() * expanded(k, q.segment(first_[k], width(k)));
    return u + first + factor_.solve(forces);
}

Vec3 CondensedSpace::displacement(std::size_t k) const {
    return expanded(k, d_.segment(first_[k], width(k)));
}

Outcome<Done> CondensedSpace::find_step(const std::vector<char>* given, const std::vector<double>& bounds) {
    // q + dq = F(d) - B A dq + S (d + A dq): rows of places with B or S are solved together, others
    // follow
    Eigen::VectorXd right = -q_;
    Eigen::MatrixXd change = Eigen::MatrixXd::Zero(rows(), 3);  // B - S of each place, side by side
    std::vector<Eigen::Index> coupled;
    for (std::size_t k = 0; k < places_.size(); ++k) {
        const Touch touch = given == nullptr ? Touch::by_gap : (*given)[k] ? Touch::yes : Touch::no;
        GroundForce ground = force(k, displacement(k), bounds, touch);
        if (given == nullptr)
            ground.stiffness +=
                search_share * setup_.membrane_n_mm * block(setup_.problem->contacts[places_[k]]);
        right.segment(first_[k], width(k)) += reduced(k, ground.force);
        if (based_[places_[k]])
            right.segment(first_[k], width(k)) += base_n_mm_ * d_.segment(first_[k], width(k));
        change_at(k, ground.stiffness, change, coupled);
    }
    step_ = small_equations(change, coupled, right);
    if (!step_.allFinite()) return lifted_fault();
    step_d_ = compliance_ * step_;
    return Done{};
}

double CondensedSpace::slope(double length, const std::vector<double>& bounds) const {
    // the whole shell's slope, by what is left of it here: dq . (d - d_free) - dd . (S d + F)
    const Eigen::VectorXd d = d_ + length * step_d_;
    double sum = step_.dot(d - free_d_);
    for (std::size_t k = 0; k < places_.size(); ++k) {
        const auto way = step_d_.segment(first_[k], width(k));
        const auto at = d.segment(first_[k], width(k));
        if (based_[places_[k]]) sum -= base_n_mm_ * way.dot(at);
        sum -= expanded(k, way).dot(force(k, expanded(k, at), bounds, Touch::by_gap).force);
    }
    return sum;
}

void CondensedSpace::move(double length) {
    before_ = q_;
    q_ += length * step_;
    d_ = free_d_ + compliance_ * q_;
}

void CondensedSpace::back() {
    q_ = before_;
    d_ = free_d_ + compliance_ * q_;
}

double CondensedSpace::left(const std::vector<double>& bounds) const {
    double most = 0.0;
    for (std::size_t k = 0; k < places_.size(); ++k) {
        Eigen::VectorXd out = reduced(k, force(k, displacement(k), bounds, Touch::by_gap).force) -
                              q_.segment(first_[k], width(k));
        if (based_[places_[k]]) out += base_n_mm_ * d_.segment(first_[k], width(k));
        most = std::max(most, out.cwiseAbs().maxCoeff());
    }
    return most;
}

double CondensedSpace::rounding() const {
    return rounding_n_share * setup_.load_n;
}

bool CondensedSpace::lifted() const {
    return !(d_.size() == 0 || d_.cwiseAbs().maxCoeff() <= limit::lifted_sizes * setup_.size_mm);
}

Eigen::VectorXd CondensedSpace::small_equations(const Eigen::MatrixXd& change,
                                                const std::vector<Eigen::Index>& coupled,
                                                const Eigen::VectorXd& right) const {
    Eigen::VectorXd found = right;
    const auto size = static_cast<Eigen::Index>(coupled.size());
    if (size > 0) {
        // what the others' steps move, then the small equations
        std::vector<char> is_coupled(rows(), 0);
        for (const Eigen::Index row : coupled) is_coupled[row] = 1;
        Eigen::VectorXd others = right;
        for (const Eigen::Index row : coupled) others[row] = 0.0;
        const Eigen::VectorXd moved = compliance_ * others;
        Eigen::MatrixXd equations = Eigen::MatrixXd::Identity(size, size);
        Eigen::VectorXd sides(size);
        for (Eigen::Index a = 0; a < size; ++a) {
            const std::size_t k = place_of(coupled[a]);
            sides[a] = right[coupled[a]];
            for (int j = 0; j < width(k); ++j) {
                const double of = change(coupled[a], j);
                if (of == 0.0) continue;
                sides[a] -= of * moved[first_[k] + j];
                for (Eigen::Index b = 0; b < size; ++b)
                    equations(a, b) += of * compliance_(first_[k] + j, coupled[b]);
            }
        }
        const Eigen::VectorXd solved = equations.partialPivLu().solve(sides);
        for (Eigen::Index a = 0; a < size; ++a) found[coupled[a]] = solved[a];
    }
    return found;
}

bool CondensedSpace::change_at(std::size_t k, Mat3 stiffness, Eigen::MatrixXd& change,
                               std::vector<Eigen::Index>& coupled) const {
    if (based_[places_[k]]) stiffness -= base_n_mm_ * Mat3::Identity();
    if (stiffness.isZero(0.0)) return false;
    for (int i = 0; i < width(k); ++i) {
        coupled.push_back(first_[k] + i);
        for (int j = 0; j < width(k); ++j)
            change(first_[k] + i, j) = direction(k, i).dot(stiffness * direction(k, j));
    }
    return true;
}

Vec3 CondensedSpace::direction(std::size_t k, int i) const {
    return width(k) == 1 ? setup_.problem->contacts[places_[k]].normal : Vec3(Vec3::Unit(i));
}

Eigen::VectorXd CondensedSpace::reduced(std::size_t k, const Vec3& v) const {
    if (width(k) == 3) return v;
    return Eigen::VectorXd::Constant(1, setup_.problem->contacts[places_[k]].normal.dot(v));
}

Vec3 CondensedSpace::expanded(std::size_t k, const Eigen::Ref<const Eigen::VectorXd>& v) const {
    if (width(k) == 3) return v;
    return v[0] * setup_.problem->contacts[places_[k]].normal;
}

std::size_t CondensedSpace::place_of(Eigen::Index row) const {
    return static_cast<std::size_t>(std::upper_bound(first_.begin(), first_.end(), row) - first_.begin()) - 1;
}

GroundForce CondensedSpace::force(std::size_t k, const Vec3& d, const std::vector<double>& bounds,
                                  Touch touch) const {
    const int c = places_[k];
    return ground_force(setup_.problem->contacts[c], d, setup_.anchors[c], setup_.push_of(c), bounds[k],
                        touch);
}

Eigen::VectorXd CondensedSpace::solve(const Eigen::VectorXd& forces) const {
    return solve_refined(factor_, *setup_.stiffness, springs_, setup_.fixed, forces, start_).displacement;
}

}  // namespace archwright::flex
