#include "engine/ask/adjoint.hpp"

#include <Eigen/Dense>
#include <utility>

#include "engine/flex/contact_law.hpp"
#include "engine/flex/factor.hpp"
#include "engine/flex/large.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/rotation.hpp"

namespace archwright::ask {

namespace {

/// A place of the ground under a displacement, with what it is held to.
struct Place {
    const flex::Contact* contact = nullptr;
    flex::Mat3x6 carried;
    Held held = Held::open;
    double push = 0.0;
    Vec3 moved = Vec3::Zero(), slip = Vec3::Zero();  ///< of the place; along the ground from its anchor
    double normal_n = 0.0;

    Vec3 normal = Vec3::UnitZ();  ///< of the ground there
    Mat3 bend = Mat3::Zero();     ///< of its normal
    Vec3 arm = Vec3::Zero();      ///< that has turned; small deflections: none

    Place(const flex::LargeProblem& problem, std::size_t c, const Step& step, const Vec3& anchor)
        : contact(&problem.contacts[c]), carried(flex::carried_by(*contact)), held(step.places[c]) {
        push = contact->bed_n_mm > 0.0 ? contact->bed_n_mm : step.rigid_n_mm;
        normal = contact->normal;
        moved = carried * step.displacement.segment<6>(6 * contact->point);
        double gap = contact->gap_mm + normal.dot(moved);
        if (step.far) {
            const flex::LargeContact at = flex::contact_in(problem, *step.far, c, step.rigid_n_mm);
            flex::Contact turned = *contact;
            turned.arm = arm = at.arm;
            carried = flex::carried_by(turned);
            moved = at.moved;
            normal = at.under.normal;
            bend = at.under.bend;
            gap = at.under.gap_mm;
        }
        slip = moved - normal.dot(moved) * normal - anchor;
        slip -= normal.dot(slip) * normal;
        normal_n = -push * gap;
    }
    Mat3 along() const { return Mat3::Identity() - normal * normal.transpose(); }
    bool rubs() const { return held != Held::open && contact->friction > 0.0; }
    /// Friction over friction coefficient and normal force, against the slip.
    Vec3 share() const {
        return held == Held::sticks ? Vec3(slip / flex::limit::slip_mm) : Vec3(slip.normalized());
    }
    Vec3 force() const {
        if (held == Held::open) return Vec3::Zero();
        Vec3 sum = normal_n * normal;
        if (rubs()) sum -= contact->friction * normal_n * share();
        return sum;
    }
    /// - d friction / d slip at the bound as it is.
    Mat3 grip() const {
        if (!rubs()) return Mat3::Zero();
        const double bound = contact->friction * normal_n;
        if (held == Held::sticks) return bound / flex::limit::slip_mm * along();
        const Vec3 way = slip.normalized();
        return bound / slip.norm() * (along() - way * way.transpose());
    }
    /// d (anchor after) / d (displacement of the place).
    Mat3 anchor_slope() const {
        if (held == Held::open || !(contact->friction > 0.0)) return along();
        if (held == Held::sticks) return Mat3::Zero();
        const Vec3 way = slip.normalized();
        return along() - flex::limit::slip_mm / slip.norm() * (along() - way * way.transpose());
    }
};

/// What is on the bench, under no load; on the ground or held.
flex::LargeProblem problem_of(const Stood& stood) {
    const auto points = static_cast<Eigen::Index>(stood.body->middle.model.points.size());
    return stood.stand->large_problem(Eigen::VectorXd::Zero(6 * points));
}

/// The shell and its springs without ground.
flex::LargeProblem without_ground(flex::LargeProblem problem) {
    problem.contacts.clear();
    return problem;
}

/// Solves the transposed tangent of a step: symmetric part by one factor, friction's dependence on the normal
/// force (a column and a row a place) by the small equations of Sherman, Morrison and Woodbury (1950).
class Transposed {
  public:
    static Outcome<Transposed> of(const Stood& stood, const flex::LargeProblem& problem, const Step& step) {
        Transposed transposed(stood.body->stiffness->pattern);
        std::vector<flex::PointStiffness> springs;
        flex::Stiffness far;
        if (step.far) {
            const flex::LargeProblem alone = without_ground(problem);
            const flex::LargeShell shell(alone);
            shell.tangent(*step.far, shell.strain_forces(*step.far), far);
        } else {
            springs = problem.load_case.springs;
        }
        std::vector<Place> rubbing;
        for (std::size_t c = 0; c < step.places.size(); ++c) {
            if (step.places[c] == Held::open) continue;
            const Place place(problem, c, step, step.anchors[c]);
            const Mat3 ground = place.push * place.normal * place.normal.transpose() + place.grip() -
                                place.normal_n * place.bend;
            flex::Mat6 block = place.carried.transpose() * ground * place.carried;
            if (step.far) {  // the arm turns under the ground's force
                const Mat3 turned = flex::cross_matrix(place.force()) * flex::cross_matrix(place.arm);
                block.bottomRightCorner<3, 3>() -= 0.5 * (turned + turned.transpose());
            }
            springs.push_back({place.contact->point, block});
            if (place.rubs()) rubbing.push_back(place);
        }
        transposed.fixed_ = flex::held_freedoms(problem);
        if (const auto done = transposed.factor_.factor(step.far ? far : *stood.body->stiffness, springs,
                                                        transposed.fixed_);
            !done)
            return done.fault();
        if (rubbing.empty()) return transposed;
        const Eigen::Index size = static_cast<Eigen::Index>(transposed.fixed_.size());
        const auto count = static_cast<Eigen::Index>(rubbing.size());
        Eigen::MatrixXd columns = Eigen::MatrixXd::Zero(size, count);
        for (Eigen::Index k = 0; k < count; ++k) {
            const Place& place = rubbing[k];
            columns.block<6, 1>(6 * place.contact->point, k) =
                -place.contact->friction * place.push * place.carried.transpose() * place.normal;
            transposed.rows_.push_back({place.contact->point, place.carried.transpose() * place.share()});
        }
        transposed.moved_ = transposed.factor_.solve(columns);
        Eigen::MatrixXd small = Eigen::MatrixXd::Identity(count, count);
        for (Eigen::Index k = 0; k < count; ++k) small.col(k) += transposed.by_rows(transposed.moved_.col(k));
        transposed.small_ = small.partialPivLu();
        return transposed;
    }
    Eigen::VectorXd solve(const Eigen::VectorXd& right) const {
        Eigen::VectorXd found = factor_.solve(right);
        if (!rows_.empty()) found -= moved_ * small_.solve(by_rows(found));
        return found;
    }

