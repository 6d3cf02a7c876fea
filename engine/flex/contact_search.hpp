// How the state of contact is searched: what both ways of doing it share.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <vector>

#include "engine/flex/contact.hpp"
#include "engine/flex/contact_law.hpp"

namespace archwright::flex {

/// A problem made ready: checked, assembled, with the stiffness that stands for rigid ground; and the load it
/// is under, with where the search for it begins.
struct ContactSetup {
    const ContactProblem* problem = nullptr;
    std::vector<Mat3x6> carried;  ///< of each contact
    std::shared_ptr<const Stiffness> stiffness;
    std::vector<char> fixed;     ///< freedoms
    Eigen::VectorXd load;        ///< on all freedoms
    Eigen::VectorXd start;       ///< where the search begins; the fixed freedoms have their values
    std::vector<char> touching;  ///< at first
    std::vector<Vec3> anchors;
    double load_n = 0.0;  ///< all forces together
    double rigid_n_mm = 0.0;
    double membrane_n_mm = 0.0;  ///< modulus x wall
    double size_mm = 0.0;
    bool friction = false;     ///< there is some
    bool stuck_first = false;  ///< nothing but friction holds the shell along the ground

    /// Checked and assembled (or with what is assembled already); the problem must outlive it.
    static Outcome<ContactSetup> of(const ContactProblem& problem, Progress* progress,
                                    std::shared_ptr<const Stiffness> assembled = nullptr);
    /// Under this load, beginning there.
    Outcome<Done> begin(const Eigen::VectorXd& under, const ContactStart& from);

    std::size_t count() const { return problem->contacts.size(); }
    Vec3 displacement_of(std::size_t c, const Eigen::VectorXd& u) const {
        return carried[c] * u.segment<6>(6 * problem->contacts[c].point);
    }
    double gap_of(std::size_t c, const Vec3& displacement) const {
        return problem->contacts[c].gap_mm + problem->contacts[c].normal.dot(displacement);
    }
    double push_of(std::size_t c) const {
        const double bed = problem->contacts[c].bed_n_mm;
        return bed > 0.0 ? bed : rigid_n_mm;
    }
    double normal_of(std::size_t c, const Vec3& displacement) const {
        return std::max(0.0, -push_of(c) * gap_of(c, displacement));
    }
    /// Load less the forces of elements and springs, at all freedoms.
    Eigen::VectorXd elastic_out(const Eigen::VectorXd& u) const;
    /// The same and the ground's forces; nothing at fixed freedoms.
    /// `given`: what touches, pulling or not; null: by the gaps.
    Eigen::VectorXd out_of_balance(const Eigen::VectorXd& u, const std::vector<double>& bounds,
                                   const std::vector<char>* given = nullptr) const;
    bool lifted(const Eigen::VectorXd& u) const;
    ContactResult result(const Eigen::VectorXd& u, const std::vector<double>& bounds, int rounds) const;
};

/// Places in play and their displacements, as Newton's steps move them. Indices are those of `places`.
class ContactSpace {
  public:
    virtual ~ContactSpace() = default;
    virtual const std::vector<int>& places() const = 0;
    virtual Vec3 displacement(std::size_t k) const = 0;
    /// Finds a step of Newton; with `given`, that set touches, pulling or not; null: what touches now.
    virtual Outcome<Done> find_step(const std::vector<char>* given, const std::vector<double>& bounds) = 0;
    /// Slope of the (convex) energy at this length of the step.
    virtual double slope(double length, const std::vector<double>& bounds) const = 0;
    virtual void move(double length) = 0;
    /// Undoes the last move.
    virtual void back() = 0;
    /// Greatest force that is left, N, and what of it may be rounding.
    virtual double left(const std::vector<double>& bounds) const = 0;
    virtual double rounding() const = 0;
    virtual bool lifted() const = 0;
};

/// Moves the space until contact and friction have settled. `touching` and `bounds` (of the space's places)
/// are where it begins, and what is found. Returns the rounds used; Faults as solve_contact.
Outcome<int> settle(const ContactSetup& setup, ContactSpace& space, std::vector<char>& touching,
                    std::vector<double>& bounds, int most_rounds, Progress* progress);

/// Fault (input) of a contact that is not there or cannot be.
Outcome<Done> check_contacts(const Model& model, const std::vector<Contact>& contacts);

Fault contact_fault(FaultKind kind, const std::string& what);
Fault lifted_fault();

}  // namespace archwright::flex
