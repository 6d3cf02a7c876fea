#include "engine/flex/bench.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/flex/bench_load.hpp"
#include "engine/flex/contact.hpp"
#include "engine/flex/middle.hpp"
#include "engine/flex/stress.hpp"
#include "engine/foot/rest.hpp"

namespace archwright::flex {

namespace {

constexpr double held_heel_mm = 18.0;
/// Of the load under which the shell settles (our choice: enough to close the contact, little enough to be
/// called initial).
constexpr double preload_share = 0.05;
constexpr std::array<double, 4> load_steps{2.0 * preload_share, 0.25, 0.5, 1.0};
/// Distal part of the ground's answer behind the distal edge, and the heel's of the way to the heads.
constexpr double distal_part_mm = 30.0, heel_part = 0.3;
/// Elements of the shell on which a start is found, and of those that tell how an answer moves.
constexpr double start_element_mm = 9.0, variation_element_mm = 6.0;
constexpr double variation_mm = 2.0;

Fault bench_fault(LoadCase load, const std::string& what) {
    return Fault{FaultKind::input, "flex", std::string(title(load)) + ": " + what, std::nullopt};
}

/// The shell, where things are on it, and its load.
struct Stand {
    Middle middle;
    ContactProblem problem;
    BenchLoad load;
    std::vector<char> distal;  ///< points of the distal edge

