// How a stiffness on the bench changes with the walls it depends on: an adjoint, contact and friction in it.
#pragma once

#include <functional>

#include "engine/ask/course.hpp"

namespace archwright::ask {

/// A body for a change of one wall by so many of its own units.
using BodyAt = std::function<Outcome<std::shared_ptr<const flex::BenchBody>>(double change)>;

/// What is out of balance at a step of a course, at all freedoms, with the ground's places held as they are
/// there (open, stuck or sliding, friction = coefficient x normal force): 0 on the course itself but for what
/// its solver leaves. `stood` may be another body than the course's, `problem` is what is on its bench;
/// `anchors` are those of its places.
Eigen::VectorXd out_of_balance(const Stood& stood, const flex::LargeProblem& problem, const Step& step,
                               const std::vector<Vec3>& anchors);

/// Where each place's friction holds on after a step, by the same held places.
std::vector<Vec3> anchors_after(const flex::LargeProblem& problem, const Step& step);

/// Measurement weights pulled back through the steps of a course: one factor a step of the shell with what
/// touches, the part of friction that follows the normal force (which makes the tangent unsymmetric) by small
/// equations. Sensitivities to any number of walls cost two assemblies each from here on.
class Adjoint {
  public:
    /// The course must outlive it. Fault: the tangent cannot be factored.
    static Outcome<Adjoint> of(const Course& course, const Loading& loading, Progress* progress);

    /// d ln(stiffness) / d (wall), by the central difference of what is out of balance (and of the weights)
    /// between bodies at `-width` and `width`: middle surface, arms, gaps, pose and load all move with the
    /// wall. Faults of `at` and of put_on_bench.
    Outcome<double> log_slope(const flex::BenchSubject& subject, const BodyAt& at, double width) const;

  private:
    const Course* course_ = nullptr;
    Loading loading_;
    std::vector<Eigen::VectorXd> weights_;  ///< of what is out of balance at each step
};

}  // namespace archwright::ask
