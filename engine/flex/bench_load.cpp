#include "engine/flex/bench_load.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/flex/footprint.hpp"
#include "engine/flex/stiffness.hpp"

namespace archwright::flex {

namespace {

constexpr double gravity_m_s2 = 9.80665;
/// Share of the body's weight on the medial arch of custom devices, mean of a published sample (14.9 %,
/// sd 7.5).
constexpr double arch_share = 0.149;
/// Shares of the weight under a standing foot, heel and midfoot (from memory, not confirmed).
constexpr double heel_share = 0.60, midfoot_share = 0.08;
constexpr double arch_disc_mm = 15.0, heel_disc_mm = 20.0;
/// Where the apex of the arch is looked for, of the way from heel to heads, and the breadth of its parabola.
constexpr double apex_from = 0.3, apex_to = 0.85, apex_fit_mm = 20.0;
constexpr double lift_n = 10.0, torsion_n_mm = 500.0;

Vec2 mean_place(const Model& model, const std::vector<double>& shares) {
    Vec2 mean = Vec2::Zero();
    for (std::size_t p = 0; p < shares.size(); ++p) mean += shares[p] * model.points[p].head<2>();
    return mean;
}

}  // namespace

bool on_ground(LoadCase load) {
    return load == LoadCase::arch_press || load == LoadCase::heel_pressure || load == LoadCase::body_weight;
}

double behind_distal(const surface::TrimRule& rule, const Vec2& plan) {
    return surface::distal_edge_x(rule, plan.y()) - plan.x();
}

BenchLoad place_load(const surface::TrimRule& rule, const Model& model, LoadCase load, const Vec2& moved) {
    BenchLoad placed;
    const Vec2 heel = rule.heel_centre.head<2>() + moved;
    const auto distal = [&](const Vec2& plan) { return behind_distal(rule, plan - moved) < distal_edge_mm; };
    switch (load) {
        case LoadCase::arch_press:
            placed.shares = disc(model, arch_apex(model, rule) + moved, arch_disc_mm);
            break;
        case LoadCase::heel_pressure:
            placed.shares = disc(model, heel, heel_disc_mm);
            break;
        case LoadCase::body_weight: {
            const double heads = 0.5 * (rule.first_head.x() + rule.fifth_head.x()) - rule.heel_centre.x();
            const std::vector<double> back = disc(model, heel, heel_disc_mm);
            const std::vector<double> side = footprint(model, [&](const Vec2& plan) {
                const double way = (plan.x() - moved.x() - rule.heel_centre.x()) / heads;
                return way > 0.35 && way < 0.75 && plan.y() < surface::axis_y(rule, plan.x());
            });
            if (back.empty() || side.empty()) return placed;
            const double whole = heel_share + midfoot_share;
            for (std::size_t p = 0; p < back.size(); ++p)
                placed.shares.push_back((heel_share * back[p] + midfoot_share * side[p]) / whole);
            break;
        }
        case LoadCase::forefoot_lift:
            placed.sign = 1.0;
            placed.shares = footprint(model, distal);
            break;
        case LoadCase::torsion: {
            const auto half = [&](bool medial) {
                return footprint(model, [&](const Vec2& plan) {
                    return distal(plan) && (plan.y() > surface::axis_y(rule, plan.x())) == medial;
                });
            };
            placed.shares = half(true);
            placed.other = half(false);
            if (placed.shares.empty() || placed.other.empty()) {
                placed.shares.clear();
                return placed;
            }
            placed.arm_mm = mean_place(model, placed.shares).y() - mean_place(model, placed.other).y();
            break;
        }
    }
    if (!placed.shares.empty()) placed.at = mean_place(model, placed.shares);
    return placed;
}

Eigen::VectorXd BenchLoad::forces(double load) const {
    Eigen::VectorXd forces = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(shares.size()));
    for (std::size_t p = 0; p < shares.size(); ++p)
        forces.segment<3>(6 * static_cast<Eigen::Index>(p)) =
            (other.empty() ? sign * load * shares[p] : load / arm_mm * (shares[p] - other[p])) * up;
    return forces;
}

