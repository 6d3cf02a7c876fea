#include "engine/pattern/forefoot.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::pattern {

namespace {

using Length = design::Cover::Length;

// Borders of the foot at x; beyond the cast's end they run straight on.
double border_at(const foot::Profile& profile, double x, bool medial) {
    const auto at = [&](double place) {
        return medial ? profile.medial_at(place) : profile.lateral_at(place);
    };
    const double step = profile.length / foot::Profile::stations;
    for (double place = x; place > profile.rear; place -= step)
        if (const auto y = at(place)) return *y;
    return 0.0;
}

// Cubic from one place and direction to another (C. Hermite), without its first point.
void blend(Ring& ring, const Vec2& from, const Vec2& direction, const Vec2& to, const Vec2& direction_to) {
    const double reach = (to - from).norm();
    const Vec2 a = reach * direction.normalized(), b = reach * direction_to.normalized();
    constexpr int steps = 48;
    for (int k = 1; k <= steps; ++k) {
        const double t = static_cast<double>(k) / steps, r = 1.0 - t;
        ring.push_back(r * r * (1.0 + 2.0 * t) * from + t * r * r * a + t * t * (3.0 - 2.0 * t) * to -
                       t * t * r * b);
    }
}

// Counter-clockwise convex outline (A. Andrew 1979).
Ring convex(Ring points) {
    std::sort(points.begin(), points.end(),
              [](const Vec2& a, const Vec2& b) { return a.x() != b.x() ? a.x() < b.x() : a.y() < b.y(); });
    Ring hull(2 * points.size());
    std::size_t n = 0;
    const auto left = [&](const Vec2& p) {
        const Vec2 a = hull[n - 1] - hull[n - 2], b = p - hull[n - 2];
        return a.x() * b.y() - a.y() * b.x() > 0.0;
    };
    for (const Vec2& p : points) {
        while (n >= 2 && !left(p)) --n;
        hull[n++] = p;
    }
    const std::size_t lower = n + 1;
    for (std::size_t i = points.size() - 1; i-- > 0;) {
        while (n >= lower && !left(points[i])) --n;
        hull[n++] = points[i];
    }
    hull.resize(n > 0 ? n - 1 : 0);
    return hull;
}

// One border from the shell's corner to `end_x`.
Ring side(const Forefoot& foot, const LaidFlat::Departure& corner, double head_x, double end_x, bool medial) {
    constexpr double shortest_blend_mm = 15.0, step_mm = 1.0;
    const double join_x = std::max(head_x, corner.at.x() + shortest_blend_mm);
    const auto border = [&](double x) { return Vec2(x, border_at(foot.profile, x, medial)); };
    Ring ring{corner.at};
    const double slope_mm = 0.01 * foot.profile.length;  // a station of the profile
    blend(ring, corner.at, corner.forward, border(join_x),
          border(join_x + slope_mm) - border(join_x - slope_mm));
    for (double x = join_x + step_mm; x < end_x; x += step_mm) ring.push_back(border(x));
    return ring;
}

}  // namespace

Region rounded_ahead(const Region& region, double radius, const Vec2& lateral, const Vec2& medial) {
    constexpr double far = 1000.0;
    const Vec2 way = (far / (medial - lateral).norm()) * (medial - lateral);
    Ring behind{lateral - way, medial + way};
    behind.emplace_back(-far, behind[1].y());
    behind.emplace_back(-far, behind[0].y());
    return region.opened(radius).joined(region.common(Region(behind)));
}

double Forefoot::sulcus_x(double y, double distal_mm) const {
    surface::TrimRule ahead = rule;
    ahead.distal_first_mm = ahead.distal_fifth_mm = -(sulcus_share * foot_length_mm + distal_mm);
    ahead.distal_bow_mm = sulcus_bow_share * foot_length_mm;
    ahead.first_ray_cutout.length_mm = 0.0;
    return surface::distal_edge_x(ahead, y);
}

Outcome<Region> in_front(const Forefoot& foot, const LaidFlat& laid, Length length, double distal_mm) {
    const double head_medial = foot.rule.first_head.x(), head_lateral = foot.rule.fifth_head.x();
    const double toes_x = foot.profile.rear + foot.profile.length;
    if (length == Length::full && foot.toes_cut)
        return Fault{FaultKind::ask, "pattern",
                     "The cast ends before the toes do, so nothing tells where a full length ends: ask for "
                     "\"length\": \"sulcus\", or draw an \"outline\".",
                     foot.rule.first_head};
    constexpr double beyond_mm = 200.0;  // of any end
    const double far = toes_x + beyond_mm;
    const double end = length == Length::full ? toes_x : far;
    // counter-clockwise: lateral border forward, then the medial one back
    Ring ring = side(foot, laid.lateral(), head_lateral, end, false);
    Ring back = side(foot, laid.medial(), head_medial, end, true);
    ring.insert(ring.end(), back.rbegin(), back.rend());
    Region region(ring);
    if (length == Length::full) {
        const double ball = std::max(head_medial, head_lateral);
        Ring toes;
        for (int k = 0; k < foot::Profile::stations; ++k) {
            const double x = foot.profile.x(k);
            if (!foot.profile.has(k)) continue;
            const auto i = static_cast<std::size_t>(k);
            if (x >= head_medial) toes.emplace_back(x, foot.profile.medial[i]);
            if (x >= head_lateral) toes.emplace_back(x, foot.profile.lateral[i]);
        }
        if (toes.size() < 3)
            return Fault{FaultKind::check, "pattern",
                         "The foot has no outline in front of its metatarsal heads: check the landmarks.",
                         foot.rule.first_head};
        toes.emplace_back(toes_x, 0.5 * (toes[toes.size() - 1].y() + toes[toes.size() - 2].y()));
        constexpr double toes_radius_mm = 28.0, clear_of_ball = 0.03;  // of the foot's length
        const double tip_x = ball + clear_of_ball * foot.profile.length;
        region = rounded_ahead(region.joined(Region(convex(std::move(toes)))), toes_radius_mm,
                               Vec2(tip_x, -1.0), Vec2(tip_x, 1.0));
        // rounding took some off; the toes' part is stretched to its end, and the ball stays where it is
        Ring moved = region.largest();
        double front = ball;
        for (const Vec2& p : moved) front = std::max(front, p.x());
        for (Vec2& p : moved) {
            const double t = std::clamp((p.x() - ball) / (front - ball), 0.0, 1.0);
            p.x() += (toes_x + distal_mm - front) * t * t * (3.0 - 2.0 * t);
        }
        region = Region(moved);
    } else {
        Ring behind;
        const double y_low = -beyond_mm, y_high = beyond_mm;
        behind.emplace_back(-beyond_mm, y_low);
        for (double y = y_low; y <= y_high; y += 1.0) behind.emplace_back(foot.sulcus_x(y, distal_mm), y);
        behind.emplace_back(-beyond_mm, y_high);
        region = region.common(Region(behind));
    }
    double front = -1e300, edge = -1e300;
    for (const Vec2& p : region.largest()) front = std::max(front, p.x());
    for (const Vec2& p : laid.distal()) edge = std::max(edge, p.x());
    if (region.empty() || front < edge)
        return Fault{FaultKind::check, "pattern",
                     "It would end " + (region.empty() ? "" : rounded(edge - front, 1) + " mm ") +
                         "behind the shell's distal edge: raise distal_mm, or ask for another length.",
                     foot.rule.first_head};
    return region;
}

}  // namespace archwright::pattern
