// Contact by the compliance of the places that touch: one factor, then small dense equations.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Springs at the places that touch at first, over modulus x wall: they hold the shell for the one factor and
/// are taken out again by the equations, exactly. Of the shell's own size, so that nothing is lost to
/// rounding.
constexpr double base_share = 0.05;
/// Rows of the compliance (three a place with friction, one without) above which factors of the whole shell
/// are the quicker way.
constexpr Eigen::Index most_rows = 1500;
/// Of the membrane's stiffness: what every place holds by in steps by search, so that there is a step
/// whatever touches.
constexpr double search_share = 1e-9;
/// Directions along the ground in which the farthest places are in play from the beginning: without the
/// places at its ends a shell could tip over.
constexpr int ends_looked_for = 32;
/// Places taken in at a time, and right sides solved at a time.
constexpr std::size_t taken_in = 48;
constexpr Eigen::Index sides_at_once = 64;
/// Forces of the small equations against those of the whole shell.
constexpr double rounding_n_share = 1e-9;
/// Of the load: what may be left at a point of the whole shell.
constexpr double accepted_share = 1e-7;
constexpr int most_extensions = 60, most_improvements = 4;

/// Unknown: a force q at every place in play, by which displacements are d = d_free + A q with A the
/// compliance of shell and base springs. In balance q is the ground's force and what the base spring gives
/// back, S d.
class CondensedSpace final : public ContactSpace {
  public:
    explicit CondensedSpace(const ContactSetup& setup) : setup_(setup), factor_(setup.stiffness.pattern) {}

    /// Factors the shell on base springs at these places and finds how it would move without ground.
    Outcome<Done> prepare(const std::vector<int>& base) {
        springs_ = setup_.problem->load_case.springs;
        based_.assign(setup_.count(), 0);
        const double base_n_mm = base_share * setup_.membrane_n_mm;
        for (const int c : base) {
            const Contact& contact = setup_.problem->contacts[c];
            based_[c] = 1;
            base_.push_back({contact.point,
                             base_n_mm * setup_.carried[c].transpose() * block(contact) * setup_.carried[c]});
        }
        springs_.insert(springs_.end(), base_.begin(), base_.end());
        base_n_mm_ = base_n_mm;
        if (const auto done = factor_.factor(setup_.stiffness, springs_, setup_.fixed); !done)
            return done.fault();
        start_ = Eigen::VectorXd::Zero(setup_.start.size());
        for (const Support& support : setup_.problem->load_case.supports)
            start_[freedom(support.point, support.component)] = support.value;
        free_ = solve(setup_.problem->load_case.load);
        take_in(base);
        return Done{};
    }

