#include "engine/scan/side_cues.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace archwright::scan {
namespace {

// All lengths in nominal mm (a 260 mm foot).

/// Lowest sample near (x, y) in plan, or nothing where there is none.
std::optional<double> lowest_near(const Plan& plan, double x, double y, double half_x, double half_y) {
    double lowest = 1e300;
    for (const Vec3& p : plan.position)
        if (std::abs(p.x() - x) < half_x && std::abs(p.y() - y) < half_y) lowest = std::min(lowest, p.z());
    if (lowest > 1e299) return std::nullopt;
    return lowest;
}

/// The sole stands higher 14 mm inside the medial border than inside the lateral one.
Cue arch(const Plan& plan) {
    Cue cue{.name = "arch height", .unit = "mm", .weight = 1.5};
    constexpr double inside = 14.0;
    double sum = 0.0;
    int count = 0;
    for (double t = 0.36; t < 0.595; t += 0.03) {
        const double x = t * nominal_length;
        const int k = plan.outline.at(x);
        if (!plan.outline.has(k) || plan.outline.width(k) < 2.5 * inside) continue;
        const auto left =
            lowest_near(plan, x, plan.outline.left[static_cast<std::size_t>(k)] - inside, 3.5, 4.0);
        const auto right =
            lowest_near(plan, x, plan.outline.right[static_cast<std::size_t>(k)] + inside, 3.5, 4.0);
        if (!left || !right) continue;
        sum += *left - *right;
        ++count;
    }
    if (count < 3) return cue;
    cue.applies = true;
    cue.value = sum / count;
    cue.vote = cue.value / 5.0;
    return cue;
}

/// The medial toes reach farther than the lateral ones.
Cue front(const Plan& plan) {
    Cue cue{.name = "front outline", .unit = "mm"};
    if (plan.toes_cut) return cue;
    double middle = 0.0, width = 0.0;
    int count = 0;
    for (int k = 0; k < Outline::stations; ++k) {
        const double t = Plan::share(plan.outline.x(k));
        if (t < 0.7 || t > 0.8 || !plan.outline.has(k)) continue;
        middle += plan.outline.middle(k);
        width += plan.outline.width(k);
        ++count;
    }
    if (count == 0) return cue;
    middle /= count;
    width /= count;
    double left = -1e300, right = -1e300;
    for (const Vec3& p : plan.position) {
        if (p.z() > 35.0) continue;
        if (p.y() > middle + 0.22 * width) left = std::max(left, p.x());
        if (p.y() < middle - 0.22 * width) right = std::max(right, p.x());
    }
    if (left < 0.0 || right < 0.0) return cue;
    cue.applies = true;
    cue.value = left - right;
    cue.vote = cue.value / 18.0;
    return cue;
}

/// The ridge of the back of the foot runs on the medial side of the middle.
Cue ridge(const Plan& plan) {
    Cue cue{.name = "dorsal ridge", .unit = "mm"};
    double sum = 0.0;
    int count = 0;
    for (double t = 0.5; t < 0.715; t += 0.04) {
        const int k = plan.outline.at(t * nominal_length);
        if (!plan.outline.has(k)) continue;
        std::vector<double> heights;
        bool covered = false;  // something high over the middle of the width: there is a back of the foot
        for (const Vec3& p : plan.position) {
            if (std::abs(Plan::share(p.x()) - t) > 0.02) continue;
            heights.push_back(p.z());
            covered = covered || (p.z() > 25.0 &&
                                  std::abs(p.y() - plan.outline.middle(k)) < 0.15 * plan.outline.width(k));
        }
        if (!covered || heights.size() < 25) continue;
        const auto at = static_cast<std::ptrdiff_t>(0.96 * static_cast<double>(heights.size()));
        std::nth_element(heights.begin(), heights.begin() + at, heights.end());
        const double high = heights[static_cast<std::size_t>(at)];
        double y = 0.0;
        int n = 0;
        for (const Vec3& p : plan.position)
            if (std::abs(Plan::share(p.x()) - t) <= 0.02 && p.z() >= high) {
                y += p.y();
                ++n;
            }
        sum += y / n - plan.outline.middle(k);
        ++count;
    }
    if (count < 3) return cue;
    cue.applies = true;
    cue.value = sum / count;
    cue.vote = cue.value / 8.0;
    return cue;
}

/// The widest place of the medial border (1st head) lies ahead of that of the lateral border (5th head).
Cue heads(const Plan& plan) {
    Cue cue{.name = "widest places", .unit = "mm", .weight = 0.5};
    double most_left = -1e300, most_right = 1e300, left_x = 0.0, right_x = 0.0;
    for (int k = 0; k < Outline::stations; ++k) {
        const double t = Plan::share(plan.outline.x(k));
        if (t < 0.58 || t > 0.8 || !plan.outline.has(k)) continue;
        if (plan.outline.left[static_cast<std::size_t>(k)] > most_left) {
            most_left = plan.outline.left[static_cast<std::size_t>(k)];
            left_x = plan.outline.x(k);
        }
        if (plan.outline.right[static_cast<std::size_t>(k)] < most_right) {
            most_right = plan.outline.right[static_cast<std::size_t>(k)];
            right_x = plan.outline.x(k);
        }
    }
    if (most_left < most_right) return cue;
    cue.applies = true;
    cue.value = left_x - right_x;
    cue.vote = cue.value / 20.0;
    return cue;
}

/// The medial border is hollowed behind the ball more than the lateral one.
Cue waist(const Plan& plan) {
    Cue cue{.name = "waist", .unit = "mm", .weight = 0.5};
    const auto hollow = [&](double sign) {
        double heel = -1e300, ball = -1e300, heel_x = 0.0, ball_x = 0.0;
        const auto border = [&](int k) {
            return sign * (sign > 0.0 ? plan.outline.left[static_cast<std::size_t>(k)]
                                      : plan.outline.right[static_cast<std::size_t>(k)]);
        };
        for (int k = 0; k < Outline::stations; ++k) {
            if (!plan.outline.has(k)) continue;
            const double t = Plan::share(plan.outline.x(k));
            if (t > 0.05 && t < 0.3 && border(k) > heel) {
                heel = border(k);
                heel_x = plan.outline.x(k);
            }
            if (t > 0.55 && t < 0.8 && border(k) > ball) {
                ball = border(k);
                ball_x = plan.outline.x(k);
            }
        }
        double deepest = 0.0;
        for (int k = 0; k < Outline::stations; ++k) {
            if (!plan.outline.has(k)) continue;
            const double x = plan.outline.x(k);
            if (x <= heel_x || x >= ball_x) continue;
            const double chord = heel + (ball - heel) * (x - heel_x) / (ball_x - heel_x);
            deepest = std::max(deepest, chord - border(k));
        }
        return deepest;
    };
    cue.applies = true;
    cue.value = hollow(1.0) - hollow(-1.0);
    cue.vote = cue.value / 8.0;
    return cue;
}

}  // namespace

std::vector<Cue> side_cues(const Plan& plan, double mm) {
    std::vector<Cue> cues{arch(plan), front(plan), ridge(plan), heads(plan), waist(plan)};
    for (Cue& cue : cues) {
        cue.value *= mm;
        cue.vote = std::clamp(cue.vote, -1.0, 1.0);
    }
    return cues;
}

bool lateral_toes_missing(const Plan& plan, Side side, const std::vector<Vec3>& rim) {
    if (plan.toes_cut) return false;
    const double lateral = side == Side::right ? -1.0 : 1.0;
    // the rim runs low across the lateral third of the forefoot, well behind the front
    int crossing = 0;
    for (const Vec3& p : rim) {
        const double t = Plan::share(p.x());
        if (t < 0.6 || t > 0.9 || p.z() > 10.0) continue;
        const int k = plan.outline.at(std::min(p.x(), 0.7 * nominal_length));
        if (plan.outline.has(k) &&
            lateral * (p.y() - plan.outline.middle(k)) > 0.15 * plan.outline.width(k) &&
            lateral * (p.y() - plan.outline.middle(k)) < 0.42 * plan.outline.width(k))
            ++crossing;
    }
    return crossing >= 3;
}

}  // namespace archwright::scan
