// A shell under loads that follow no displacement: supports, springs, forces; displacements and reactions.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/factor.hpp"
#include "engine/flex/model.hpp"

namespace archwright::flex {

/// A freedom held at a value (mm, or radians for components 3 to 5).
struct Support {
    int point = 0, component = 0;
    double value = 0.0;
};

struct LinearCase {
    std::vector<Support> supports;
    std::vector<PointStiffness> springs;
    Eigen::VectorXd load;  ///< on all freedoms, N and N mm
};

struct LinearResult {
    Eigen::VectorXd displacement;  ///< of all freedoms, mm and radians
    Eigen::VectorXd reaction;      ///< what the supports give the shell, N and N mm; 0 elsewhere
    double residual = 0.0;         ///< greatest force out of balance over what the elements carry there
};

/// Faults (input, stage "flex"): the model's own; a load or support that is not a number or names no freedom;
/// a shell, or a piece of it, that the supports leave free, naming how it may move; no solution. Cancelled by
/// progress.
Outcome<LinearResult> solve_linear(const Model& model, const LinearCase& load_case,
                                   Progress* progress = nullptr);

/// A shell on its supports, factored once for any number of loads.
class LinearSolver {
  public:
    /// `assembled`: the stiffness of the very model, where it is there already. The load of the case is only
    /// checked. Faults and cancelling as solve_linear.
    static Outcome<LinearSolver> of(const Model& model, LinearCase load_case, Progress* progress = nullptr,
                                    std::shared_ptr<const Stiffness> assembled = nullptr);
    /// Under this load on all freedoms.
    Outcome<LinearResult> solve(const Eigen::VectorXd& load) const;

  private:
    explicit LinearSolver(std::shared_ptr<const Stiffness> stiffness)
        : stiffness_(std::move(stiffness)), factor_(stiffness_->pattern) {}
    std::shared_ptr<const Stiffness> stiffness_;
    Factor factor_;
    std::vector<PointStiffness> springs_;
    std::vector<char> fixed_;
    Eigen::VectorXd start_;
};

/// Fault (input) of a load, support or spring that is not a number or names no freedom.
Outcome<Done> check_case(const Model& model, const LinearCase& load_case);

/// Fault when a connected piece of the shell may move as a rigid body against no resistance; it names the
/// piece's middle and the motion. `fixed`: a flag a freedom.
Outcome<Done> check_held(const Model& model, const std::vector<char>& fixed,
                         const std::vector<PointStiffness>& springs);

/// The least held of six rigid motions over the most, of the worst piece: 0 to 1; below limit::least_hold it
/// is free.
double least_hold(const Model& model, const std::vector<char>& fixed,
                  const std::vector<PointStiffness>& springs);

/// Displacements for forces by a factor of stiffness + springs, improved until its residual no longer falls
/// (at most four times). `start` holds the values of fixed freedoms.
LinearResult solve_refined(const Factor& factor, const Stiffness& stiffness,
                           const std::vector<PointStiffness>& springs, const std::vector<char>& fixed,
                           const Eigen::VectorXd& load, const Eigen::VectorXd& start);

}  // namespace archwright::flex
