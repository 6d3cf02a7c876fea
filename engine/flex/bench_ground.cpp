#include "engine/flex/bench_ground.hpp"

#include "engine/flex/bench_load.hpp"

namespace archwright::flex {

namespace {

/// Distal part of the ground's answer behind the distal edge, and the heel's of the way to the heads.
constexpr double distal_part_mm = 30.0, heel_part = 0.3;

}  // namespace

GroundPart ground_part(const surface::TrimRule& rule, const Vec2& plan) {
    const double heads = 0.5 * (rule.first_head.x() + rule.fifth_head.x()) - rule.heel_centre.x();
    if (behind_distal(rule, plan) < distal_part_mm) return GroundPart::distal;
    if ((plan.x() - rule.heel_centre.x()) / heads < heel_part) return GroundPart::heel;
    return plan.y() > surface::axis_y(rule, plan.x()) ? GroundPart::arch : GroundPart::lateral_midfoot;
}

double upward(const BenchStand& stand, const Contact& contact, const ContactAnswer& answer) {
    return (answer.normal_n * contact.normal + answer.friction_n).dot(stand.up());
}

double distal_slide(const BenchStand& stand, const Eigen::VectorXd& displacement) {
    const Vec3 up = stand.up();
    const Vec3 forward = (Vec3::UnitX() - up.x() * up).normalized();
    double sum = 0.0, count = 0.0;
    for (std::size_t p = 0; p < stand.body().distal.size(); ++p)
        if (stand.body().distal[p]) {
            sum += forward.dot(displacement.segment<3>(6 * static_cast<Eigen::Index>(p)));
            count += 1.0;
        }
    return count > 0.0 ? sum / count : 0.0;
}

double arch_force(const surface::TrimRule& rule, const BenchStand& stand,
                  const std::vector<Contact>& contacts, const std::vector<ContactAnswer>& answers) {
    double sum = 0.0;
    for (std::size_t c = 0; c < answers.size(); ++c)
        if (answers[c].state != ContactAnswer::State::open &&
            ground_part(rule, stand.body().middle.place[c].head<2>()) == GroundPart::arch)
            sum += upward(stand, contacts[c], answers[c]);
    return sum;
}

}  // namespace archwright::flex
