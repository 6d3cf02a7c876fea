#include "assets/generator/foot_truth.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "assets/generator/surface_search.hpp"
#include "engine/base/units.hpp"

namespace archwright::generator {

namespace {

/// Greatest value of a unimodal function on [low, high] by golden section; returns its argument.
double greatest(double low, double high, const std::function<double(double)>& f) {
    constexpr double golden = 0.6180339887498949;
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double fa = f(a), fb = f(b);
    while (high - low > 1e-6) {
        if (fa > fb) {
            high = b, b = a, fb = fa;
            a = high - golden * (high - low), fa = f(a);
        } else {
            low = a, a = b, fa = fb;
            b = low + golden * (high - low), fb = f(b);
        }
    }
    return 0.5 * (low + high);
}

class Surveyor {
  public:
    Surveyor(const FootField& field, const FootTruth& before) : field_(field), before_(before) {}

    Outcome<FootTruth> run() {
        const double l = field_.shape().length_mm;
        t_.side = field_.shape().side;
        const auto& heads = field_.heads();
        const char* head_keys[5] = {"first_head_plantar", "second_head_plantar", "third_head_plantar",
                                    "fourth_head_plantar", "fifth_head_plantar"};
        // the 1st and 5th head by their lowest points; those between, which bear on the line of the two, by
        // their lowest points seen across that line
        look(head_keys[0], heads[0], -Vec3::UnitZ());
        look(head_keys[4], heads[4], -Vec3::UnitZ());
        if (!missing_.empty()) return fault();
        const Vec3 line = mark(head_keys[0]) - mark(head_keys[4]);
        const Vec3 down = Vec3(0, line.z(), -line.y()).normalized();
        for (std::size_t i = 1; i < 4; ++i) look(head_keys[i], heads[i], down);
        look("heel_lowest", Vec3(0.01 * l, 0, 0), -Vec3::UnitZ());
        look("posterior_heel", Vec3(-0.16 * l, 0, 0.1 * l), -Vec3::UnitX());
        const double half = 0.15 * field_.shape().forefoot_breadth_mm;
        look("first_head_border", heads[0] + Vec3(0, half, 0.05 * l), Vec3::UnitY());
        look("fifth_head_border", heads[4] + Vec3(0, -half, 0.05 * l), -Vec3::UnitY());
        look_toes();
        if (!missing_.empty()) return fault();

        bisection("bisection_lower", 0.055 * l);
        bisection("bisection_upper", 0.165 * l);
        exit("fifth_base", field_.fifth_base(), -Vec3::UnitY());
        exit("navicular", field_.navicular(), Vec3::UnitY());
        exit("medial_malleolus", field_.medial_malleolus(), Vec3::UnitY());
        exit("lateral_malleolus", field_.lateral_malleolus(), -Vec3::UnitY());
        heel_section();
        arch();
        if (!missing_.empty()) return fault();
        figures();
        return t_;
    }

  private:
    Vec3& mark(const char* key) { return t_.landmarks[key]; }
    void miss(const std::string& key) {
        if (missing_.empty()) missing_ = key;
    }
    Fault fault() const {
        return Fault{FaultKind::input,
                     "foot",
                     "the foot asked for has no " + missing_ +
                         " to be found: its dimensions do not go together; bring them nearer to the survey's",
                     {}};
    }

    void look(const char* key, const Vec3& base, const Vec3& direction) {
        const auto old = before_.landmarks.find(key);
        const auto found =
            extreme(field_, old != before_.landmarks.end() ? old->second : field_.to_design(base), direction);
        if (found)
            mark(key) = *found;
        else
            miss(key);
    }

    /// Longest toe, and the lowest pulp (kept off the supporting plane by the shape, checked by Foot::make).
    void look_toes() {
        std::optional<Vec3> tip;
        for (int i = 0; i < 5; ++i) {
            const Vec3 start = field_.to_design(field_.toe_tip(i)) + Vec3(5, 0, 0);
            const auto found = extreme(field_, start, Vec3::UnitX());
            if (found && (!tip || found->x() > tip->x())) tip = found;
        }
        if (tip)
            mark("toe_tip") = *tip;
        else
            miss("toe_tip");
    }