    void set_load(double force) { problem.load_case.load = load.forces(force); }
    double deflection(const Eigen::VectorXd& u) const { return load.deflection(u); }
};

/// Every place that may touch, over the plane the shell rests on under its load.
Outcome<Done> lay_down(LoadCase load, const BenchSupport& support, Stand& stand) {
    const Middle& middle = stand.middle;
    const auto rest = foot::rest_under(middle.place, stand.load.at);
    if (!rest) return bench_fault(load, "the load does not stand between the places the shell rests on.");
    std::vector<double> plan(middle.place.size(), 0.0);
    for (const Triangle& t : middle.model.triangles) {
        const Vec3 a = middle.model.points[t[1]] - middle.model.points[t[0]];
        const Vec3 b = middle.model.points[t[2]] - middle.model.points[t[0]];
        for (const std::int32_t corner : t) plan[corner] += std::abs(a.cross(b).dot(rest->normal)) / 6.0;
    }
    for (std::size_t p = 0; p < middle.place.size(); ++p) {
        Contact contact;
        contact.point = static_cast<int>(p);
        contact.arm = middle.place[p] - middle.model.points[p];
        contact.normal = rest->normal;
        contact.gap_mm = rest->normal.dot(middle.place[p] - rest->contacts[0]);
        contact.friction = support.friction;
        contact.bed_n_mm = support.bed_n_mm3 > 0.0 ? support.bed_n_mm3 * std::max(plan[p], 1e-6) : 0.0;
        stand.problem.contacts.push_back(contact);
    }
    return Done{};
}

Outcome<Stand> set_up(const BenchSubject& subject, LoadCase load, const BenchSupport& support,
                      const Vec2& moved, double element_mm) {
    Stand stand;
    auto middle = middle_of(*subject.shell, subject.stuck_posts, element_mm);
    if (!middle) return middle.fault();
    stand.middle = std::move(*middle);
    stand.middle.model.lamina = subject.lamina;
    stand.load = place_load(*subject.rule, stand.middle.model, load, moved);
    if (stand.load.shares.empty()) return bench_fault(load, "the load lies beside the shell.");
    const Model& model = stand.middle.model;
    stand.problem.model = model;
    stand.problem.load_case.load = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(model.points.size()));
    const Vec2 heel = subject.rule->heel_centre.head<2>();
    std::size_t located = 0;
    double edge = 0.0;
    for (std::size_t p = 0; p < model.points.size(); ++p) {
        const Vec2 plan = model.points[p].head<2>();
        if ((plan - heel).norm() < (model.points[located].head<2>() - heel).norm()) located = p;
        stand.distal.push_back(behind_distal(*subject.rule, plan) < distal_edge_mm);
        edge += stand.distal.back();
    }
    const auto hold = [&](std::size_t point, std::initializer_list<int> components) {
        for (const int component : components)
            stand.problem.load_case.supports.push_back({static_cast<int>(point), component, 0.0});
    };
    if (!on_ground(load)) {
        for (std::size_t p = 0; p < model.points.size(); ++p)
            if ((model.points[p].head<2>() - heel).norm() < held_heel_mm) hold(p, {0, 1, 2, 3, 4, 5});
        return stand;
    }
    hold(located, {0, 1, 5});
    if (support.distal_spring_n_mm > 0.0 && edge > 0.0)
        for (std::size_t p = 0; p < model.points.size(); ++p)
            if (stand.distal[p]) {
                PointStiffness spring{static_cast<int>(p), Mat6::Zero()};
                spring.block(0, 0) = spring.block(1, 1) = support.distal_spring_n_mm / edge;
                stand.problem.load_case.springs.push_back(spring);
            }
    if (const auto lies = lay_down(load, support, stand); !lies) return lies.fault();
    return stand;
}

/// Settles under the preload and takes the load up in steps.
struct Course {
    std::vector<BenchPoint> points;  ///< deflections not yet counted from the first
    ContactResult last;
};

Outcome<Course> take_up(Stand& stand, LoadCase load_case, double load, bool all_steps,
                        const ContactStart& begin, Progress* progress) {
    Course course;
    std::vector<double> shares{preload_share};
    if (all_steps)
        shares.insert(shares.end(), load_steps.begin(), load_steps.end());
    else
        shares.push_back(1.0);
    if (!on_ground(load_case)) {  // linear: one answer tells all
        stand.set_load(load);
        auto solved = solve_linear(stand.problem.model, stand.problem.load_case, progress);
        if (!solved) return solved.fault();
        const double whole = stand.deflection(solved->displacement);
        shares.front() = 0.0;  // nothing to settle on
        for (const double share : shares) course.points.push_back({share * load, share * whole});
        course.last.displacement = std::move(solved->displacement);
        return course;
    }
    ContactStart start = begin;
    for (const double share : shares) {
        stand.set_load(share * load);
        auto solved = solve_contact(stand.problem, start, progress);
        if (!solved) {
            Fault named = bench_fault(load_case, solved.fault().message);
            named.kind = solved.fault().kind;
            return named;
        }
        course.points.push_back({share * load, stand.deflection(solved->displacement)});
        start = {solved->displacement, {}, solved->anchors};
        for (const ContactAnswer& answer : solved->contacts)
            start.touching.push_back(answer.state != ContactAnswer::State::open);
        course.last = std::move(*solved);
    }
    return course;
}

/// Secant from the settled state to the whole load.
double secant(const Course& course) {
    const BenchPoint &first = course.points.front(), &last = course.points.back();
    return (last.load - first.load) / (last.deflection - first.deflection);
}

Outcome<double> stiffness_of(const BenchSubject& subject, LoadCase load_case, const BenchSupport& support,
                             const Vec2& moved, double load, Progress* progress) {
    auto stand = set_up(subject, load_case, support, moved, variation_element_mm);
    if (!stand) return stand.fault();
    const auto course = take_up(*stand, load_case, load, false, {}, progress);
    if (!course) return course.fault();
    return secant(*course);
}

void tell_stress(const BenchSubject& subject, BenchResult& result) {
    const std::vector<ElementStress> found = stresses(result.model, result.displacement);
    for (std::size_t t = 0; t < found.size(); ++t) {
        Vec3 at = Vec3::Zero();
        for (const std::int32_t corner : result.model.triangles[t]) at += result.model.points[corner] / 3.0;
        const auto keep = [&](const FaceStress& face, BenchStress& most) {
            if (face.von_mises() > most.mpa)
                most = {face.von_mises(), at, face.von_mises() / subject.strength_mpa};
        };
        keep(found[t].foot_side, result.foot_side);
        keep(found[t].underside, result.underside);
    }
}

void tell_ground(const BenchSubject& subject, const Stand& stand, const ContactResult& last,
                 BenchResult& result) {
    const surface::TrimRule& rule = *subject.rule;
    const double heads = 0.5 * (rule.first_head.x() + rule.fifth_head.x()) - rule.heel_centre.x();
    for (std::size_t c = 0; c < last.contacts.size(); ++c) {
        const ContactAnswer& answer = last.contacts[c];
        if (answer.state == ContactAnswer::State::open) continue;
        const Vec2 plan = stand.middle.place[c].head<2>();
        const Vec3 force = answer.normal_n * stand.problem.contacts[c].normal + answer.friction_n;
        const bool distal = behind_distal(rule, plan) < distal_part_mm;
        const bool heel = (plan.x() - rule.heel_centre.x()) / heads < heel_part;
        (distal ? result.distal_n : heel ? result.heel_n : result.midfoot_n) += force.z();
        result.midfoot_down = result.midfoot_down || (!distal && !heel);
        result.slides = result.slides || answer.state == ContactAnswer::State::slides;
    }
}

Outcome<Done> tell_variations(const BenchSubject& subject, LoadCase load_case, const BenchSetting& setting,
                              double load, BenchResult& result, Progress* progress) {
    const auto base = stiffness_of(subject, load_case, setting.support, setting.moved, load, progress);
    if (!base) return base.fault();
    struct Try {
        std::string what;
        Vec2 moved;
        BenchSupport support;
        bool of_support;
    };
    std::vector<Try> tries;
    const auto move = [&](const std::string& way, double x, double y) {
        tries.push_back({rounded(variation_mm, 0) + " mm " + way, setting.moved + variation_mm * Vec2(x, y),
                         setting.support, false});
    };
    move("forward", 1, 0);
    move("back", -1, 0);
    move("medially", 0, 1);
    move("laterally", 0, -1);
    if (on_ground(load_case)) {
        const auto other = [&](const std::string& what, double friction, double spring, double bed) {
            tries.push_back({what, setting.moved, {friction, spring, bed}, true});
        };
        other("no friction", 0.0, 0.0, 0.0);
        other("friction 0.6", 0.6, 0.0, 0.0);
        other("distal edge held in plane by 50 N/mm", setting.support.friction, 50.0, 0.0);
        other("a bed of 1 N/mm3", setting.support.friction, 0.0, 1.0);
    }
    for (const Try& one : tries) {
        const auto moved = stiffness_of(subject, load_case, one.support, one.moved, load, progress);
        if (!moved && moved.fault().kind == FaultKind::cancelled) return moved.fault();
        if (moved) result.variations.push_back({one.what, *moved / *base - 1.0, one.of_support});
    }
    return Done{};
}

}  // namespace

