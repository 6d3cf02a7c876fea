// Contact by factors of the whole shell, one a round: for beds, on which much touches.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/factor.hpp"

namespace archwright::flex {

/// Unknown: the displacement of all freedoms; every place is in play. The order of elimination stays from
/// load to load.
class WholeSpace final : public ContactSpace {
  public:
    explicit WholeSpace(const ContactSetup& setup);
    /// Goes to where the setup begins.
    void load_anew() { u_ = setup_.start; }

    const std::vector<int>& places() const override { return places_; }
    Vec3 displacement(std::size_t k) const override { return setup_.displacement_of(k, u_); }
    const Eigen::VectorXd& displacement() const { return u_; }
    Outcome<Done> find_step(const std::vector<char>* given, const std::vector<double>& bounds) override;
    double slope(double length, const std::vector<double>& bounds) const override;
    void move(double length) override;
    void back() override { u_ = before_; }
    double left(const std::vector<double>& bounds) const override;
    double rounding() const override;
    bool lifted() const override { return setup_.lifted(u_); }

  private:
    const ContactSetup& setup_;
    Factor factor_;
    std::vector<int> places_;
    std::vector<PointStiffness> ghosts_;
    Eigen::VectorXd u_, before_, step_, elastic_step_;
};

/// Settles under the setup's load.
Outcome<ContactResult> solve_whole(const ContactSetup& setup, WholeSpace& space, Progress* progress);

}  // namespace archwright::flex
