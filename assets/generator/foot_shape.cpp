#include "assets/generator/foot_shape.hpp"

#include <algorithm>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/base/text.hpp"

namespace archwright::generator {

Outcome<Done> check(const FootShape& s) {
    struct Range {
        const char* name;
        double value, low, high;
    };
    // The survey's extremes (198 to 323 mm) and, in the same proportions, children down to 110 mm.
    const double l = s.length_mm;
    const Range ranges[] = {
        {"length_mm", l, 110.0, 330.0},
        {"ball_length_mm", s.ball_length_mm, 0.69 * l, 0.79 * l},
        {"forefoot_breadth_mm", s.forefoot_breadth_mm, 0.31 * l, 0.45 * l},
        {"heel_breadth_mm", s.heel_breadth_mm, 0.21 * l, 0.34 * l},
        {"arch_height_mm", s.arch_height_mm, 0.025 * l, 0.15 * l},
        {"forefoot_to_rearfoot_deg", s.forefoot_to_rearfoot_deg, -15.0, 15.0},
        {"heel_bisection_deg", s.heel_bisection_deg, -10.0, 10.0},
        {"instep_height_mm", s.instep_height_mm, 0.22 * l, 0.32 * l},
        {"second_toe_mm", s.second_toe_mm, -0.04 * l, 0.03 * l},
        {"hallux_valgus_deg", s.hallux_valgus_deg, -2.0, 14.0},
        {"fifth_head_back", s.fifth_head_back, 0.07, 0.14},
        {"ankle_height_mm", s.ankle_height_mm, 0.30 * l, 0.50 * l},
        {"toe_web_mm", s.toe_web_mm, 1.0, 12.0},
    };
    for (const Range& r : ranges)
        if (!(r.value >= r.low && r.value <= r.high))
            return Fault{FaultKind::usage,
                         "foot",
                         std::string(r.name) + " is " + exact(r.value) + "; a foot of this length may have " +
                             rounded(r.low, 3) + " to " + rounded(r.high, 3),
                         {}};
    return Done{};
}

const Survey& survey(Population population) {
    static const Survey woman{{226.0, 267.8}, {167.0, 198.0}, {85.0, 101.0}, {60.0, 76.0}};
    static const Survey man{{250.0, 293.0}, {184.0, 218.0}, {94.0, 111.0}, {64.0, 82.0}};
    static const Survey child{{130.0, 225.0}, {95.0, 168.0}, {48.0, 86.0}, {34.0, 62.0}};
    return population == Population::woman ? woman : population == Population::man ? man : child;
}

namespace {

/// Mean and standard deviation of a dimension's share of the foot length (same survey).
struct Ratio {
    double mean, sd;
};

/// A share within two standard deviations whose product stays within the percentiles.
double dimension(Random& random, double length, Ratio ratio, Percentiles within) {
    const double low = std::max(ratio.mean - 2.0 * ratio.sd, within.low / length);
    const double high = std::min(ratio.mean + 2.0 * ratio.sd, within.high / length);
    const double share = std::clamp(ratio.mean + ratio.sd * random.normal(), low, std::max(low, high));
    return share * length;
}

}  // namespace

FootShape random_foot(std::uint64_t seed) {
    return random_foot(seed, Random(seed, 1).uniform() < 0.5 ? Population::woman : Population::man);
}

FootShape random_foot(std::uint64_t seed, Population population) {
    Random random(seed, 2);
    const Survey& of = survey(population);
    const bool man = population == Population::man;
    FootShape s;
    s.side = random.uniform() < 0.5 ? Side::left : Side::right;
    s.length_mm = random.between(of.length_mm.low, of.length_mm.high);
    const double l = s.length_mm;
    s.ball_length_mm =
        dimension(random, l, man ? Ratio{0.7410, 0.0147} : Ratio{0.7392, 0.0134}, of.ball_length_mm);
    s.forefoot_breadth_mm =
        dimension(random, l, man ? Ratio{0.3759, 0.0171} : Ratio{0.3768, 0.0182}, of.forefoot_breadth_mm);
    s.heel_breadth_mm =
        dimension(random, l, man ? Ratio{0.2675, 0.0179} : Ratio{0.2728, 0.0182}, of.heel_breadth_mm);
    s.arch_height_mm = l * random.between(0.045, 0.115);
    s.forefoot_to_rearfoot_deg = std::clamp(3.5 * random.normal(), -8.0, 8.0);
    s.heel_bisection_deg = std::clamp(2.0 * random.normal(), -4.0, 4.0);
    s.instep_height_mm = l * random.between(0.240, 0.275) + 0.15 * (s.arch_height_mm - 0.07 * l);
    s.second_toe_mm = l * random.between(-0.022, 0.012);
    s.hallux_valgus_deg = random.between(2.0, 10.0);
    s.fifth_head_back = random.between(0.090, 0.120);
    s.ankle_height_mm = l * random.between(0.37, 0.43);
    return s;
}

}  // namespace archwright::generator