Outcome<BenchResult> run_bench(const BenchSubject& subject, LoadCase load_case, const BenchSetting& setting,
                               Progress* progress) {
    const double load = setting.load ? *setting.load : own_load(load_case, subject.body_mass_kg);
    if (!(load > 0.0) || !std::isfinite(load) || load > 1e5)
        return bench_fault(load_case, "a load of " + exact(load) + " is none: choose above 0, up to 100000.");
    if (!(subject.strength_mpa > 0.0)) return bench_fault(load_case, "the material has no strength.");
    // one name for all of its solutions
    std::optional<Progress::Stretch> named;
    if (progress != nullptr) named.emplace(*progress, title(load_case), 0.0, 1.0);
    auto stand = set_up(subject, load_case, setting.support, setting.moved, setting.element_mm);
    if (!stand) return stand.fault();
    ContactStart begin;
    if (on_ground(load_case) && setting.element_mm < start_element_mm) {
        auto rough = set_up(subject, load_case, setting.support, setting.moved, start_element_mm);
        if (!rough) return rough.fault();
        rough->set_load(preload_share * load);
        const auto solved = solve_contact(rough->problem, {}, progress);
        if (!solved && solved.fault().kind == FaultKind::cancelled) return solved.fault();
        if (solved) begin = start_from(rough->problem, *solved, stand->problem);
    }
    auto course = take_up(*stand, load_case, load, true, begin, progress);
    if (!course) return course.fault();

    BenchResult result;
    result.load_case = load_case;
    result.load = load;
    result.load_at = stand->load.at;
    result.preload = course->points[0].load;
    result.settled_mm = course->points[0].deflection;
    result.curve = course->points;
    for (BenchPoint& point : result.curve) point.deflection -= result.settled_mm;
    result.gives = result.curve.back().deflection >= least_deflection;
    if (result.gives) {
        result.initial_stiffness = (result.curve[1].load - result.preload) / result.curve[1].deflection;
        result.stiffness = secant(*course);
    }
    result.model = stand->problem.model;
    result.displacement = course->last.displacement;
    tell_ground(subject, *stand, course->last, result);
    tell_stress(subject, result);
    if (setting.sensitivity && result.gives)
        if (const auto told = tell_variations(subject, load_case, setting, load, result, progress); !told)
            return told.fault();
    return result;
}

}  // namespace archwright::flex
