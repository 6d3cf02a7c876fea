#include "engine/scan/receive_plan.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"

namespace archwright::scan {
namespace {

// Shares of the foot's length. ANSUR II: ball of foot length over foot length.
constexpr double ball_share = 0.741;
constexpr double axis_height = 45.0;     // nominal mm; below it the leg does not show in plan
constexpr double outline_height = 35.0;  // nominal mm
constexpr double length_height = 60.0;   // nominal mm; above it a calf may stand out behind the heel

std::vector<Vec2> convex_hull(std::vector<Vec2> points) {
    std::sort(points.begin(), points.end(), [](const Vec2& a, const Vec2& b) {
        return a.x() < b.x() || (a.x() == b.x() && a.y() < b.y());
    });
    std::vector<Vec2> hull;
    const auto turn = [](const Vec2& a, const Vec2& b, const Vec2& c) {
        return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
    };
    for (int pass = 0; pass < 2; ++pass) {
        const std::size_t start = hull.size();
        for (const Vec2& p : points) {
            while (hull.size() >= start + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0.0)
                hull.pop_back();
            hull.push_back(p);
        }
        hull.pop_back();
        std::reverse(points.begin(), points.end());
    }
    return hull;
}

/// Direction of the long axis of a convex polygon's area, by its second moments.
Vec2 long_axis(const std::vector<Vec2>& polygon) {
    double area = 0.0;
    Vec2 centre = Vec2::Zero();
    const Vec2 o = polygon.front();
    double xx = 0.0, xy = 0.0, yy = 0.0;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Vec2 p = polygon[i] - o;
        const Vec2 q = polygon[(i + 1) % polygon.size()] - o;
        const double c = p.x() * q.y() - p.y() * q.x();
        area += c / 2.0;
        centre += c / 6.0 * (p + q);
        xx += c / 12.0 * (p.x() * p.x() + p.x() * q.x() + q.x() * q.x());
        yy += c / 12.0 * (p.y() * p.y() + p.y() * q.y() + q.y() * q.y());
        xy += c / 24.0 * (2 * p.x() * p.y() + p.x() * q.y() + q.x() * p.y() + 2 * q.x() * q.y());
    }
    if (!(area > 0.0)) return {1.0, 0.0};
    centre /= area;
    xx -= area * centre.x() * centre.x();
    yy -= area * centre.y() * centre.y();
    xy -= area * centre.x() * centre.y();
    const double angle = 0.5 * std::atan2(2.0 * xy, xx - yy);
    return {std::cos(angle), std::sin(angle)};
}

Mat3 frame_of(const Vec3& toes, const Vec3& up) {
    const Vec3 z = up.normalized();
    Vec3 x = toes - toes.dot(z) * z;
    x = x.norm() > tolerance::degenerate ? Vec3(x.normalized()) : Vec3(z.unitOrthogonal());
    Mat3 rotation;
    rotation.row(0) = x.transpose();
    rotation.row(1) = z.cross(x).transpose();
    rotation.row(2) = z.transpose();
    return rotation;
}

/// Long axis in plan of what lies low, unit, file coordinates, of either sign.
Vec3 plan_axis(const Samples& samples, const Vec3& up, double scale) {
    const Mat3 basis = frame_of(up.unitOrthogonal(), up);
    double lowest = 1e300;
    for (const Vec3& p : samples.position) lowest = std::min(lowest, basis.row(2).dot(p));
    std::vector<Vec2> low;
    for (const Vec3& p : samples.position)
        if (scale * (basis.row(2).dot(p) - lowest) < axis_height)
            low.emplace_back(basis.row(0).dot(p), basis.row(1).dot(p));
    const Vec2 axis = low.size() < 3 ? Vec2(1.0, 0.0) : long_axis(convex_hull(std::move(low)));
    return axis.x() * basis.row(0).transpose() + axis.y() * basis.row(1).transpose();
}

/// Puts the samples into the working frame of `rotation`; length from what is there, or from the ball where
/// the toes are cut.
void place(const Samples& samples, const std::vector<Vec3>& rim, Plan& plan) {
    Posture& posture = plan.posture;
    const auto put = [&] {
        plan.position.resize(samples.size());
        plan.normal.resize(samples.size());
        Box3 box;
        Box3 low;
        for (std::size_t i = 0; i < samples.size(); ++i) {
            plan.position[i] = posture.scale * (posture.rotation * samples.position[i]);
            plan.normal[i] = posture.rotation * samples.normal[i];
            box.add(plan.position[i]);
        }
        for (const Vec3& p : plan.position)
            if (p.z() < box.low.z() + length_height) low.add(p);
        posture.origin = Vec3(low.low.x(), low.centre().y(), box.low.z());
        for (Vec3& p : plan.position) p -= posture.origin;
        plan.scan_length = low.size().x();
        plan.height = box.size().z();
    };
    // The limit in height depends on the scale, and the scale on the length found below it: twice is enough.
    for (int pass = 0; pass < 2; ++pass) {
        put();
        posture.scale *= nominal_length / plan.scan_length;
    }
    put();
    plan.outline = plan.outline_below(outline_height);

    // Cut toes: the rim runs low across the front.
    double left = -1e300;
    double right = 1e300;
    for (const Vec3& p : rim) {
        const Vec3 w = posture.to_working(p);
        if (w.x() > 0.93 * nominal_length && w.z() < 10.0) {
            left = std::max(left, w.y());
            right = std::min(right, w.y());
        }
    }
    double width = 0.0;
    for (int k = 0; k < Outline::stations; ++k)
        if (plan.outline.has(k)) width = std::max(width, plan.outline.width(k));
    plan.toes_cut = left - right > 0.5 * width;
    if (!plan.toes_cut) return;
    double ball = 0.0;
    for (const bool on_left : {false, true}) {
        double most = -1e300;
        double at = 0.0;
        for (int k = 0; k < Outline::stations; ++k) {
            if (!plan.outline.has(k) || plan.outline.x(k) < 0.45 * nominal_length) continue;
            const double y = on_left ? plan.outline.left[static_cast<std::size_t>(k)]
                                     : -plan.outline.right[static_cast<std::size_t>(k)];
            if (y > most) {
                most = y;
                at = plan.outline.x(k);
            }
        }
        ball = std::max(ball, at);
    }
    posture.scale *= std::min(1.0, nominal_length / std::max(ball / ball_share, nominal_length));
    put();
    plan.outline = plan.outline_below(outline_height);
}

double clamped(double vote) {
    return std::clamp(vote, -1.0, 1.0);
}

struct ToeVote {
    double total = 0.0;
    std::string reason;
};

ToeVote vote_toes(const Plan& plan) {
    double heel_width = 0.0, fore_width = 0.0;
    int heel_n = 0, fore_n = 0;
    const double length = plan.scan_length;
    for (int k = 0; k < Outline::stations; ++k) {
        if (!plan.outline.has(k)) continue;
        const double t = plan.outline.x(k) / length;
        if (t > 0.1 && t < 0.3) {
            heel_width += plan.outline.width(k);
            ++heel_n;
        } else if (t > 0.7 && t < 0.9) {
            fore_width += plan.outline.width(k);
            ++fore_n;
        }
    }
    double heel_top = 0.0, fore_top = 0.0, high_x = 0.0;
    std::size_t high = 0;
    for (const Vec3& p : plan.position) {
        const double t = p.x() / length;
        if (t > 0.05 && t < 0.15) heel_top = std::max(heel_top, p.z());
        if (t > 0.85 && t < 0.95) fore_top = std::max(fore_top, p.z());
        if (p.z() > 0.6 * plan.height) {
            high_x += t;
            ++high;
        }
    }
    ToeVote vote;
    int cues = 0;
    if (heel_n > 0 && fore_n > 0) {
        const double ratio = (fore_width / fore_n) / (heel_width / heel_n);
        vote.total += clamped((ratio - 1.0) / 0.2);
        vote.reason = "that end is " + rounded(100.0 * ratio, 0) + " % as wide as the other";
        ++cues;
    }
    if (plan.height > 0.27 * nominal_length && high > 0) {
        const double at = high_x / static_cast<double>(high);
        vote.total += clamped((0.5 - at) / 0.15);
        vote.reason +=
            ", the leg stands at " + rounded(100.0 * at, 0) + " % of the length from the other end";
        ++cues;
    }
    vote.total += clamped((heel_top - fore_top) / (0.08 * nominal_length));
    vote.reason += ", its top is " + rounded(100.0 * fore_top / std::max(heel_top, 1.0), 0) +
                   " % as high as the other's";
    ++cues;
    vote.total /= cues;
    return vote;
}

/// Mean of the lowest few samples of a region; nothing where it holds too few.
template <class Inside>
std::optional<Vec3> low_point(const Plan& plan, Inside&& inside) {
    constexpr std::size_t few = 5;
    std::vector<std::pair<double, std::size_t>> found;
    for (std::size_t i = 0; i < plan.position.size(); ++i)
        if (inside(plan.position[i])) found.emplace_back(plan.position[i].z(), i);
    if (found.size() < 2 * few) return std::nullopt;
    std::partial_sort(found.begin(), found.begin() + few, found.end());
    Vec3 sum = Vec3::Zero();
    for (std::size_t k = 0; k < few; ++k) sum += plan.position[found[k].second];
    return sum / static_cast<double>(few);
}

/// The way up of the plane under heel and heads, working frame; the present one where one of them is missing.
Vec3 level_normal(const Plan& plan) {
    const auto fore = [&](double sign) {
        return low_point(plan, [&](const Vec3& p) {
            const double t = Plan::share(p.x());
            if (t < 0.57 || t > 0.74) return false;
            const int k = plan.outline.at(p.x());
            return plan.outline.has(k) &&
                   sign * (p.y() - plan.outline.middle(k)) > 0.08 * plan.outline.width(k);
        });
    };
    const auto heel = low_point(plan, [](const Vec3& p) {
        const double t = Plan::share(p.x());
        return t > 0.05 && t < 0.25;
    });
    const auto right = fore(-1.0);
    const auto left = fore(1.0);
    if (!heel || !right || !left) return Vec3::UnitZ();
    const Vec3 n = (*right - *heel).cross(*left - *heel);
    return n.norm() > tolerance::degenerate ? Vec3(n.normalized()) : Vec3(Vec3::UnitZ());
}

}  // namespace

