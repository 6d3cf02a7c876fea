// Bounds of friction brought to what presses.
#pragma once

#include <Eigen/Core>
#include <vector>

namespace archwright::flex {

/// Bounds of friction are moved on once what is out of balance is this share of how far they are off.
inline constexpr double follow_share = 0.1;

/// Moves bounds of friction, N, towards friction x normal force, which moves with them: by a share of the way
/// that the last move tells (Aitken's rule for vectors: B. M. Irons and R. C. Tuck, A version of the Aitken
/// accelerator for computer iteration, Int J Numer Methods Eng 1:275, 1969).
class FrictionBounds {
  public:
    /// `off`: friction x normal force less the bound, place by place.
    void follow(std::vector<double>& bounds, const Eigen::VectorXd& off);

  private:
    Eigen::VectorXd last_;
    double pace_ = 1.0;
};

}  // namespace archwright::flex
