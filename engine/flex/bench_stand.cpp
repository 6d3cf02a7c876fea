#include "engine/flex/bench_stand.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/foot/rest.hpp"
#include "engine/surface/monotone.hpp"

namespace archwright::flex {

namespace {

constexpr double held_heel_mm = 18.0;
/// What locates the heel along the ground, over modulus x wall; and the arm by which it holds against
/// turning.
constexpr double located_share = 20.0, located_arm_mm = 10.0;
/// Turns and heights below which the device lies as it will, and what lies alike (radians, mm).
constexpr double lies = 1e-10, alike = 1e-8;
constexpr int most_turns = 50;
/// The nearest place of a bed is found to this, and its bend over so much of it, mm.
constexpr double nearest_mm = 1e-12, bend_over_mm = 0.25;
constexpr int most_nearest_rounds = 30;
/// What a shoe's bed may be: points, height, and rise per mm.
constexpr std::size_t most_bed_points = 10000;
constexpr double most_bed_mm = 1000.0, steepest_bed = 1.0;

surface::MonotoneCurve bed_curve(const std::vector<Vec2>& shape) {
    std::vector<double> along, height;
    for (const Vec2& at : shape) {
        along.push_back(at.x());
        height.push_back(at.y());
    }
    return {std::move(along), std::move(height)};
}

Fault support_fault(const std::string& what) {
    return Fault{FaultKind::usage, "flex", what, std::nullopt};
}

std::vector<Contact> contacts_of(const BenchBody& body, const Vec3& heel, const BenchSupport& support,
                                 const BenchPose& pose) {
    const Middle& middle = body.middle;
    const surface::MonotoneCurve bed = bed_curve(support.bed_shape);
    const std::vector<double> under_mm2 = bed_areas(middle.model, pose.turn.row(2).transpose());
    std::vector<Contact> contacts(middle.place.size());
    for (std::size_t p = 0; p < contacts.size(); ++p) {
        const Vec3 at = pose.turn * middle.place[p] + pose.shift;
        Vec3 normal = Vec3::UnitZ();
        double height = at.z();
        if (!bed.empty()) {
            const auto under = bed.at(at.x() - heel.x());
            height -= under.value;
            normal = Vec3(-under.slope, 0.0, 1.0).normalized();
        }
        Contact& contact = contacts[p];
        contact.point = static_cast<int>(p);
        contact.arm = middle.place[p] - middle.model.points[p];
        contact.normal = pose.turn.transpose() * normal;
        contact.gap_mm = height * normal.z();
        contact.friction = support.friction;
        contact.bed_n_mm = support.bed_n_mm3 > 0.0 ? support.bed_n_mm3 * under_mm2[p] : 0.0;
    }
    return contacts;
}

/// The nearest place of a bed seen from the side, its normal and its bend there.
GroundUnder bed_under(const surface::MonotoneCurve& bed, double heel, const BenchPose& pose,
                      const Vec3& place) {
    const Vec3 at = pose.turn * place + pose.shift;
    const double x = at.x() - heel;
    double s = x;
    auto on = bed.at(s);
    for (int i = 0; i < most_nearest_rounds; ++i) {
        const double step = ((x - s) + (at.z() - on.value) * on.slope) / (1.0 + on.slope * on.slope);
        s += step;
        on = bed.at(s);
        if (std::abs(step) < nearest_mm) break;
    }
    const double root = std::hypot(1.0, on.slope);
    const Vec3 normal(-on.slope / root, 0.0, 1.0 / root), along(1.0 / root, 0.0, on.slope / root);
    const double bend = (bed.at(s + bend_over_mm).slope - bed.at(s - bend_over_mm).slope) /
                        (2.0 * bend_over_mm * root * root * root);
    GroundUnder found;
    found.gap_mm = normal.dot(Vec3(x - s, 0.0, at.z() - on.value));
    found.normal = pose.turn.transpose() * normal;
    const Vec3 way = pose.turn.transpose() * along;
    found.bend = -bend * way * way.transpose();
    return found;
}

LinearCase empty_case(const BenchBody& body) {
    LinearCase none;
    none.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(body.middle.model.points.size()));
    return none;
}

void hold(LinearCase& load_case, std::size_t point, std::initializer_list<int> components) {
    for (const int component : components)
        load_case.supports.push_back({static_cast<int>(point), component, 0.0});
}

/// Holds the heel along the ground and from turning on it, by a stiffness far above what slides there.
PointStiffness locate(const BenchBody& body, const Vec3& up) {
    const Model& model = body.middle.model;
    const double along = located_share * model.modulus_along() * model.mean_wall();
    PointStiffness held{static_cast<int>(body.located), Mat6::Zero()};
    held.block.topLeftCorner<3, 3>() = along * (Mat3::Identity() - up * up.transpose());
    held.block.bottomRightCorner<3, 3>() = along * located_arm_mm * located_arm_mm * up * up.transpose();
    return held;
}

}  // namespace

