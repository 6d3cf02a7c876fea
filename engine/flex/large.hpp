// A shell that moves as far as it likes: what is out of balance in a state of it, and how that changes.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/flex/contact.hpp"
#include "engine/flex/corotated.hpp"
#include "engine/flex/linear.hpp"

namespace archwright::flex {

/// The ground under a place, in the model's frame: how high the place stands over the nearest ground, the
/// ground's normal there, and how the height's slope changes from place to place (0 on a plane).
struct GroundUnder {
    double gap_mm = 0.0;
    Vec3 normal = Vec3::UnitZ();
    Mat3 bend = Mat3::Zero();  ///< 1/mm
};

struct LargeProblem {
    Model model;
    /// The whole load; forces keep their direction, moments turn about axes that do not move. Springs answer
    /// to displacement and rotation vector. A support's value is reached with the whole load; rotations are
    /// held at 0 only.
    LinearCase load_case;
    /// Places on arms that turn with their points. Their normals and gaps are those of planes.
    std::vector<Contact> contacts;
    /// Ground that is no plane, instead of the contacts' own normals and gaps.
    std::function<GroundUnder(const Vec3& place)> ground{};
};

/// A shell as it has moved and turned under a share of its load.
struct LargeState {
    std::vector<Vec3> moved;       ///< of the points, mm
    std::vector<Mat3> turned;      ///< of the points
    double share = 0.0;            ///< of the whole load
    std::vector<Vec3> anchors;     ///< of the contacts: displacement from which friction holds on
    std::vector<Vec3> came_from;   ///< the same as the load came under which it is settled
    std::vector<double> bounds_n;  ///< of the contacts: full friction, N

    static LargeState at_rest(const LargeProblem& problem);
    /// Displacements and rotation vectors, six a point.
    Eigen::VectorXd freedoms() const;
    /// Moves on: displacements and spins (about axes in space), `length` times.
    void move(const Eigen::VectorXd& step, double length = 1.0);
};

/// Fault as check_case, of contacts, and of supports that hold a rotation at another value than 0.
Outcome<Done> check_large(const LargeProblem& problem);

/// N/mm, what stands for rigid ground: far stiffer than the shell, and by so much that one place which bears
/// the whole load gives in by less than limit::penetration_mm.
double rigid_ground(const LargeProblem& problem);

/// A contact in a state: where its place is, and what the ground does to it.
struct LargeContact {
    Vec3 arm = Vec3::Zero();  ///< as it has turned
    Vec3 moved = Vec3::Zero();
    GroundUnder under;
    Vec3 force = Vec3::Zero();      ///< on the shell
    Mat3 stiffness = Mat3::Zero();  ///< - d force / d place, friction's bound as it is
    double normal_n = 0.0;
};
/// `rigid_n_mm`: of rigid ground.
LargeContact contact_in(const LargeProblem& problem, const LargeState& state, std::size_t contact,
                        double rigid_n_mm);

/// What every contact does in a state, as small deflections tell it.
std::vector<ContactAnswer> contact_answers(const LargeProblem& problem, const LargeState& state);

/// A problem made ready to be asked for forces and tangents of many states.
class LargeShell {
  public:
    /// The problem must have passed its checks and outlive it.
    explicit LargeShell(const LargeProblem& problem);

    const LargeProblem& problem() const { return *problem_; }
    const BlockPattern& pattern() const { return pattern_; }
    /// What stands for rigid ground: rigid_ground of the problem until it is set.
    double rigid_n_mm() const { return rigid_n_mm_; }
    void set_rigid(double n_mm) { rigid_n_mm_ = n_mm; }
    std::size_t elements() const { return elements_.size(); }

    /// Stress of the elements, in their axes; empty: the state cannot be (an element without area, or corners
    /// turned against it).
    std::vector<Vec18> strain_forces(const LargeState& state) const;
    /// The same moved on to the first order from a state by displacements and spins.
    std::vector<Vec18> strain_forces(const LargeState& state, const Eigen::VectorXd& step) const;
    /// Freedoms of an element without its rigid motion, in its axes.
    Vec18 strained(const LargeState& state, std::size_t element) const {
        return place(state, element).strained;
    }
    /// Forces of the elements alone on all freedoms. `sums`: the sizes of what was added up.
    Eigen::VectorXd internal_force(const LargeState& state, const std::vector<Vec18>& strain_forces,
                                   Eigen::VectorXd* sums = nullptr) const;
    /// Share of the load and the ground's forces less those of elements and springs, on all freedoms; held
    /// ones included.
    Eigen::VectorXd out_of_balance(const LargeState& state, const std::vector<Vec18>& strain_forces,
                                   Eigen::VectorXd* sums = nullptr) const;
    /// - its derivative by displacements and spins, made symmetric; elements, springs and ground, friction's
    /// bounds as they are.
    void tangent(const LargeState& state, const std::vector<Vec18>& strain_forces, Stiffness& into) const;

  private:
    CorotatedElement::Place place(const LargeState& state, std::size_t element) const;

    const LargeProblem* problem_;
    std::vector<CorotatedElement> elements_;
    BlockPattern pattern_;
    double rigid_n_mm_ = 0.0;
};

/// Flags of the freedoms that supports hold.
std::vector<char> held_freedoms(const LargeProblem& problem);

/// What is out of balance in a state, on all freedoms; 0 at held ones. Empty: the state cannot be.
Eigen::VectorXd residual(const LargeProblem& problem, const LargeState& state);
/// - its derivative by displacements and spins: symmetric, of elements, springs and ground. Held freedoms are
/// in it like all others. Sums in order: the same bytes on any number of threads.
Stiffness tangent(const LargeProblem& problem, const LargeState& state);

}  // namespace archwright::flex
