#include "engine/ask/adjoint.hpp"

#include <Eigen/Dense>
#include <utility>

#include "engine/flex/contact_law.hpp"
#include "engine/flex/factor.hpp"
#include "engine/flex/limits.hpp"

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

    Place(const flex::Contact& of, Held as, double rigid_n_mm, const Eigen::VectorXd& u, const Vec3& anchor)
        : contact(&of), carried(flex::carried_by(of)), held(as) {
        push = of.bed_n_mm > 0.0 ? of.bed_n_mm : rigid_n_mm;
        moved = carried * u.segment<6>(6 * of.point);
        slip = flex::along_ground(of, moved) - anchor;
        normal_n = -push * (of.gap_mm + of.normal.dot(moved));
    }
    Mat3 along() const { return Mat3::Identity() - contact->normal * contact->normal.transpose(); }
    bool rubs() const { return held != Held::open && contact->friction > 0.0; }
    /// Friction over friction coefficient and normal force, against the slip.
    Vec3 share() const {
        return held == Held::sticks ? Vec3(slip / flex::limit::slip_mm) : Vec3(slip.normalized());
    }
    Vec3 force() const {
        if (held == Held::open) return Vec3::Zero();
        Vec3 sum = normal_n * contact->normal;
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

const std::vector<flex::Contact>& contacts_of(const Stood& stood) {
    return stood.stand->contact().problem().contacts;
}

/// Solves the transposed tangent of a step: symmetric part by one factor, friction's dependence on the normal
/// force (a column and a row a place) by the small equations of Sherman, Morrison and Woodbury (1950).
class Transposed {
  public:
    static Outcome<Transposed> of(const Stood& stood, const Step& step) {
        Transposed transposed(stood.body->stiffness->pattern);
        const auto& problem = stood.stand->contact().problem();
        std::vector<flex::PointStiffness> springs = problem.load_case.springs;
        std::vector<Place> rubbing;
        for (std::size_t c = 0; c < step.places.size(); ++c) {
            if (step.places[c] == Held::open) continue;
            const Place place(problem.contacts[c], step.places[c], step.rigid_n_mm, step.displacement,
                              step.anchors[c]);
            const Vec3& n = place.contact->normal;
            const Mat3 ground = place.push * n * n.transpose() + place.grip();
            springs.push_back({place.contact->point, place.carried.transpose() * ground * place.carried});
            if (place.rubs()) rubbing.push_back(place);
        }
        transposed.fixed_.assign(6 * stood.body->middle.model.points.size(), 0);
        if (const auto done = transposed.factor_.factor(*stood.body->stiffness, springs, transposed.fixed_);
            !done)
            return done.fault();
        if (rubbing.empty()) return transposed;
        const Eigen::Index size = static_cast<Eigen::Index>(transposed.fixed_.size());
        const auto count = static_cast<Eigen::Index>(rubbing.size());
        Eigen::MatrixXd columns = Eigen::MatrixXd::Zero(size, count);
        for (Eigen::Index k = 0; k < count; ++k) {
            const Place& place = rubbing[k];
            columns.block<6, 1>(6 * place.contact->point, k) =
                -place.contact->friction * place.push * place.carried.transpose() * place.contact->normal;
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

Eigen::VectorXd out_of_balance(const Stood& stood, const Step& step, const std::vector<Vec3>& anchors) {
    const Eigen::VectorXd& u = step.displacement;
    Eigen::VectorXd out = stood.load.forces(step.load) - stood.body->stiffness->times(u);
    if (step.places.empty()) return out;
    const auto& problem = stood.stand->contact().problem();
    for (const flex::PointStiffness& spring : problem.load_case.springs)
        out.segment<6>(6 * spring.point) -= spring.block * u.segment<6>(6 * spring.point);
    for (std::size_t c = 0; c < step.places.size(); ++c) {
        if (step.places[c] == Held::open) continue;
        const Place place(problem.contacts[c], step.places[c], step.rigid_n_mm, u, anchors[c]);
        out.segment<6>(6 * place.contact->point) += place.carried.transpose() * place.force();
    }
    return out;
}

std::vector<Vec3> anchors_after(const Stood& stood, const Step& step) {
    std::vector<Vec3> after = step.anchors;
    const std::vector<flex::Contact>& contacts = contacts_of(stood);
    for (std::size_t c = 0; c < contacts.size(); ++c) {
        const Place place(contacts[c], step.places[c], step.rigid_n_mm, step.displacement, step.anchors[c]);
        const Vec3 along = flex::along_ground(contacts[c], place.moved);
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
    const auto at_load = Transposed::of(course.stood, loaded);
    if (!at_load) return at_load.fault();
    adjoint.weights_[1] = at_load->solve(measured);
    // the settled state counts against, and says where friction holds on under the load
    Eigen::VectorXd right = -measured;
    const std::vector<flex::Contact>& contacts = contacts_of(course.stood);
    for (std::size_t c = 0; c < contacts.size(); ++c) {
        if (loaded.places[c] == Held::open || !(contacts[c].friction > 0.0)) continue;
        const Place then(contacts[c], loaded.places[c], loaded.rigid_n_mm, loaded.displacement,
                         loaded.anchors[c]);
        const Place before(contacts[c], settled.places[c], settled.rigid_n_mm, settled.displacement,
                           settled.anchors[c]);
        const Eigen::Index at = 6 * contacts[c].point;
        right.segment<6>(at) += before.carried.transpose() * before.anchor_slope().transpose() * then.grip() *
                                then.carried * adjoint.weights_[1].segment<6>(at);
    }
    const auto at_preload = Transposed::of(course.stood, settled);
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
        if (steps.size() > 1) stood = put_on_bench(subject, std::move(*body), loading_, nullptr);
        if (!stood) return stood.fault();
        double sum = stood->measured(loading_).dot(steps.back().displacement);
        if (steps.size() == 1) return sum + weights_[0].dot(out_of_balance(*stood, steps[0], {}));
        sum -= stood->measured(loading_).dot(steps[0].displacement);
        sum += weights_[0].dot(out_of_balance(*stood, steps[0], steps[0].anchors));
        return sum + weights_[1].dot(out_of_balance(*stood, steps[1], anchors_after(*stood, steps[0])));
    };
    const auto more = pulled(width);
    if (!more) return more.fault();
    const auto less = pulled(-width);
    if (!less) return less.fault();
    return -(*more - *less) / (2.0 * width) / course_->deflection;
}

}  // namespace archwright::ask