    /// More places come into play.
    void take_in(const std::vector<int>& more) {
        const Eigen::Index rows_before = rows();
        for (const int c : more) {
            places_.push_back(c);
            first_.push_back(first_.back() + width(setup_.problem->contacts[c]));
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

    Eigen::Index rows() const { return first_.back(); }
    /// All freedoms of the shell.
    Eigen::VectorXd whole() const {
        Eigen::VectorXd forces = setup_.problem->load_case.load;
        for (std::size_t k = 0; k < places_.size(); ++k)
            forces.segment<6>(6 * setup_.problem->contacts[places_[k]].point) +=
                setup_.carried[places_[k]].transpose() * expanded(k, q_.segment(first_[k], width(k)));
        return solve(forces);
    }

    /// One step of Newton on the whole shell, by the same factor and small equations.
    Eigen::VectorXd improved(const Eigen::VectorXd& u, const Eigen::VectorXd& out,
                             const std::vector<char>& touching, const std::vector<double>& bounds) const {
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

    const std::vector<int>& places() const override { return places_; }
    Vec3 displacement(std::size_t k) const override { return expanded(k, d_.segment(first_[k], width(k))); }

    Outcome<Done> find_step(const std::vector<char>* given, const std::vector<double>& bounds) override {
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

    double slope(double length, const std::vector<double>& bounds) const override {
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
    void move(double length) override {
        before_ = q_;
        q_ += length * step_;
        d_ = free_d_ + compliance_ * q_;
    }
    void back() override {
        q_ = before_;
        d_ = free_d_ + compliance_ * q_;
    }
    double left(const std::vector<double>& bounds) const override {
        double most = 0.0;
        for (std::size_t k = 0; k < places_.size(); ++k) {
            Eigen::VectorXd out = reduced(k, force(k, displacement(k), bounds, Touch::by_gap).force) -
                                  q_.segment(first_[k], width(k));
            if (based_[places_[k]]) out += base_n_mm_ * d_.segment(first_[k], width(k));
            most = std::max(most, out.cwiseAbs().maxCoeff());
        }
        return most;
    }
    double rounding() const override { return rounding_n_share * setup_.load_n; }
    bool lifted() const override {
        return !(d_.size() == 0 || d_.cwiseAbs().maxCoeff() <= limit::lifted_sizes * setup_.size_mm);
    }

  private:
    /// x of (1 + change x A) x = right, where `change` has rows only at `coupled`.
    Eigen::VectorXd small_equations(const Eigen::MatrixXd& change, const std::vector<Eigen::Index>& coupled,
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
    /// Ground's stiffness less the base spring's at a place, in its directions; false where there is neither.
    bool change_at(std::size_t k, Mat3 stiffness, Eigen::MatrixXd& change,
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
    static int width(const Contact& contact) { return contact.friction > 0.0 ? 3 : 1; }
    int width(std::size_t k) const { return static_cast<int>(first_[k + 1] - first_[k]); }
    /// With friction a place moves in space, without only along the ground's normal.
    Vec3 direction(std::size_t k, int i) const {
        return width(k) == 1 ? setup_.problem->contacts[places_[k]].normal : Vec3(Vec3::Unit(i));
    }
    static Mat3 block(const Contact& contact) {
        return contact.friction > 0.0 ? Mat3(Mat3::Identity())
                                      : Mat3(contact.normal * contact.normal.transpose());
    }
    Eigen::VectorXd reduced(std::size_t k, const Vec3& v) const {
        if (width(k) == 3) return v;
        return Eigen::VectorXd::Constant(1, setup_.problem->contacts[places_[k]].normal.dot(v));
    }
    Vec3 expanded(std::size_t k, const Eigen::Ref<const Eigen::VectorXd>& v) const {
        if (width(k) == 3) return v;
        return v[0] * setup_.problem->contacts[places_[k]].normal;
    }
    std::size_t place_of(Eigen::Index row) const {
        return static_cast<std::size_t>(std::upper_bound(first_.begin(), first_.end(), row) -
                                        first_.begin()) -
               1;
    }
    GroundForce force(std::size_t k, const Vec3& d, const std::vector<double>& bounds, Touch touch) const {
        const int c = places_[k];
        return ground_force(setup_.problem->contacts[c], d, setup_.anchors[c], setup_.push_of(c), bounds[k],
                            touch);
    }
    Eigen::VectorXd solve(const Eigen::VectorXd& forces) const {
        return solve_refined(factor_, setup_.stiffness, springs_, setup_.fixed, forces, start_).displacement;
    }

    const ContactSetup& setup_;
    Factor factor_;
    std::vector<PointStiffness> springs_, base_;
    std::vector<char> based_;
    double base_n_mm_ = 0.0;
    std::vector<int> places_;
    std::vector<Eigen::Index> first_{0};
    Eigen::MatrixXd compliance_;
    Eigen::VectorXd start_, free_, free_d_, q_, before_, d_, step_, step_d_;
};

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

}  // namespace

Outcome<std::optional<ContactResult>> solve_condensed(ContactSetup& setup, Progress* progress) {
    std::vector<int> base;
    std::vector<char> in_play = setup.touching;
    for (std::size_t c = 0; c < setup.count(); ++c)
        if (in_play[c]) base.push_back(static_cast<int>(c));
    Eigen::Index rows = 0;
    for (const int c : base) rows += setup.problem->contacts[c].friction > 0.0 ? 3 : 1;
    if (rows > most_rows) return std::optional<ContactResult>();
    CondensedSpace space(setup);
    if (const auto done = space.prepare(base); !done) return done.fault();
    std::vector<char> touching(base.size(), 1);
    const std::vector<int> far = ends(setup, in_play);
    for (const int c : far) in_play[c] = 1;
    space.take_in(far);
    touching.resize(space.places().size(), 0);
    std::vector<double> bounds(space.places().size(), 0.0);
    if (setup.stuck_first)
        for (std::size_t k = 0; k < base.size(); ++k)
            bounds[k] = setup.problem->contacts[base[k]].friction * setup.load_n;
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

Outcome<ContactResult> solve_contact(const ContactProblem& problem, const ContactStart& start,
                                     Progress* progress) {
    auto setup = ContactSetup::of(problem, start, progress);
    if (!setup) return setup.fault();
    const bool bed = std::any_of(problem.contacts.begin(), problem.contacts.end(),
                                 [](const Contact& contact) { return contact.bed_n_mm > 0.0; });
    if (!bed) {
        auto condensed = solve_condensed(*setup, progress);
        if (!condensed) return condensed.fault();
        if (condensed->has_value()) return std::move(**condensed);
    }
    return solve_whole(*setup, progress);
}

}  // namespace archwright::flex