  private:
    explicit Transposed(const flex::BlockPattern& pattern) : factor_(pattern) {}
    Eigen::VectorXd by_rows(const Eigen::VectorXd& v) const {
        Eigen::VectorXd sums(static_cast<Eigen::Index>(rows_.size()));
        for (std::size_t k = 0; k < rows_.size(); ++k)
            sums[static_cast<Eigen::Index>(k)] = rows_[k].second.dot(v.segment<6>(6 * rows_[k].first));
        return sums;
    }

    flex::Factor factor_;
    std::vector<char> fixed_;
    std::vector<std::pair<int, flex::Vec6>> rows_;
    Eigen::MatrixXd moved_;
    Eigen::PartialPivLU<Eigen::MatrixXd> small_;
};

}  // namespace

Eigen::VectorXd out_of_balance(const Stood& stood, const flex::LargeProblem& problem, const Step& step,
                               const std::vector<Vec3>& anchors) {
    const Eigen::VectorXd& u = step.displacement;
    Eigen::VectorXd out = stood.load.forces(step.load);
    if (step.far) {
        const flex::LargeProblem alone = without_ground(problem);
        const flex::LargeShell shell(alone);
        out += shell.out_of_balance(*step.far, shell.strain_forces(*step.far));
    } else {
        out -= stood.body->stiffness->times(u);
        for (const flex::PointStiffness& spring : problem.load_case.springs)
            out.segment<6>(6 * spring.point) -= spring.block * u.segment<6>(6 * spring.point);
    }
    for (std::size_t c = 0; c < step.places.size(); ++c) {
        if (step.places[c] == Held::open) continue;
        const Place place(problem, c, step, anchors[c]);
        out.segment<6>(6 * place.contact->point) += place.carried.transpose() * place.force();
    }
    return out;
}

std::vector<Vec3> anchors_after(const flex::LargeProblem& problem, const Step& step) {
    std::vector<Vec3> after = step.anchors;
    for (std::size_t c = 0; c < problem.contacts.size(); ++c) {
        const Place place(problem, c, step, step.anchors[c]);
        const Vec3 along = place.along() * place.moved;
        if (place.held == Held::open || !place.rubs())
            after[c] = along;
        else if (place.held == Held::slides)
            after[c] = along - flex::limit::slip_mm * place.slip.normalized();
    }
    return after;
}

Outcome<Adjoint> Adjoint::of(const Course& course, const Loading& loading, Progress* progress) {
    Adjoint adjoint;
    adjoint.course_ = &course;
    adjoint.loading_ = loading;
    const Eigen::VectorXd measured = course.stood.measured(loading);
    const flex::LargeProblem problem = problem_of(course.stood);
    if (!course.stood.on_ground(loading) && loading.far) {
        const auto held = Transposed::of(course.stood, problem, course.steps[0]);
        if (!held) return held.fault();
        adjoint.weights_.push_back(held->solve(measured));
        return adjoint;
    }
    if (!course.stood.on_ground(loading)) {
        // held: the tangent is symmetric and has one factor already
        auto solved = course.stood.stand->linear().solve(measured);
        if (!solved) return solved.fault();
        adjoint.weights_.push_back(std::move(solved->displacement));
        return adjoint;
    }
    adjoint.weights_.resize(2);
    const Step &settled = course.steps[0], &loaded = course.steps[1];
    if (progress != nullptr && !progress->report("Adjoint of the bench", 0.0))
        return Fault{FaultKind::cancelled, "ask", "Cancelled.", std::nullopt};
    const auto at_load = Transposed::of(course.stood, problem, loaded);
    if (!at_load) return at_load.fault();
    adjoint.weights_[1] = at_load->solve(measured);
    // the settled state counts against, and says where friction holds on under the load
    Eigen::VectorXd right = -measured;
    const std::vector<flex::Contact>& contacts = problem.contacts;
    for (std::size_t c = 0; c < contacts.size(); ++c) {
        if (loaded.places[c] == Held::open || !(contacts[c].friction > 0.0)) continue;
        const Place then(problem, c, loaded, loaded.anchors[c]);
        const Place before(problem, c, settled, settled.anchors[c]);
        const Eigen::Index at = 6 * contacts[c].point;
        right.segment<6>(at) += before.carried.transpose() * before.anchor_slope().transpose() * then.grip() *
                                then.carried * adjoint.weights_[1].segment<6>(at);
    }
    const auto at_preload = Transposed::of(course.stood, problem, settled);
    if (!at_preload) return at_preload.fault();
    adjoint.weights_[0] = at_preload->solve(right);
    return adjoint;
}

Outcome<double> Adjoint::log_slope(const flex::BenchSubject& subject, const BodyAt& at, double width) const {
    const auto pulled = [&](double change) -> Outcome<double> {
        auto body = at(change);
        if (!body) return body.fault();
        const std::vector<Step>& steps = course_->steps;
        Outcome<Stood> stood = Stood{*body, nullptr, loading_.placed};
        flex::LargeProblem problem;  // held, small deflections: no springs
        if (steps.size() > 1 || steps[0].far) {
            stood = put_on_bench(subject, std::move(*body), loading_, nullptr);
            if (!stood) return stood.fault();
            problem = problem_of(*stood);
        }
        double sum = stood->measured(loading_).dot(steps.back().displacement);
        sum += weights_[0].dot(out_of_balance(*stood, problem, steps[0], steps[0].anchors));
        if (steps.size() == 1) return sum;
        sum -= stood->measured(loading_).dot(steps[0].displacement);
        return sum +
               weights_[1].dot(out_of_balance(*stood, problem, steps[1], anchors_after(problem, steps[0])));
    };
    const auto more = pulled(width);
    if (!more) return more.fault();
    const auto less = pulled(-width);
    if (!less) return less.fault();
    return -(*more - *less) / (2.0 * width) / course_->deflection;
}

}  // namespace archwright::ask