    /// On the plane that halves the heel, at a height over the base plane.
    void bisection(const char* key, double height) {
        const Vec3 from = field_.to_design(Vec3(-0.05 * field_.shape().length_mm, 0, height));
        along(key, from, -Vec3::UnitX());
    }
    void exit(const char* key, const Bone& bone, const Vec3& direction) {
        along(key, field_.to_design(0.5 * (bone.a + bone.b)), direction);
    }
    void along(const char* key, const Vec3& from, const Vec3& direction) {
        const auto found = ray(field_, from, direction, 0.5 * field_.shape().length_mm);
        if (found)
            mark(key) = *found;
        else
            miss(key);
    }

    /// Width at 0.16 of the measured length from the rearmost point, below 0.15 of the length (the malleoli
    /// are wider); the heel centre is its middle, on the sole.
    void heel_section() {
        const double length = mark("toe_tip").x() - mark("posterior_heel").x();
        const double x = mark("posterior_heel").x() + 0.16 * length;
        const double floor = mark("heel_lowest").z();
        const double edge[2] = {width(x, floor, length, -1.0), width(x, floor, length, 1.0)};
        t_.heel_breadth_mm = edge[1] - edge[0];
        const double y = 0.5 * (edge[0] + edge[1]);
        const auto centre = ray(field_, Vec3(x, y, floor - 20.0), Vec3::UnitZ(), 100.0);
        if (centre)
            mark("heel_centre") = *centre;
        else
            miss("heel_centre");
    }
    double width(double x, double floor, double length, double side) {
        const auto reach = [&](double z) {
            const auto p =
                ray(field_, Vec3(x, mark("heel_lowest").y(), z), side * Vec3::UnitY(), 0.5 * length);
            return p ? side * p->y() : -1e3;
        };
        const double z = greatest(floor + 0.04 * length, floor + 0.15 * length, reach);
        return side * reach(z);
    }

    /// Highest point of the sole in the section y = half of the 1st head's.
    void arch() {
        const double l = field_.shape().length_mm, y = 0.5 * mark("first_head_plantar").y();
        const auto height = [&](double x) {
            const auto p = ray(field_, Vec3(x, y, -0.2 * l), Vec3::UnitZ(), 0.6 * l);
            return p ? p->z() : -1e3;
        };
        const double x = greatest(0.10 * l, 0.46 * l, height);
        mark("arch_apex") = Vec3(x, y, height(x));
    }

    void figures() {
        const Vec3 &m1 = mark("first_head_plantar"), &m5 = mark("fifth_head_plantar");
        const Vec3 &p = mark("bisection_lower"), &q = mark("bisection_upper");
        t_.length_mm = mark("toe_tip").x() - mark("posterior_heel").x();
        t_.ball_length_mm = mark("first_head_border").x() - mark("posterior_heel").x();
        t_.forefoot_breadth_mm = mark("first_head_border").y() - mark("fifth_head_border").y();
        double ground = mark("heel_lowest").z();
        for (const char* key : {"first_head_plantar", "second_head_plantar", "third_head_plantar",
                                "fourth_head_plantar", "fifth_head_plantar"})
            ground = std::min(ground, mark(key).z());
        t_.arch_height_mm = mark("arch_apex").z() - ground;
        t_.metatarsal_plane_deg = degrees(std::atan2(m1.z() - m5.z(), m1.y() - m5.y()));
        t_.heel_bisection_deg = degrees(std::atan2(p.y() - q.y(), q.z() - p.z()));
        t_.forefoot_to_rearfoot_deg = t_.metatarsal_plane_deg - t_.heel_bisection_deg;
    }

    const FootField& field_;
    const FootTruth& before_;
    FootTruth t_;
    std::string missing_;
};

}  // namespace

Outcome<FootTruth> measure(const FootField& field, const FootTruth& before) {
    return Surveyor(field, before).run();
}

}  // namespace archwright::generator
