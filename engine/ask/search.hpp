// The search for walls on trial bodies.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "engine/ask/adjoint.hpp"
#include "engine/ask/question.hpp"
#include "engine/ask/trial.hpp"
#include "engine/ask/walls.hpp"

namespace archwright::ask {

/// Of the squares of what is missed, logarithms: what the squares of the walls' own changes (logarithms too)
/// count. So little that it moves an answer by a millionth, and enough to choose among walls that all could
/// do it those that change least.
inline constexpr double least_change_weight = 1e-6;

/// Walls tried, and what they do.
struct Tried {
    std::vector<double> values;
    std::vector<Course> courses;  ///< one a target
    Eigen::VectorXd log_stiffness;
};

/// Gauss and Newton on logarithms: stiffness goes with powers of walls, so few steps are needed. Steps are
/// bounded, and shortened where a kink of the contact makes them worse. Where a kink stops it altogether (a
/// thinner wall that comes down on the ground is stiffer again), it begins anew from the best of some walls
/// spread over the limits.
class Search {
  public:
    Search(const Trial& trial, design::Wall wall, std::vector<AskedWall> asked, std::vector<Loading> loadings)
        : trial_(trial), wall_(std::move(wall)), asked_(std::move(asked)), loadings_(std::move(loadings)) {}

    /// Faults of the trial and the bench.
    Outcome<Tried> at(const std::vector<double>& values, const Tried* near, Progress* progress);
    /// Rows: targets; columns: walls; d ln(stiffness) / d ln(wall).
    Outcome<Eigen::MatrixXd> slopes(const Tried& tried, Progress* progress) const;
    /// The walls whose stiffness comes nearest to exp(aims), and of those as near the ones least changed.
    Outcome<Tried> meet(const Eigen::VectorXd& aims, Tried from, Progress* progress);
    /// Least and greatest ln(stiffness) of one target within the limits, by following its slopes from corner
    /// to corner; from where it is.
    Outcome<std::pair<double, double>> reach(std::size_t target, const Tried& from, Progress* progress);

    const std::vector<AskedWall>& asked() const { return asked_; }
    int trials() const { return trials_; }

  private:
    struct Descent {
        Tried tried;
        bool stopped = false;  ///< by a kink, not by limits, and not near
    };
    Outcome<Descent> descend(const Eigen::VectorXd& aims, Tried from, Progress* progress);
    /// A single aim lies between the two: somewhere on the way from one to the other it is met.
    Outcome<Tried> between(double aim, Tried one, Tried other, Progress* progress);
    double worth(const Eigen::VectorXd& aims, const Tried& tried) const;

    const Trial& trial_;
    design::Wall wall_;
    std::vector<AskedWall> asked_;
    std::vector<Loading> loadings_;
    int trials_ = 0;
};

}  // namespace archwright::ask
