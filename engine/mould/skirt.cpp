#include "engine/mould/skirt.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/surface/cross.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::mould {

namespace {

using surface::cross;

constexpr double touches_mm = 0.08;  // a ball nearer than this touches: chords of the row err by less
constexpr double clear_of_arc_mm = 0.003;
constexpr double arc_step_mm = 1.0;
constexpr double lowest_rise = -0.5;  // a margin that climbs towards the sole goes no steeper
constexpr double most_lean = 1.6;     // of what the draft asks on a straight wall
constexpr int smoothing_rounds = 3, rise_rounds = 12;
constexpr double aside_most = 0.1;  // mm a mm that the wall's foot may turn aside for it
constexpr int draft_rounds = 40, turn_rounds = 4000;

Fault skirt_fault(const std::string& message, const Vec3& where) {
    return {FaultKind::check, "mould", message, where};
}

/// The arc between two places that a ball outside touches, its middle to the right of the way from a to b;
/// of the asked radius, or of a larger one where what it is to leave free comes too near.
struct Arc {
    Vec2 middle = Vec2::Zero();
    double radius = 0.0;
};
std::optional<Arc> arc_between(const std::vector<RowPoint>& row, std::size_t from, std::size_t count,
                               double radius) {
    const std::size_t n = row.size();
    const Vec2 a = row[from].at.head<2>(), b = row[(from + count) % n].at.head<2>(), way = b - a;
    const double half = 0.5 * way.norm();
    if (!(half > 1e-9)) return std::nullopt;
    const Vec2 right = Vec2(way.y(), -way.x()).normalized();
    for (double r = std::max(radius, 1.01 * half); r < 1e5; r *= 1.4) {
        const Vec2 middle = 0.5 * (a + b) + std::sqrt(r * r - half * half) * right;
        bool clear = true;
        for (std::size_t k = 1; k < count && clear; ++k)
            clear = (row[(from + k) % n].at.head<2>() - middle).norm() > r + clear_of_arc_mm;
        if (clear) return Arc{middle, r};
    }
    return std::nullopt;
}

Ruling ruling_from(const std::vector<RowPoint>& row, std::size_t k) {
    Ruling ruling;
    ruling.at = row[k].at;
    ruling.out = row[k].out;
    ruling.rise = row[k].rise;
    ruling.row = k;
    return ruling;
}

/// Heights of a bridge: the row's nearest place, carried on at its own slope, smoothed along the bridge.
void add_bridge(std::vector<Ruling>& rulings, const std::vector<RowPoint>& row, std::size_t first,
                std::size_t count, const Arc& arc, double steepest) {
    const std::size_t n = row.size();
    const RowPoint &a = row[first], &b = row[(first + count) % n];
    const Vec2 from = a.at.head<2>() - arc.middle, to = b.at.head<2>() - arc.middle;
    // seen from the ball's middle the way goes clockwise
    const double turn = std::atan2(cross(from, to), from.dot(to));
    const int steps = std::max(2, static_cast<int>(std::ceil(std::abs(turn) * arc.radius / arc_step_mm)));
    std::vector<Vec2> spokes;
    std::vector<double> heights;
    for (int i = 0; i <= steps; ++i) {
        spokes.push_back((Eigen::Rotation2Dd(turn * i / steps) * from).normalized());
        const Vec2 p = arc.middle + arc.radius * spokes.back();
        double least = 1e300, height = a.at.z();
        for (std::size_t k = 0; k <= count; ++k) {
            const RowPoint& near = row[(first + k) % n];
            const double d = (p - near.at.head<2>()).norm();
            if (d >= least) continue;
            least = d;
            height = near.at.z() + d * std::tan(std::clamp(near.rise, lowest_rise, steepest));
        }
        heights.push_back(height);
    }
    heights.front() = a.at.z();
    heights.back() = b.at.z();
    for (int round = 0; round < smoothing_rounds; ++round)
        for (std::size_t i = 1; i + 1 < heights.size(); ++i)
            heights[i] = 0.25 * heights[i - 1] + 0.5 * heights[i] + 0.25 * heights[i + 1];
    for (int i = 1; i < steps; ++i) {
        const double t = static_cast<double>(i) / steps;
        Ruling ruling;
        ruling.at << arc.middle + arc.radius * spokes[static_cast<std::size_t>(i)],
            heights[static_cast<std::size_t>(i)];
        ruling.out = -spokes[static_cast<std::size_t>(i)];
        ruling.rise = (1.0 - t) * a.rise + t * b.rise;
        rulings.push_back(ruling);
    }
}

/// Directions turn towards one another no faster than on a circle of `radius`.
void hold_turns(std::vector<Ruling>& rulings, double radius) {
    const std::size_t n = rulings.size();
    std::vector<double> angle(n), most(n);
    for (std::size_t k = 0; k < n; ++k) {
        angle[k] = std::atan2(rulings[k].out.y(), rulings[k].out.x());
        if (k > 0)
            angle[k] -=
                2.0 * std::numbers::pi * std::round((angle[k] - angle[k - 1]) / (2.0 * std::numbers::pi));
        most[k] = -(rulings[(k + 1) % n].at - rulings[k].at).head<2>().norm() / radius;
    }
    const double round = 2.0 * std::numbers::pi;  // once counter-clockwise
    for (int i = 0; i < turn_rounds; ++i) {
        double worst = 0.0;
        for (std::size_t k = 0; k < n; ++k) {
            const std::size_t j = (k + 1) % n;
            const double turn = angle[j] + (j == 0 ? round : 0.0) - angle[k], over = most[k] - turn;
            if (over <= 0.0) continue;
            worst = std::max(worst, over);
            angle[k] -= 0.5 * over;
            angle[j] += 0.5 * over;
        }
        if (worst < 1e-6) break;
    }
    for (std::size_t k = 0; k < n; ++k) rulings[k].out = Vec2(std::cos(angle[k]), std::sin(angle[k]));
}

/// What the trim line's last millimetre says of the slope is noisy; a margin runs evenly.
void smooth_rises(std::vector<Ruling>& rulings) {
    const std::size_t n = rulings.size();
    for (int i = 0; i < rise_rounds; ++i) {
        double before = rulings[n - 1].rise;
        const double first = rulings[0].rise;
        for (std::size_t k = 0; k < n; ++k) {
            const double here = rulings[k].rise, after = k + 1 < n ? rulings[k + 1].rise : first;
            rulings[k].rise = 0.25 * before + 0.5 * here + 0.25 * after;
            before = here;
        }
    }
}

/// Puts rulings where a mark's rib begins, is highest and ends.
void put_mark(Skirt& skirt, const IndexMark& mark, const MouldSetting& s) {
    std::vector<Ruling>& rulings = skirt.rulings;
    const std::size_t n = rulings.size();
    const Vec2 along = mark.towards.normalized();
    double farthest = 0.0, met = -1.0;
    std::vector<double> at(n + 1, 0.0);
    for (std::size_t k = 0; k < n; ++k) {
        const Vec2 a = rulings[k].at.head<2>() - mark.from,
                   e = (rulings[(k + 1) % n].at - rulings[k].at).head<2>();
        at[k + 1] = at[k] + e.norm();
        const double below = cross(e, along);
        if (std::abs(below) < 1e-12) continue;
        const double share = cross(along, a) / below, way = cross(e, a) / below;
        if (share >= 0.0 && share < 1.0 && way > farthest) {
            farthest = way;
            met = at[k] + share * e.norm();
        }
    }
    if (met < 0.0) return;
    const double length = at[n], half = 0.5 * s.mark_width_mm;
    std::vector<double> wanted;
    for (const double aside : {-half, 0.0, half})
        wanted.push_back(met + aside - length * std::floor((met + aside) / length));
    std::sort(wanted.begin(), wanted.end());
    std::vector<Ruling> with;
    const auto rib = [&](double here) {
        double apart = std::abs(here - met);
        apart = std::min(apart, length - apart);
        return s.mark_depth_mm * std::max(0.0, 1.0 - apart / half);
    };
    constexpr double same_mm = 0.02;
    for (std::size_t k = 0; k < n; ++k) {
        Ruling here = rulings[k];
        here.rib = std::max(here.rib, rib(at[k]));
        with.push_back(here);
        const Ruling& next = rulings[(k + 1) % n];
        for (const double w : wanted)
            if (w > at[k] + same_mm && w < at[k + 1] - same_mm) {
                const double t = (w - at[k]) / (at[k + 1] - at[k]);
                Ruling between;
                between.at = (1.0 - t) * here.at + t * next.at;
                between.out = ((1.0 - t) * here.out + t * next.out).normalized();
                between.rise = (1.0 - t) * here.rise + t * next.rise;
                between.rib = rib(w);
                with.push_back(between);
            }
    }
    rulings = std::move(with);
    skirt.marked.push_back(mark.name);
}

void place_rows(Skirt& skirt, const MouldSetting& s) {
    const double along = s.margin_mm - 0.5 * s.scribe_width_mm;
    const std::size_t n = skirt.rulings.size();
    skirt.edge.resize(n);
    skirt.base.resize(n);
    double top = -1e300;
    for (std::size_t k = 0; k < n; ++k) {
        const Ruling& r = skirt.rulings[k];
        const double rise = std::clamp(r.rise, lowest_rise, std::numbers::pi / 2.0 - std::atan(r.lean));
        skirt.edge[k] << r.at.head<2>() + (along * std::cos(rise) + r.rib) * r.out,
            r.at.z() + along * std::sin(rise);
        top = std::max({top, skirt.edge[k].z(), r.at.z()});
        skirt.base[k] = skirt.edge[k];
    }
    skirt.base_z = top + s.base_mm;
    for (std::size_t k = 0; k < n; ++k) {
        const Ruling& r = skirt.rulings[k];
        skirt.base[k].head<2>() += (skirt.base_z - skirt.base[k].z()) * r.lean * r.out;
        skirt.base[k].z() = skirt.base_z;
    }
}

/// Neighbours lean alike: else the wall between them turns aside at its foot and loses the draft again.
void spread_leans(Skirt& skirt, double height) {
    const double slope = aside_most / height;
    std::vector<Ruling>& r = skirt.rulings;
    const std::size_t m = r.size();
    const auto raise = [&](std::size_t to, std::size_t from) {
        const double apart = (r[to].at - r[from].at).head<2>().norm();
        r[to].lean = std::max(r[to].lean, r[from].lean - slope * apart);
    };
    for (std::size_t k = 0; k < 2 * m; ++k) raise((k + 1) % m, k % m);
    for (std::size_t k = 2 * m; k-- > 0;) raise(k % m, (k + 1) % m);
}

/// Tangent of a face's angle to the vertical in the mould's sense: its base is up here, so a face that is to
/// be seen from the sole looks down.
double tangent_of(const Vec3& a, const Vec3& b, const Vec3& c) {
    const Vec3 n = (b - a).cross(c - a);
    const double level = n.head<2>().norm();
    if (!(n.norm() > 1e-12)) return 1e9;
    return level > 1e-9 * n.norm() ? -n.z() / level : (n.z() < 0.0 ? 1e9 : -1e9);
}

}  // namespace

