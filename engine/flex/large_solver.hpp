// A shell followed as far as its load moves it.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/large.hpp"

namespace archwright::flex {

struct LargeSteps {
    std::vector<double> shares{1.0};  ///< of the load, rising: a state is asked for at each
    bool past_limits = true;          ///< go past a limit of the load by steps of its path
    int most_steps = 400;             ///< of all, before it is given up
    double longest_step = 1e300;      ///< of the share; shorter ones are taken where they are needed
};

/// A state on the way.
struct LargePoint {
    double share = 0.0;
    double moved_mm = 0.0;  ///< work of the whole load on it over the sizes of its forces
    bool stable = true;     ///< no motion gives energy; else it is passed through and never seen at rest
    bool asked = false;
};

/// A limit of the load at which the shell goes over into another state.
struct SnapThrough {
    double share = 0.0;     ///< at the limit
    double falls_to = 0.0;  ///< least share between there and where it bears as much again; over ground it
                            ///< is not followed, and the share itself
    int point = 0;          ///< what moves most
    double jump_mm = 0.0;   ///< how far that point moves until it bears as much again; 0: it never does
};

struct LargeCourse {
    std::vector<LargeState> states;  ///< at the shares asked for, as far as they are reached
    std::vector<LargePoint> path;
    std::vector<SnapThrough> snaps;
    bool whole = true;  ///< all shares were reached; else the shell gave way and bears no more
    int steps = 0, rounds = 0, factored = 0;
    double unbalanced_n = 0.0;  ///< greatest force left at a point in any state asked for
};

/// Newton's method on whole steps of the load, halved where they do not settle and grown again where they do:
/// a round solves the tangent for displacements and stresses together, with stresses as unknowns of their own
/// (the iteration of D. Magisano, L. Leonetti and G. Garcea, Computer Methods in Applied Mechanics and
/// Engineering 313 (2017) 986-1005), which takes long steps in shells; a step that does not settle is tried
/// again shorter and with a search along Newton's direction for where the energy's slope falls. A state is
/// settled when nothing is out of balance by more than limit::settled of the load, or no round makes it
/// better and what is left is rounding. Where a limit of the load comes in the way it is passed by steps of
/// the path (E. Riks, International Journal of Solids and Structures 15 (1979) 529-551) and told.
class LargeSolver {
  public:
    /// Faults (input, stage "flex"): of check_large, of a shell that nothing holds.
    static Outcome<LargeSolver> of(LargeProblem problem, Progress* progress = nullptr);
    LargeSolver(LargeSolver&&) noexcept;
    LargeSolver& operator=(LargeSolver&&) noexcept;
    ~LargeSolver();

    const LargeProblem& problem() const;
    const LargeShell& shell() const;
    /// From rest, or from near a state under the share that one has (found before, or guessed). Faults:
    /// shares that do not rise, no state in balance found (input: naming the share and what moved),
    /// cancelled.
    Outcome<LargeCourse> follow(const LargeSteps& steps, const std::optional<LargeState>& from = {},
                                Progress* progress = nullptr);

  private:
    struct Inside;
    explicit LargeSolver(std::unique_ptr<Inside> inside);
    std::unique_ptr<Inside> inside_;
};

/// All at once.
Outcome<LargeCourse> solve_large(LargeProblem problem, const LargeSteps& steps = {},
                                 Progress* progress = nullptr);

}  // namespace archwright::flex