Fault bench_fault(LoadCase load, const std::string& what) {
    return Fault{FaultKind::input, "flex", std::string(title(load)) + ": " + what, std::nullopt};
}

Outcome<Done> check_support(const BenchSupport& support) {
    const auto wrong = [](const std::string& what, double value, const std::string& may) {
        return support_fault(what + " of " + exact(value) + " cannot be: choose " + may + ".");
    };
    if (!(support.friction >= 0.0 && support.friction <= 10.0))
        return wrong("A friction", support.friction, "0 to 10");
    if (!(support.distal_spring_n_mm >= 0.0 && support.distal_spring_n_mm <= 1e6))
        return wrong("A distal spring", support.distal_spring_n_mm, "0 to 1000000 N/mm");
    if (!(support.bed_n_mm3 == 0.0 || (support.bed_n_mm3 >= 1e-4 && support.bed_n_mm3 <= 1e4)))
        return wrong("A bed's modulus", support.bed_n_mm3, "0.0001 to 10000 N/mm3, or 0 for a rigid one");
    const std::vector<Vec2>& shape = support.bed_shape;
    if (shape.size() == 1 || shape.size() > most_bed_points)
        return support_fault("A bed's shape of " + std::to_string(shape.size()) +
                             " points is none: give 2 to " + std::to_string(most_bed_points) + ".");
    for (std::size_t i = 0; i < shape.size(); ++i) {
        const std::string point = "Point " + std::to_string(i + 1) + " of the bed's shape ";
        if (!shape[i].allFinite() || shape[i].cwiseAbs().maxCoeff() > most_bed_mm)
            return support_fault(point + "does not lie within " + exact(most_bed_mm) + " mm of the heel.");
        if (i == 0) continue;
        const Vec2 step = shape[i] - shape[i - 1];
        if (!(step.x() > 0.0)) return support_fault(point + "does not lie in front of the one before.");
        if (std::abs(step.y()) > steepest_bed * step.x())
            return support_fault(point + "rises or falls by more than 45 degrees: no shell lies on that.");
    }
    return Done{};
}

Outcome<BenchBody> bench_body(const BenchSubject& subject, double element_mm, Progress* progress) {
    BenchBody body;
    auto middle = middle_of(*subject.shell, subject.stuck_posts, element_mm);
    if (!middle) return middle.fault();
    body.middle = std::move(*middle);
    body.middle.model.lamina = subject.lamina;
    body.middle.model.sheet = subject.sheet;
    const Model& model = body.middle.model;
    if (const auto good = model.check(); !good) return good.fault();
    auto stiffness = assemble(model, progress);
    if (!stiffness) return stiffness.fault();
    body.stiffness = std::make_shared<const Stiffness>(std::move(*stiffness));
    const Vec2 heel = subject.rule->heel_centre.head<2>();
    for (std::size_t p = 0; p < model.points.size(); ++p) {
        const Vec2 plan = model.points[p].head<2>();
        if ((plan - heel).norm() < (model.points[body.located].head<2>() - heel).norm()) body.located = p;
        body.distal.push_back(behind_distal(*subject.rule, plan) < distal_edge_mm);
    }
    return body;
}

bool BenchPose::near(const BenchPose& other) const {
    return (turn - other.turn).cwiseAbs().maxCoeff() < alike &&
           (shift - other.shift).cwiseAbs().maxCoeff() < 1e3 * alike;
}

