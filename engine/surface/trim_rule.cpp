#include "engine/surface/trim_rule.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace archwright::surface {

namespace {

double smooth_step(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3.0 - 2.0 * t);
}

// Monotone piecewise cubic through four knots (F. N. Fritsch and R. E. Carlson 1980), flat at the first.
double monotone(const std::array<double, 4>& x, const std::array<double, 4>& y, double t) {
    if (t <= x[0]) return y[0];
    if (t >= x[3]) return y[3];
    std::array<double, 3> secant;
    for (std::size_t i = 0; i < 3; ++i) secant[i] = (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
    std::array<double, 4> slope{};
    for (std::size_t i = 1; i < 3; ++i) {
        if (secant[i - 1] * secant[i] <= 0.0) continue;
        const double h0 = x[i] - x[i - 1], h1 = x[i + 1] - x[i];
        const double a = 2.0 * h1 + h0, b = h1 + 2.0 * h0;
        slope[i] = (a + b) / (a / secant[i - 1] + b / secant[i]);
    }
    slope[3] = secant[2];
    const std::size_t i = t < x[1] ? 0 : t < x[2] ? 1 : 2;
    const double h = x[i + 1] - x[i], s = (t - x[i]) / h, r = 1.0 - s;
    return r * r * (1.0 + 2.0 * s) * y[i] + s * s * (3.0 - 2.0 * s) * y[i + 1] + h * s * r * r * slope[i] -
           h * s * s * r * slope[i + 1];
}

struct SoleEdge {
    double x1, x5, y1, y5;
};

SoleEdge distal_ends(const TrimRule& rule) {
    return {rule.first_head.x() - rule.distal_first_mm, rule.fifth_head.x() - rule.distal_fifth_mm,
            rule.first_head.y(), rule.fifth_head.y()};
}

constexpr double kernel_breadth = 0.2;  // in stations: about 30 mm of the trim line

// Wendland's C2 function for one dimension (H. Wendland 1995): positive definite.
double kernel(double distance) {
    const double r = std::abs(distance) / kernel_breadth;
    if (r >= 1.0) return 0.0;
    const double q = 1.0 - r;
    return q * q * q * (3.0 * r + 1.0);
}

}  // namespace

double CutoutSide::back(double y) const {
    const double half = 0.5 * (to_y - from_y), t = y - 0.5 * (from_y + to_y);
    if (t > 0.0) {  // the side is the same from both ends
        if (t >= half) return length;
        const double u = half - t, arc = radius * std::sin(turn);
        return length - (u < arc ? radius - std::sqrt(radius * radius - u * u)
                                 : radius * (1.0 - std::cos(turn)) + (u - arc) * std::tan(turn));
    }
    if (t <= -half) return 0.0;
    const double u = half + t, arc = radius * std::sin(turn);
    return u < arc ? radius - std::sqrt(radius * radius - u * u)
                   : radius * (1.0 - std::cos(turn)) + (u - arc) * std::tan(turn);
}

double CutoutSide::slope(double y) const {
    const double half = 0.5 * (to_y - from_y), t = std::abs(y - 0.5 * (from_y + to_y));
    if (t >= half) return 0.0;
    const double u = half - t, arc = radius * std::sin(turn);
    return u < arc ? u / std::sqrt(radius * radius - u * u) : std::tan(turn);
}

std::optional<CutoutSide> cutout_side(const TrimRule& rule) {
    const FirstRayCutout& asked = rule.first_ray_cutout;
    if (!(asked.length_mm > 0.0)) return std::nullopt;
    constexpr double steepest = 72.0 * std::numbers::pi / 180.0;  // a side that never overhangs in plan
    CutoutSide side;
    side.length = asked.length_mm;
    side.radius = asked.radius_mm;
    const double by_arcs = 2.0 * side.radius * (1.0 - std::cos(steepest));
    double half = side.radius * std::sin(steepest);
    side.turn = steepest;
    if (side.length >= by_arcs) {
        half += 0.5 * (side.length - by_arcs) / std::tan(steepest);
    } else {
        side.turn = std::acos(1.0 - 0.5 * side.length / side.radius);
        half = side.radius * std::sin(side.turn);
    }
    constexpr double first_ray = 0.27;  // of the breadth at the heads, on generated feet (our choice)
    const double middle = rule.first_head.y() -
                          asked.width_mm.value_or(first_ray * (rule.first_head.y() - rule.fifth_head.y()));
    side.from_y = middle - half;
    side.to_y = middle + half;
    return side;
}

double scallop_station(const TrimRule& rule) {
    constexpr double fifth_base = 0.62;  // where no landmark says it (our choice)
    return rule.lateral_scallop.station.value_or(fifth_base);
}

double distal_edge_x(const TrimRule& rule, double y) {
    const SoleEdge e = distal_ends(rule);
    const double t = (y - e.y5) / (e.y1 - e.y5);
    const double straight = e.x5 + t * (e.x1 - e.x5);
    const double bow = t < 0.0 ? 4.0 * t : t > 1.0 ? 4.0 * (1.0 - t) : 4.0 * t * (1.0 - t);
    const auto side = cutout_side(rule);
    return straight + rule.distal_bow_mm * bow - (side ? side->back(y) : 0.0);
}

