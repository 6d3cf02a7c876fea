#include "assets/generator/foot.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "assets/generator/foot_field.hpp"
#include "assets/generator/foot_truth.hpp"
#include "assets/generator/random.hpp"
#include "assets/generator/surface_net.hpp"
#include "assets/generator/surface_search.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::generator {

namespace {

/// What is asked has to be measured to this, mm (angles as their rise over the forefoot's breadth).
constexpr double solved_mm = 1e-7;
constexpr int most_rounds = 200;

FootTuning first_guess(const FootShape& s) {
    const double l = s.length_mm;
    FootTuning t{};
    t.heel_radius = 0.5 * s.heel_breadth_mm;
    t.heel_x = -0.16 * l;
    t.ball_x = s.ball_length_mm - 0.16 * l;
    t.arch = 1.25 * s.arch_height_mm;
    t.twist = radians(s.forefoot_to_rearfoot_deg + s.heel_bisection_deg);
    return t;
}

/// Moves each inner parameter by the error of the measure it is tied to; returns the greatest error, mm.
double correct(FootTuning& t, const FootShape& s, const FootTruth& m) {
    const auto at = [&](const char* key) -> const Vec3& { return m.landmarks.at(key); };
    const Vec3 &m1 = at("first_head_plantar"), &m5 = at("fifth_head_plantar"), &heel = at("heel_lowest");
    const double twist = radians(s.forefoot_to_rearfoot_deg - m.forefoot_to_rearfoot_deg);
    double ground = heel.z();
    for (const char* key : {"first_head_plantar", "second_head_plantar", "third_head_plantar",
                            "fourth_head_plantar", "fifth_head_plantar"})
        ground = std::min(ground, at(key).z());
    const std::array<double, 11> error = {
        s.heel_breadth_mm - m.heel_breadth_mm,
        -0.16 * s.length_mm - at("posterior_heel").x(),
        -at("heel_centre").y(),
        -at("second_head_plantar").y(),
        s.ball_length_mm - m.ball_length_mm,
        s.forefoot_breadth_mm - m.forefoot_breadth_mm,
        s.length_mm - m.length_mm,
        s.arch_height_mm - m.arch_height_mm,
        twist * s.forefoot_breadth_mm,
        heel.z() - 0.5 * (m1.z() + m5.z()),
        -ground,
    };
    t.heel_radius += 0.5 * error[0];
    t.heel_x += error[1];
    t.heel_y += error[2];
    t.forefoot_y += error[3];
    t.ball_x += error[4];
    t.breadth_extra += error[5];
    t.toe_reach += error[6];
    t.arch += error[7];
    t.twist += twist;
    t.fore_lift += error[9];
    t.ground += error[10];
    double worst = 0.0;
    for (double e : error) worst = std::max(worst, std::abs(e));
    return worst;
}

}  // namespace

Outcome<Foot> Foot::make(const FootShape& shape) {
    if (const auto sound = check(shape); !sound) return sound.fault();
    FootTuning tuning = first_guess(shape);
    FootTruth truth;
    for (int round = 0; round < most_rounds; ++round) {
        auto field = std::make_shared<FootField>(shape, tuning);
        Outcome<FootTruth> measured = measure(*field, truth);
        if (!measured) return measured.fault();
        truth = std::move(measured).value();
        const double worst = correct(tuning, shape, truth);
        if (worst < solved_mm) {
            field->set_truth(std::move(truth));
            return Foot(std::move(field));
        }
        if (!std::isfinite(worst) || worst > shape.length_mm) break;
    }
    return Fault{
        FaultKind::input,
        "foot",
        "no foot has these dimensions together: the search for one did not settle; bring them nearer "
        "to the survey's",
        {}};
}

namespace {

template <class... Of>
Outcome<Foot> first_that_goes_together(std::uint64_t seed, Of... of) {
    constexpr int draws = 8;
    Outcome<Foot> foot = Foot::make(random_foot(seed, of...));
    for (int k = 1; k < draws && !foot; ++k) foot = Foot::make(random_foot(seed = mix(seed), of...));
    return foot;
}

}  // namespace

Outcome<Foot> Foot::random(std::uint64_t seed) {
    return first_that_goes_together(seed);
}

Outcome<Foot> Foot::random(std::uint64_t seed, Population population) {
    return first_that_goes_together(seed, population);
}

const FootShape& Foot::shape() const {
    return field_->shape();
}
const FootTruth& Foot::truth() const {
    return field_->truth();
}
double Foot::implicit(const Vec3& p) const {
    return (*field_)(p);
}
Vec3 Foot::gradient(const Vec3& p) const {
    return field_->dual(p).gradient();
}
std::optional<Vec3> Foot::project(const Vec3& p) const {
    return generator::project(*field_, p);
}
std::optional<Vec3> Foot::sole(double x, double y) const {
    const double l = shape().length_mm;
    return ray(*field_, Vec3(x, y, -0.2 * l), Vec3::UnitZ(), 0.5 * l);
}
Outcome<TriangleMesh> Foot::mesh(double edge_mm, Progress* progress) const {
    return surface_net(*field_, edge_mm, progress);
}
Outcome<TriangleMesh> Foot::mesh_of(std::size_t triangles, Progress* progress) const {
    // A net has 3 A / h^2 triangles on a surface of all directions; a coarse net says what this one has.
    constexpr double coarse = 2.5;
    if (triangles == 0) return Fault{FaultKind::usage, "mesh", "a cast of no triangles was asked for", {}};
    const Outcome<TriangleMesh> first = surface_net(*field_, coarse, nullptr);
    if (!first) return first.fault();
    const double share = static_cast<double>(first->triangles.size()) / static_cast<double>(triangles);
    return surface_net(*field_, coarse * std::sqrt(share), progress);
}

}  // namespace archwright::generator