std::optional<BenchPose> put_down(const std::vector<Vec3>& places, const Vec3& heel, const Vec2& load,
                                  const std::vector<Vec2>& bed_shape) {
    // The heights over the bed are what the device would rest on if the bed were a plane: turning it so that
    // they do, about the heel, and asking again comes to rest on the bed itself.
    const surface::MonotoneCurve bed = bed_curve(bed_shape);
    BenchPose pose;
    bool rests = false;
    std::vector<Vec3> over(places.size());
    for (int turn = 0; turn < most_turns; ++turn) {
        for (std::size_t p = 0; p < places.size(); ++p) {
            over[p] = pose.turn * places[p] + pose.shift;
            if (!bed.empty()) over[p].z() -= bed.at(over[p].x() - heel.x()).value;
        }
        const Vec3 loaded = pose.turn * Vec3(load.x(), load.y(), heel.z()) + pose.shift;
        const auto rest = foot::rest_under(over, loaded.head<2>());
        if (!rest) return std::nullopt;
        const Mat3 step = Eigen::Quaterniond::FromTwoVectors(rest->normal, Vec3::UnitZ()).toRotationMatrix();
        const Vec3 pivot = pose.turn * heel + pose.shift;
        Vec3 shift = pivot - step * pivot;
        // the plane's height under the heel, where it is turned
        shift.z() -=
            (step * (Vec3(pivot.x(), pivot.y(), rest->height_at(pivot.x(), pivot.y())) - pivot) + pivot).z();
        pose.turn = step * pose.turn;
        pose.shift = step * pose.shift + shift;
        rests = (step - Mat3::Identity()).cwiseAbs().maxCoeff() < lies && std::abs(shift.z()) < 1e3 * lies;
        if (rests) break;
    }
    if (!rests) return std::nullopt;
    return pose;
}

Outcome<BenchStand> BenchStand::on_ground(const BenchSubject& subject, std::shared_ptr<const BenchBody> body,
                                          const BenchSupport& support, const BenchPose& pose,
                                          Progress* progress) {
    BenchStand stand;
    stand.body_ = std::move(body);
    stand.support_ = support;
    stand.pose_ = pose;
    stand.heel_ = subject.rule->heel_centre;
    const BenchBody& on = *stand.body_;
    ContactProblem problem{on.middle.model, contacts_of(on, subject.rule->heel_centre, support, pose),
                           empty_case(on)};
    problem.load_case.springs.push_back(locate(on, stand.up()));
    double edge = 0.0;
    for (const char distal : on.distal) edge += distal;
    if (support.distal_spring_n_mm > 0.0 && edge > 0.0)
        for (std::size_t p = 0; p < on.distal.size(); ++p)
            if (on.distal[p]) {
                PointStiffness spring{static_cast<int>(p), Mat6::Zero()};
                spring.block.topLeftCorner<3, 3>() = support.distal_spring_n_mm / edge *
                                                     (Mat3::Identity() - stand.up() * stand.up().transpose());
                problem.load_case.springs.push_back(spring);
            }
    auto solver = ContactSolver::of(std::move(problem), progress, on.stiffness);
    if (!solver) return solver.fault();
    stand.contact_ = std::move(*solver);
    return stand;
}

Outcome<BenchStand> BenchStand::held(const BenchSubject& subject, std::shared_ptr<const BenchBody> body,
                                     Progress* progress) {
    BenchStand stand;
    stand.body_ = std::move(body);
    const BenchBody& on = *stand.body_;
    LinearCase load_case = empty_case(on);
    const Vec2 heel = subject.rule->heel_centre.head<2>();
    for (std::size_t p = 0; p < on.distal.size(); ++p)
        if ((on.middle.model.points[p].head<2>() - heel).norm() < held_heel_mm)
            hold(load_case, p, {0, 1, 2, 3, 4, 5});
    stand.held_ = load_case;
    auto solver = LinearSolver::of(on.middle.model, std::move(load_case), progress, on.stiffness);
    if (!solver) return solver.fault();
    stand.linear_ = std::move(*solver);
    return stand;
}

LargeProblem BenchStand::large_problem(const Eigen::VectorXd& load) const {
    LargeProblem problem;
    problem.model = body_->middle.model;
    if (!contact_) {
        problem.load_case = held_;
    } else {
        problem.load_case = contact_->problem().load_case;
        problem.contacts = contact_->problem().contacts;
        if (support_ && !support_->bed_shape.empty())
            problem.ground = [bed = bed_curve(support_->bed_shape), heel = heel_.x(),
                              pose = pose_](const Vec3& place) { return bed_under(bed, heel, pose, place); };
    }
    problem.load_case.load = load;
    return problem;
}

Outcome<LargeSolver> BenchStand::large(const Eigen::VectorXd& load, Progress* progress) const {
    return LargeSolver::of(large_problem(load), progress);
}

bool BenchStand::is(const std::shared_ptr<const BenchBody>& body, const std::optional<BenchSupport>& support,
                    const BenchPose& pose) const {
    return body_ == body && support_ == support && (!support || pose_.near(pose));
}

}  // namespace archwright::flex
