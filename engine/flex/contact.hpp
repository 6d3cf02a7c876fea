// A shell that may touch the ground under it, lift off it, stick to it and slide on it.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <optional>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/linear.hpp"

namespace archwright::flex {

/// One place of the shell that may touch, carried by a point of the model on a rigid arm.
struct Contact {
    int point = 0;
    Vec3 arm = Vec3::Zero();      ///< from the point to the place, mm
    Vec3 normal = Vec3::UnitZ();  ///< of the ground, towards the shell, unit
    double gap_mm = 0.0;          ///< to the ground along it while the shell is not loaded
    double friction = 0.0;        ///< Coulomb's coefficient
    double bed_n_mm = 0.0;        ///< stiffness of the ground there (modulus x area), N/mm; 0: rigid
};

struct ContactProblem {
    Model model;
    std::vector<Contact> contacts;  ///< every place that could touch: none is left out for being far
    LinearCase load_case;
};

/// What touches, and how the ground answers there.
struct ContactAnswer {
    enum class State { open, sticks, slides };
    State state = State::open;
    double gap_mm = 0.0;             ///< under load; below 0 where it touches: what rigid ground gives in
                                     ///< (at most limit::penetration_mm), or how far a bed is pressed in
    double normal_n = 0.0;           ///< force of the ground along its normal, N
    Vec3 friction_n = Vec3::Zero();  ///< along the ground, on the shell, N
    Vec3 slip_mm = Vec3::Zero();     ///< along the ground since the shell was laid down
};

struct ContactResult {
    Eigen::VectorXd displacement;  ///< of all freedoms, mm and radians
    Eigen::VectorXd reaction;      ///< of the supports, 0 elsewhere
    std::vector<ContactAnswer> contacts;
    std::vector<Vec3> anchors;  ///< where each contact's friction holds on, for a further load after this one
    int rounds = 0;             ///< equations solved
    double unbalanced_n = 0.0;  ///< greatest force that is left at a point, N
};

/// Where to begin: a guess, or the state under the load before (its anchors are then where friction holds
/// on).
struct ContactStart {
    Eigen::VectorXd displacement;  ///< empty: none
    std::vector<char> touching;    ///< empty: by the displacement
    std::vector<Vec3> anchors;     ///< empty: nothing has slipped
};

/// A shell over its ground, made ready once for any number of loads: assembled, and on rigid ground factored
/// and its compliance kept from load to load. Not for several threads at a time.
class ContactSolver {
  public:
    /// `assembled`: the stiffness of the very model, where it is there already. The load of the problem's
    /// case is only checked. Faults as solve_contact.
    static Outcome<ContactSolver> of(ContactProblem problem, Progress* progress = nullptr,
                                     std::shared_ptr<const Stiffness> assembled = nullptr);
    ContactSolver(ContactSolver&&) noexcept;
    ContactSolver& operator=(ContactSolver&&) noexcept;
    ~ContactSolver();

    const ContactProblem& problem() const;
    /// As solve_contact, under this load on all freedoms.
    Outcome<ContactResult> solve(const Eigen::VectorXd& load, const ContactStart& start = {},
                                 Progress* progress = nullptr);

  private:
    struct Inside;
    explicit ContactSolver(std::unique_ptr<Inside> inside);
    std::unique_ptr<Inside> inside_;
};

/// Finds the deflection under unilateral contact with regularised Coulomb friction (full friction after
/// limit::slip_mm of slip; friction from the state before, by a return onto the cone). For given bounds of
/// friction it is the least of a convex energy, found by Newton's steps (full ones while they bring new sets
/// of contacts, then by exact line search, so that sets cannot cycle); bounds follow the normal forces until
/// they agree. Rigid ground gives in by less than limit::penetration_mm. Faults (input, stage "flex"): the
/// model's, the load case's, a contact that is not a number, a shell that its load lifts or tips off;
/// internal: not settled. Cancelled by progress.
Outcome<ContactResult> solve_contact(const ContactProblem& problem, const ContactStart& start = {},
                                     Progress* progress = nullptr);

/// Area of bed under each point, mm2, seen along `up`: a third of every triangle round it. A place that
/// stands upright has next to nothing to press; a trace is left, since none would make its bed rigid.
std::vector<double> bed_areas(const Model& model, const Vec3& up);

/// The underside of a shell over a level plate: every point, half the wall away from the middle surface along
/// its normal, or wherever `arm` says (posts: down to their floor). `bed_n_mm3`: foundation modulus; 0:
/// rigid.
std::vector<Contact> over_plate(const Model& model, double plate_z_mm, double friction,
                                double bed_n_mm3 = 0.0, const std::vector<Vec3>& arms = {});
/// From every point to the underside: half the wall against the normal.
std::vector<Vec3> underside_arms(const Model& model);

/// A start for a fine problem from a coarse one's result: each point moves with the rigid motion of the
/// nearest coarse point, and touches what that one touches.
ContactStart start_from(const ContactProblem& coarse, const ContactResult& result,
                        const ContactProblem& fine);

}  // namespace archwright::flex