double BenchLoad::deflection(const Eigen::VectorXd& u) const {
    const auto mean = [&](const std::vector<double>& weights) {
        double sum = 0.0;
        for (int c = 0; c < 3; ++c) sum += up[c] * mean_of(weights, u, c);
        return sum;
    };
    if (other.empty()) return sign * mean(shares);
    return degrees((mean(shares) - mean(other)) / arm_mm);
}

double own_load(LoadCase load_case, double body_mass_kg) {
    const double weight = body_mass_kg * gravity_m_s2;
    switch (load_case) {
        case LoadCase::arch_press:
            return arch_share * weight;
        case LoadCase::heel_pressure:
            return heel_share * weight;
        case LoadCase::body_weight:
            return (heel_share + midfoot_share) * weight;
        case LoadCase::forefoot_lift:
            return lift_n;
        case LoadCase::torsion:
            return torsion_n_mm;
    }
    return 0.0;
}

const char* key(LoadCase load) {
    switch (load) {
        case LoadCase::arch_press:
            return "arch-press";
        case LoadCase::heel_pressure:
            return "heel-pressure";
        case LoadCase::body_weight:
            return "body-weight";
        case LoadCase::forefoot_lift:
            return "forefoot-lift";
        case LoadCase::torsion:
            return "torsion";
    }
    return "";
}

const char* key(Deflections deflections) {
    switch (deflections) {
        case Deflections::automatic:
            return "auto";
        case Deflections::small:
            return "small";
        case Deflections::large:
            return "large";
    }
    return "";
}

const char* title(LoadCase load) {
    switch (load) {
        case LoadCase::arch_press:
            return "Arch press";
        case LoadCase::heel_pressure:
            return "Heel pressure";
        case LoadCase::body_weight:
            return "Body weight";
        case LoadCase::forefoot_lift:
            return "Forefoot lift";
        case LoadCase::torsion:
            return "Torsion";
    }
    return "";
}

LoadUnits units(LoadCase load) {
    if (load == LoadCase::torsion) return {"N mm", "degrees", "N mm a degree"};
    return {"N", "mm", "N/mm"};
}

std::string bench_figure(double value) {
    const double size = std::abs(value);
    return rounded(value, size >= 100.0 ? 0 : size >= 10.0 ? 1 : size >= 1.0 ? 2 : 3);
}

Vec2 arch_apex(const Model& middle, const surface::TrimRule& rule) {
    const double heel = rule.heel_centre.x(), heads = rule.first_head.x() - heel;
    const double low = heel + apex_from * heads, high = heel + apex_to * heads;
    const double y = 0.5 * rule.first_head.y();
    std::vector<Vec2> section;  // x and height where edges of triangles cross it
    for (const Triangle& t : middle.triangles)
        for (int i = 0; i < 3; ++i) {
            const Vec3 &a = middle.points[t[i]], &b = middle.points[t[(i + 1) % 3]];
            if ((a.y() < y) == (b.y() < y)) continue;
            const Vec3 p = a + (y - a.y()) / (b.y() - a.y()) * (b - a);
            if (p.x() > low && p.x() < high) section.emplace_back(p.x(), p.z());
        }
    if (section.empty()) return {0.5 * (low + high), y};
    double x = section.front().x(), z = section.front().y();
    for (const Vec2& at : section)
        if (at.y() > z) {
            x = at.x();
            z = at.y();
        }
    // The top is flat and edges cross it anywhere: the parabola through what lies round it hangs less on the
    // mesh.
    Mat3 squares = Mat3::Zero();
    Vec3 right = Vec3::Zero();
    for (const Vec2& at : section) {
        const double away = (at.x() - x) / apex_fit_mm;
        if (std::abs(away) > 1.0) continue;
        const Vec3 powers(1.0, away, away * away);
        squares += powers * powers.transpose();
        right += (at.y() - z) * powers;
    }
    const Vec3 fit = squares.fullPivLu().solve(right);
    if (fit.allFinite() && fit[2] < 0.0) x += apex_fit_mm * std::clamp(-0.5 * fit[1] / fit[2], -1.0, 1.0);
    return {std::clamp(x, low, high), y};
}

}  // namespace archwright::flex