Outcome<Skirt> lay_skirt(const std::vector<RowPoint>& row, const MouldSetting& s) {
    const std::size_t n = row.size();
    std::vector<Vec2> plan;
    double low = 1e300, high = -1e300;
    for (const RowPoint& p : row) {
        plan.push_back(p.at.head<2>());
        low = std::min(low, p.at.z());
        high = std::max(high, p.at.z() + s.margin_mm * std::max(0.0, std::sin(p.rise)));
    }
    const surface::Outline outline(plan);
    if (const auto crossing = outline.first_self_crossing())
        return skirt_fault("The trim line crosses itself in plan at " + place(row[*crossing].at) +
                               ", so no wall goes down from it. Lower the flange or the cup there.",
                           row[*crossing].at);
    const double tangent = std::tan(radians(s.draft_deg));
    const double reach = s.margin_mm + s.mark_depth_mm + most_lean * tangent * (high - low + s.base_mm);
    const double ball = 1.3 * reach + 1.0;
    std::vector<char> touched(n);
    for (std::size_t k = 0; k < n; ++k)
        touched[k] = outline.distance(plan[k] + ball * row[k].out) > ball - touches_mm;
    std::size_t first = 0;
    while (first < n && !touched[first]) ++first;
    if (first == n) return skirt_fault("No margin can be laid round this trim line.", row.front().at);
    Skirt skirt;
    for (std::size_t i = 0; i < n;) {
        const std::size_t k = (first + i) % n;
        skirt.rulings.push_back(ruling_from(row, k));
        std::size_t count = 1;
        while (i + count < n && !touched[(k + count) % n]) ++count;
        if (count > 1) {
            if (const auto arc = arc_between(row, k, count, ball)) {
                add_bridge(skirt.rulings, row, k, count, *arc, radians(88.0 - s.draft_deg));
                ++skirt.bridged;
            } else  // no hollow: the line only turns quickly there
                for (std::size_t j = 1; j < count; ++j)
                    skirt.rulings.push_back(ruling_from(row, (k + j) % n));
        }
        i += count;
    }
    hold_turns(skirt.rulings, 1.15 * reach);
    smooth_rises(skirt.rulings);
    for (const IndexMark& mark : s.marks) put_mark(skirt, mark, s);
    for (Ruling& ruling : skirt.rulings) ruling.lean = tangent;

    const std::size_t m = skirt.rulings.size();
    const double row_height = high - low + s.base_mm;
    for (int round = 0; round < draft_rounds; ++round) {
        place_rows(skirt, s);
        std::vector<double> more(m, 1.0);
        bool all = true;
        for (std::size_t k = 0; k < m; ++k) {
            const std::size_t j = (k + 1) % m;
            const Vec3 &a = skirt.rulings[k].at, &b = skirt.rulings[j].at;
            const double least =
                std::min({tangent_of(a, skirt.edge[j], skirt.edge[k]), tangent_of(a, b, skirt.edge[j]),
                          tangent_of(skirt.edge[k], skirt.base[j], skirt.base[k]),
                          tangent_of(skirt.edge[k], skirt.edge[j], skirt.base[j])});
            if (least >= tangent) continue;
            all = false;
            const double factor = 1.001 * std::clamp(tangent / std::max(least, 1e-3), 1.0, 1.25);
            more[k] = std::max(more[k], factor);
            more[j] = std::max(more[j], factor);
        }
        if (all) break;
        for (std::size_t k = 0; k < m; ++k)
            skirt.rulings[k].lean = std::min(skirt.rulings[k].lean * more[k], most_lean * tangent);
        spread_leans(skirt, row_height);
    }
    return skirt;
}

}  // namespace archwright::mould
