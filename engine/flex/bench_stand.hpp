// A device standing on the bench: its middle surface, what it stands on, what holds it.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "engine/flex/bench.hpp"
#include "engine/flex/bench_load.hpp"
#include "engine/flex/contact.hpp"
#include "engine/flex/large_solver.hpp"
#include "engine/flex/middle.hpp"

namespace archwright::flex {

/// The device at one size of elements, assembled.
struct BenchBody {
    Middle middle;  ///< with the subject's lamina
    std::shared_ptr<const Stiffness> stiffness;
    std::vector<char> distal;  ///< points of the distal edge
    std::size_t located = 0;   ///< the point nearest to the heel centre in plan
};
Outcome<BenchBody> bench_body(const BenchSubject& subject, double element_mm, Progress* progress);

/// How the device lies when it is put down, as a rigid body, under a load at that place: a point p of the
/// device comes to turn * p + shift over the ground.
struct BenchPose {
    Mat3 turn = Mat3::Identity();
    Vec3 shift = Vec3::Zero();

    bool near(const BenchPose& other) const;
};
/// Nothing: the load does not stand between the places the device rests on, or it finds no rest on that bed.
std::optional<BenchPose> put_down(const std::vector<Vec3>& places, const Vec3& heel, const Vec2& load,
                                  const std::vector<Vec2>& bed_shape);

/// One way to stand on the ground, or (no support) with the heel held, ready to be loaded.
class BenchStand {
  public:
    static Outcome<BenchStand> on_ground(const BenchSubject& subject, std::shared_ptr<const BenchBody> body,
                                         const BenchSupport& support, const BenchPose& pose,
                                         Progress* progress);
    static Outcome<BenchStand> held(const BenchSubject& subject, std::shared_ptr<const BenchBody> body,
                                    Progress* progress);

    const BenchBody& body() const { return *body_; }
    bool is(const std::shared_ptr<const BenchBody>& body, const std::optional<BenchSupport>& support,
            const BenchPose& pose) const;
    /// Away from the ground, in the device's frame.
    Vec3 up() const { return pose_.turn.row(2).transpose(); }
    /// Only of a stand on the ground, or only of a held one.
    ContactSolver& contact() { return *contact_; }
    const LinearSolver& linear() const { return *linear_; }
    /// The same stand for deflections that are not small, under that load on all freedoms.
    LargeProblem large_problem(const Eigen::VectorXd& load) const;
    /// Ready to be followed.
    Outcome<LargeSolver> large(const Eigen::VectorXd& load, Progress* progress) const;

  private:
    std::shared_ptr<const BenchBody> body_;
    std::optional<BenchSupport> support_;
    BenchPose pose_;
    Vec3 heel_ = Vec3::Zero();
    LinearCase held_;  ///< of a held stand
    std::optional<ContactSolver> contact_;
    std::optional<LinearSolver> linear_;
};

Fault bench_fault(LoadCase load, const std::string& what);

}  // namespace archwright::flex