int Outline::at(double x_) const {
    return std::clamp(static_cast<int>(std::floor((x_ - first) / step)), 0, stations - 1);
}

Outline Plan::outline_below(double z) const {
    constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
    Outline found;
    found.step = scan_length / Outline::stations;
    found.right.assign(Outline::stations, nothing);
    found.left.assign(Outline::stations, nothing);
    for (const Vec3& p : position) {
        if (p.z() > z) continue;
        const auto k = static_cast<std::size_t>(found.at(p.x()));
        if (!(found.right[k] <= p.y())) found.right[k] = p.y();
        if (!(found.left[k] >= p.y())) found.left[k] = p.y();
    }
    return found;
}

Laying lay(const Samples& samples, const Vec3& up, const std::optional<Vec3>& stated_toes,
           const std::vector<Vec3>& rim) {
    Laying laying;
    Plan& plan = laying.plan;
    Box3 box;
    for (const Vec3& p : samples.position) box.add(p);
    const double first_scale = nominal_length / box.size().maxCoeff();

    Vec3 axis = stated_toes ? *stated_toes : plan_axis(samples, up, first_scale);
    plan.posture.scale = first_scale;
    plan.posture.rotation = frame_of(axis, up);
    place(samples, rim, plan);
    if (!stated_toes && vote_toes(plan).total < 0.0) {
        axis = -axis;
        plan.posture.rotation = frame_of(axis, up);
        place(samples, rim, plan);
    }
    constexpr int rounds = 3;
    constexpr double far = 30.0;  // degrees; a sole that leans more than this was not understood
    for (int round = 0; round < rounds; ++round) {
        const Vec3 level = plan.posture.rotation.transpose() * level_normal(plan);
        if (degrees(std::acos(std::clamp(level.dot(up.normalized()), -1.0, 1.0))) > far) break;
        if (!stated_toes) {
            const Vec3 again = plan_axis(samples, level, plan.posture.scale);
            axis = again.dot(axis) < 0.0 ? Vec3(-again) : again;
        }
        plan.posture.rotation = frame_of(axis, level);
        place(samples, rim, plan);
    }
    const ToeVote vote = vote_toes(plan);
    laying.toes.value = plan.posture.toes();
    laying.toes.confidence = std::clamp(vote.total, 0.0, 1.0);
    laying.toes.clear = vote.total >= tolerance::toes_vote_clear;
    laying.toes.reason = vote.reason;
    return laying;
}

}  // namespace archwright::scan