double distal_edge_slope(const TrimRule& rule, double y) {
    const SoleEdge e = distal_ends(rule);
    const double width = e.y1 - e.y5, t = std::clamp((y - e.y5) / width, 0.0, 1.0);
    const auto side = cutout_side(rule);
    return (e.x1 - e.x5 + rule.distal_bow_mm * 4.0 * (1.0 - 2.0 * t)) / width - (side ? side->slope(y) : 0.0);
}

double axis_y(const TrimRule& rule, double x) {
    const Vec3 heads = 0.5 * (rule.first_head + rule.fifth_head);
    const double t = (x - rule.heel_centre.x()) / std::max(1.0, heads.x() - rule.heel_centre.x());
    return rule.heel_centre.y() + t * (heads.y() - rule.heel_centre.y());
}

double heel_half_width(const TrimRule& rule) {
    constexpr double share = 0.36;  // heel breadth is 0.72 of the forefoot's (ANSUR II, 2012)
    return rule.heel_half_width_mm > 0.0 ? rule.heel_half_width_mm
                                         : share * (rule.first_head.y() - rule.fifth_head.y());
}

double border_reach(const TrimRule& rule, double x, bool medial) {
    const Vec3& head = medial ? rule.first_head : rule.fifth_head;
    const double heel_half = heel_half_width(rule);
    const double head_half = std::abs(head.y() - axis_y(rule, head.x()));
    const double t =
        std::clamp((x - rule.heel_centre.x()) / std::max(1.0, head.x() - rule.heel_centre.x()), 0.0, 1.0);
    return heel_half + t * (head_half - heel_half);
}

double least_reach(const TrimRule& rule, double x, bool medial) {
    constexpr double way = 0.8;
    return way * border_reach(rule, x, medial);
}

double rule_height(const TrimRule& rule, double station, bool medial) {
    const double cup = medial ? rule.cup_medial_mm : rule.cup_lateral_mm;
    if (station < heel_station)
        return rule.cup_posterior_mm + (cup - rule.cup_posterior_mm) * smooth_step(station / heel_station);
    const double middle = medial ? rule.medial_flange_mm : rule.lateral_border_mm;
    // Past the middle the height first falls steeply, then runs out along the border.
    constexpr double run_out = 0.3;
    const double height =
        monotone({heel_station, arch_station, 0.88, 1.0},
                 {cup, middle, rule.distal_height_mm + run_out * (middle - rule.distal_height_mm),
                  rule.distal_height_mm},
                 station);
    const LateralFlange& flange = rule.lateral_flange;
    if (medial || !(flange.height_mm > 0.0)) return height;
    constexpr double beyond = 0.15;  // in stations: the flange comes back to the rule over this
    const double share = smooth_step((station - flange.from) / beyond + 1.0) *
                         smooth_step((flange.to - station) / beyond + 1.0);
    return height + share * (flange.height_mm - height);
}

double cup_share(double station) {
    constexpr double past_heel = 0.15;
    return 1.0 - smooth_step((station - heel_station) / past_heel);
}

double station_of_x(const TrimRule& rule, double x, bool medial) {
    const double from = rule.heel_centre.x();
    const double to = distal_edge_x(rule, medial ? rule.first_head.y() : rule.fifth_head.y());
    return heel_station + (1.0 - heel_station) * (x - from) / std::max(1.0, to - from);
}

TrimShift::TrimShift(const TrimRule& rule)
    : width_(rule.width_allowance_mm),
      scallop_(rule.lateral_scallop.depth_mm),
      scallop_at_(scallop_station(rule)),
      scallop_half_(0.5 * (station_of_x(rule, rule.lateral_scallop.length_mm, false) -
                           station_of_x(rule, 0.0, false))) {
    std::vector<std::pair<double, double>> sorted;
    for (const TrimControl& c : rule.controls) {
        const double station = std::clamp(c.station, 0.0, 1.0);
        sorted.emplace_back(c.medial ? station : -station, c.offset_mm);
    }
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    // controls closer than this are one control: the later word wins, and the system stays well conditioned
    constexpr double apart = 0.01;
    std::vector<double> offset;
    for (const auto& [place, value] : sorted) {
        if (!place_.empty() && place - place_.back() < apart) {
            offset.back() = value;
            continue;
        }
        place_.push_back(place);
        offset.push_back(value);
    }
    const Eigen::Index n = static_cast<Eigen::Index>(place_.size());
    if (n == 0) return;
    Eigen::MatrixXd matrix(n, n);
    for (Eigen::Index i = 0; i < n; ++i)
        for (Eigen::Index j = 0; j < n; ++j)
            matrix(i, j) = kernel(place_[static_cast<std::size_t>(i)] - place_[static_cast<std::size_t>(j)]);
    const Eigen::VectorXd solved = matrix.ldlt().solve(Eigen::Map<Eigen::VectorXd>(offset.data(), n));
    weight_.assign(solved.data(), solved.data() + n);
}

double TrimShift::at(double station, bool medial) const {
    const double place = medial ? station : -station;
    double sum = width_ * smooth_step((station - arch_station) / 0.3);
    for (std::size_t k = 0; k < place_.size(); ++k) sum += weight_[k] * kernel(place - place_[k]);
    const double r = (station - scallop_at_) / scallop_half_;
    if (!medial && std::abs(r) < 1.0) {
        const double q = 1.0 - r * r;
        sum -= scallop_ * q * q * q;
    }
    return sum;
}

}  // namespace archwright::surface
