// Contact by the compliance of the places that touch: one factor, then small dense equations.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/factor.hpp"

namespace archwright::flex {

/// Unknown: a force q at every place in play, by which displacements are d = d_free + A q with A the
/// compliance of shell and base springs. In balance q is the ground's force and what the base spring gives
/// back, S d. Factor and compliance stay from load to load.
class CondensedSpace final : public ContactSpace {
  public:
    explicit CondensedSpace(const ContactSetup& setup) : setup_(setup), factor_(setup.stiffness->pattern) {}

    /// Factors the shell on base springs at these places.
    Outcome<Done> prepare(const std::vector<int>& base);
    bool prepared() const { return prepared_; }
    /// How the shell would move under the setup's load without ground.
    void load_anew();
    /// More places come into play.
    void take_in(const std::vector<int>& more);
    Eigen::Index rows() const { return first_.back(); }
    /// All freedoms of the shell.
    Eigen::VectorXd whole() const;
    /// One step of Newton on the whole shell, by the same factor and small equations.
    Eigen::VectorXd improved(const Eigen::VectorXd& u, const Eigen::VectorXd& out,
                             const std::vector<char>& touching, const std::vector<double>& bounds) const;

    const std::vector<int>& places() const override { return places_; }
    Vec3 displacement(std::size_t k) const override;
    Outcome<Done> find_step(const std::vector<char>* given, const std::vector<double>& bounds) override;
    double slope(double length, const std::vector<double>& bounds) const override;
    void move(double length) override;
    void back() override;
    double left(const std::vector<double>& bounds) const override;
    double rounding() const override;
    bool lifted() const override;

  private:
    /// x of (1 + change x A) x = right, where `change` has rows only at `coupled`.
    Eigen::VectorXd small_equations(const Eigen::MatrixXd& change, const std::vector<Eigen::Index>& coupled,
                                    const Eigen::VectorXd& right) const;
    /// Ground's stiffness less the base spring's at a place, in its directions; false where there is neither.
    bool change_at(std::size_t k, Mat3 stiffness, Eigen::MatrixXd& change,
                   std::vector<Eigen::Index>& coupled) const;
    int width(std::size_t k) const { return static_cast<int>(first_[k + 1] - first_[k]); }
    Vec3 direction(std::size_t k, int i) const;
    Eigen::VectorXd reduced(std::size_t k, const Vec3& v) const;
    Vec3 expanded(std::size_t k, const Eigen::Ref<const Eigen::VectorXd>& v) const;
    std::size_t place_of(Eigen::Index row) const;
    GroundForce force(std::size_t k, const Vec3& d, const std::vector<double>& bounds, Touch touch) const;
    Eigen::VectorXd solve(const Eigen::VectorXd& forces) const;

    const ContactSetup& setup_;
    Factor factor_;
    std::vector<PointStiffness> springs_, base_;
    std::vector<char> based_;
    bool prepared_ = false;
    double base_n_mm_ = 0.0;
    std::vector<int> places_;
    std::vector<Eigen::Index> first_{0};
    Eigen::MatrixXd compliance_;
    Eigen::VectorXd start_, free_, free_d_, q_, before_, d_, step_, step_d_;
};

/// Settles under the setup's load, extending the space until no other place is in the ground. nullopt: too
/// many touch, or too finely for the small equations; the setup then begins where it got to.
Outcome<std::optional<ContactResult>> solve_condensed(ContactSetup& setup, CondensedSpace& space,
                                                      Progress* progress);

}  // namespace archwright::flex
