// Newton's rounds to one state of a shell that moves far.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/factor.hpp"
#include "engine/flex/large.hpp"

namespace archwright::flex {

/// How a search for a state ended.
struct LargeSettled {
    bool found = false;
    int rounds = 0;
    int negative = 0;          ///< eigenvalues of the tangent near the state that are below 0
    double left_n = 0.0;       ///< greatest force out of balance; moments over a tenth of the shell's size
    double foreseen_mm = 0.0;  ///< how far the first round moved the shell (root of the sum of squares)
};

class LargeNewton {
  public:
    /// The problem must have passed its checks and outlive it.
    explicit LargeNewton(const LargeProblem& problem);

    const LargeShell& shell() const { return shell_; }
    /// Moves a state to that share of the load. `search`: along each step for where the energy's slope falls.
    /// Faults: cancelled, out of memory.
    Outcome<LargeSettled> to_share(LargeState& state, double share, bool search, Progress* progress);
    /// The same over ground that is soft at first and stiffened until it is what it stands for: from states
    /// that hang over their ground or lie in it. `sinks_mm`: about how far the load sinks into it at first;
    /// `lowered`: the shell is brought so far down into it before.
    Outcome<LargeSettled> lay_down(LargeState& state, double share, double sinks_mm, bool lowered,
                                   Progress* progress);
    /// Moves a state on its path, its share free: `length` mm along `way`, a unit vector of displacements.
    Outcome<LargeSettled> along(LargeState& state, const Eigen::VectorXd& way, double length,
                                Progress* progress);
    /// How a settled state would go on under more load, a whole load's worth; by displacements and spins.
    Outcome<Eigen::VectorXd> onward(const LargeState& state);
    /// After a settled step: friction holds on from where it is now.
    void hold_on(LargeState& state) const;
    /// Friction x normal force less its bound, place by place, N.
    Eigen::VectorXd bounds_off(const LargeState& state) const;

    double load_n() const { return load_n_; }
    double size_mm() const { return size_mm_; }
    int factored() const { return factor_.factored(); }

  private:
    struct Path {
        const Eigen::VectorXd* way = nullptr;
        double length = 0.0;
        std::vector<Vec3> from;
    };
    Outcome<LargeSettled> settle(LargeState& state, const Eigen::VectorXd& start, const Path* path,
                                 bool search, Progress* progress);
    /// What is out of balance; nothing at held freedoms.
    Eigen::VectorXd out_of_balance(const LargeState& state, const std::vector<Vec18>& strained,
                                   double* rounding = nullptr) const;
    double greatest(const Eigen::VectorXd& forces) const;
    /// Tangent of that state, and what moments of the load make unsymmetric in it.
    /// `downhill`: made definite where it is not, by springs (then 1 is returned).
    Outcome<int> factor(const LargeState& state, const std::vector<Vec18>& strained, bool downhill = false);
    Outcome<int> factor_downhill();
    /// A small motion down from a state that is not stable; nothing where it is (`negative` is then 0), or
    /// where no such motion is found.
    std::optional<Eigen::VectorXd> way_down(const LargeState& state, const std::vector<Vec18>& strained,
                                            const Eigen::VectorXd& out, int& negative);
    Eigen::VectorXd solve(const Eigen::VectorXd& forces, const Eigen::VectorXd& start) const;
    std::vector<char> touching(const LargeState& state) const;
    /// Moves the whole shell along the ground's normal until its lowest place is in it by `sinks_mm`.
    void lower(LargeState& state, double sinks_mm) const;
    double best_length(const LargeState& state, const Eigen::VectorXd& step, double slope) const;

    LargeShell shell_;
    Factor factor_;
    Stiffness tangent_;
    std::vector<char> held_;
    std::vector<int> turned_;               ///< points with a moment of the load, where they are few
    Eigen::MatrixXd turns_, uneven_;        ///< answers to their unit moments; the unsymmetric part there
    std::vector<PointStiffness> ghosts_;    ///< under the matrix alone, so that it can be factored
    std::vector<PointStiffness> downhill_;  ///< by which the matrix was made definite
    double load_n_ = 0.0, size_mm_ = 0.0, membrane_n_mm_ = 0.0;
    double settled_ = 0.0, friction_settled_ = 0.0;  ///< shares of the load that may be left
    bool rolls_ = false;                             ///< on ground that is softest: it may roll far
};

}  // namespace archwright::flex
