#include "engine/examine/edge_faults.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/survey.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::examine {

namespace {

using Kind = Finding::Kind;
using foot::LandmarkId;

constexpr const char* again_words = "Take the cast again";

// A question is open: half of its confidence.
Finding call(Kind kind, bool certain, const Vec3& place, double confidence) {
    Finding f;
    f.kind = kind;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.place = place;
    f.confidence = certain ? confidence : 0.5 * confidence;
    return f;
}

/// Area a closed loop encloses, and that area's middle: a torn rim has many points where it is ragged, and
/// their mean lies off the middle by a quarter of the radius.
struct Opening {
    Vec3 middle = Vec3::Zero();
    double area = 0.0, longest = 0.0;
};
Opening opening_of(const TriangleMesh& cast, const BoundaryLoop& loop) {
    const auto point = [&](std::size_t i) {
        return cast.points[static_cast<std::size_t>(loop.points[i % loop.points.size()])];
    };
    Vec3 mean = Vec3::Zero(), normal = Vec3::Zero();
    for (std::size_t i = 0; i < loop.points.size(); ++i)
        mean += point(i) / static_cast<double>(loop.points.size());
    for (std::size_t i = 0; i < loop.points.size(); ++i)
        normal += (point(i) - mean).cross(point(i + 1) - mean);
    Opening o;
    o.middle = mean;
    o.area = 0.5 * normal.norm();
    if (o.area > 0.0) {
        normal /= 2.0 * o.area;
        for (std::size_t i = 0; i < loop.points.size(); ++i) {
            const Vec3 a = point(i) - mean, b = point(i + 1) - mean;
            o.middle += 0.5 * a.cross(b).dot(normal) / o.area * (a + b) / 3.0;
        }
    }
    for (std::size_t i = 0; i < loop.points.size(); ++i)
        o.longest = std::max(o.longest, 2.0 * (point(i) - o.middle).norm());
    return o;
}

void find_holes(const foot::Standing& standing, const std::vector<BoundaryLoop>& loops, std::size_t rim,
                std::vector<Finding>& out) {
    const auto head = standing.landmarks.find(LandmarkId::first_head_plantar);
    constexpr double beyond_head_mm =
        10.0;  // no device reaches further; between the toes scanners see little
    const double front_x = head == standing.landmarks.end() ? standing.foot_length_mm
                                                            : head->second.position.x() + beyond_head_mm;
    for (std::size_t l = 0; l < loops.size(); ++l) {
        if (l == rim) continue;
        const Opening o = opening_of(standing.mesh, loops[l]);
        if (o.middle.x() > front_x) continue;
        const double across = std::sqrt(4.0 * o.area / std::numbers::pi);
        if (across < edge::hole_asked_mm || o.middle.z() > edge::device_height_mm) continue;
        Finding f = call(Kind::hole, across >= edge::hole_certain_mm, o.middle, 1.0);
        f.length_mm = o.longest;
        f.breadth_mm = across;
        // a repaired dent of 17 mm is off by 0.16 mm rms (docs/examine.md); a bridge's sag grows with the
        // square of its width
        f.depth_sd_mm = 0.16 * across * across / (17.0 * 17.0);
        f.sentence = "The scan shows nothing over " + rounded(across, 1) + " mm at " + place(o.middle) +
                     "; a smooth surface bridges it, with some " + rounded(f.depth_sd_mm, 2) +
                     " mm of uncertainty.";
        f.advice = across > edge::hole_again_mm ? Finding::Advice::take_again : Finding::Advice::design_round;
        f.advice_words = across > edge::hole_again_mm
                             ? "Scan the cast again: so large a gap cannot be guessed."
                             : "Scan again if the place matters (a head, the heel, a sore spot); else leave "
                               "it to the bridge.";
        out.push_back(f);
    }
}

/// The edge of the cast by length along it.
struct Edge {
    std::vector<Vec3> points;
    std::vector<double> along;
    double length = 0.0;
};
Edge edge_of(const TriangleMesh& cast, const BoundaryLoop& loop) {
    Edge e;
    for (const std::int32_t i : loop.points) {
        const Vec3& p = cast.points[static_cast<std::size_t>(i)];
        if (!e.points.empty()) e.length += (p - e.points.back()).norm();
        e.points.push_back(p);
        e.along.push_back(e.length);
    }
    e.length += (e.points.front() - e.points.back()).norm();
    return e;
}

/// Upper course of the edge's height: where a straight-edge laid along it would lie, as the higher quartile
/// of the heights within the window.
std::vector<double> upper_course(const std::vector<double>& height, std::size_t reach) {
    const std::size_t n = height.size();
    std::vector<double> course(n), window;
    for (std::size_t i = 0; i < n; ++i) {
        window.clear();
        for (std::size_t k = 0; k <= 2 * reach; ++k) window.push_back(height[(i + n - reach + k) % n]);
        const auto at = window.begin() + static_cast<std::ptrdiff_t>(3 * window.size() / 4);
        std::nth_element(window.begin(), at, window.end());
        course[i] = *at;
    }
    return course;
}

// Notches: short stretches that dip below the edge's course.
void find_tears(const foot::Standing& standing, const Edge& rim, std::vector<Finding>& out) {
    const auto head = standing.landmarks.find(LandmarkId::first_head_plantar);
    const double front_x = head == standing.landmarks.end() ? 0.0 : head->second.position.x();
    constexpr double step = 1.0;  // mm along
    const auto n = static_cast<std::size_t>(rim.length / step);
    const auto reach = static_cast<std::size_t>(edge::tear_window_mm / step);
    if (n < 4 * reach) return;
    std::vector<Vec3> course(n);
    std::size_t k = 0;
    for (std::size_t i = 0; i < n; ++i) {
        while (k + 1 < rim.along.size() && rim.along[k + 1] < static_cast<double>(i) * step) ++k;
        course[i] = rim.points[k];
    }
    std::vector<double> height(n);
    for (std::size_t i = 0; i < n; ++i) height[i] = course[i].z();
    const std::vector<double> upper = upper_course(height, reach);
    for (std::size_t i = 0; i < n; ++i) {
        const auto depth = [&](std::size_t j) { return upper[j % n] - height[j % n]; };
        if (depth(i) < edge::tear_asked_mm || depth(i + n - 1) >= edge::tear_asked_mm) continue;
        std::size_t end = i, deepest = i;
        while (end < i + n && depth(end) >= edge::tear_asked_mm) {
            if (depth(end) > depth(deepest)) deepest = end;
            ++end;
        }
        // across, not along: a tear runs down one side and up the other
        const double across = (course[end % n] - course[i]).norm();
        // no device has an edge beside the toes
        if (across < edge::tear_narrow_mm || across > edge::tear_wide_mm ||
            course[deepest % n].x() > front_x || course[deepest % n].z() > edge::device_height_mm)
            continue;
        Finding f = call(Kind::tear, depth(deepest) >= edge::tear_certain_mm, course[deepest % n], 0.9);
        f.length_mm = across;
        f.breadth_mm = depth(deepest);
        f.sentence = "The edge dips " + rounded(f.breadth_mm, 1) + " mm below its course over " +
                     rounded(across, 1) + " mm at " + place(f.place) + ".";
        f.advice = Finding::Advice::design_round;
        f.advice_words =
            "Keep the trim line below it; where the device needs that wall, take the cast again with an edge "
            "of even height.";
        out.push_back(f);
    }
}

/// Half breadths of a section x = const at a height, from the points within 1.5 mm of both.
struct Breadth {
    double medial = std::numeric_limits<double>::quiet_NaN();
    double lateral = std::numeric_limits<double>::quiet_NaN();
};
Breadth breadth_at(const TriangleMesh& cast, double x, double z) {
    Breadth b;
    for (const Vec3& p : cast.points) {
        if (std::abs(p.x() - x) > 2.0 || std::abs(p.z() - z) > 1.5) continue;
        if (!(b.medial >= p.y())) b.medial = p.y();
        if (!(b.lateral <= p.y())) b.lateral = p.y();
    }
    return b;
}

// A heel's walls close above their widest height; walls that lean outward right up to a low edge were opened.
void find_splay(const foot::Standing& standing, const Edge& rim, std::vector<Finding>& out) {
    const auto heel = standing.landmarks.find(LandmarkId::heel_centre);
    if (heel == standing.landmarks.end()) return;
    const double x = heel->second.position.x();
    // the edge's height beside the heel centre, on both sides
    std::array<double, 2> top{std::numeric_limits<double>::infinity(),
                              std::numeric_limits<double>::infinity()};
    for (const Vec3& p : rim.points)
        if (std::abs(p.x() - x) < 10.0) {
            double& z = top[p.y() > heel->second.position.y() ? 0 : 1];
            z = std::min(z, p.z());
        }
    const double edge_z = std::min(top[0], top[1]);
    // nothing is told by an edge below the widest height, nor by a scan that goes up the ankle
    constexpr double least = 0.11, most = 0.30;  // of the foot length
    if (!(edge_z > least * standing.foot_length_mm) || edge_z > most * standing.foot_length_mm) return;
    constexpr double span = 12.0, below = 4.0;
    const Breadth upper = breadth_at(standing.mesh, x, edge_z - below),
                  lower = breadth_at(standing.mesh, x, edge_z - below - span);
    const double medial = degrees(std::atan2(upper.medial - lower.medial, span)),
                 lateral = degrees(std::atan2(lower.lateral - upper.lateral, span));
    const double lean = 0.5 * (medial + lateral);
    if (!(lean >= edge::splay_asked_deg)) return;
    Finding f =
        call(Kind::splay, lean >= edge::splay_certain_deg, Vec3(x, upper.medial, edge_z - below), 0.7);
    f.length_mm = span;
    f.depth_mm = span * std::tan(radians(lean));
    f.depth_sd_mm = 1.0;
    f.sentence = "Beside the heel centre the walls lean outward up to the edge, " + rounded(medial, 0) +
                 " degrees medially and " + rounded(lateral, 0) + " laterally, where a heel closes.";
    f.advice = Finding::Advice::take_again;
    f.advice_words =
        std::string(again_words) +
        ": slip the cast off heel first once it is hard, without spreading its edges. A shallower cup uses "
        "less of what was opened.";
    out.push_back(f);
}

void find_short(const foot::Standing& standing, const Edge& rim, std::vector<Finding>& out) {
    const auto heel = standing.landmarks.find(LandmarkId::heel_centre);
    if (heel != standing.landmarks.end()) {
        const Vec3* lowest = nullptr;
        for (const Vec3& p : rim.points)
            if (p.x() <= heel->second.position.x() && (lowest == nullptr || p.z() < lowest->z())) lowest = &p;
        if (lowest != nullptr && lowest->z() < edge::heel_captured_mm) {
            Finding f = call(Kind::short_cast, true, *lowest, 1.0);
            f.depth_mm = lowest->z() - edge::heel_captured_mm;
            f.length_mm = lowest->z();
            f.sentence = "Behind the heel centre the cast ends " + rounded(lowest->z(), 1) +
                         " mm above the ground, at " + place(*lowest) +
                         "; a usual cup with its margin needs " + rounded(edge::heel_captured_mm, 0) + " mm.";
            f.advice = Finding::Advice::take_again;
            f.advice_words =
                std::string(again_words) + " with the edge at the ankle, or ask for a shallower cup.";
            out.push_back(f);
        }
    }
    // a cast whose toes are cut must still go on beyond the heads
    if (!standing.length_estimated) return;
    double front = -std::numeric_limits<double>::infinity();
    for (const Vec3& p : standing.mesh.points)
        if (p.z() < foot::border_height(standing.foot_length_mm)) front = std::max(front, p.x());
    const auto first = standing.landmarks.find(LandmarkId::first_head_plantar);
    if (first == standing.landmarks.end()) return;
    const double beyond = front - first->second.position.x();
    if (beyond >= edge::beyond_heads_mm) return;
    Finding f = call(Kind::short_cast, true, first->second.position, 0.9);
    f.depth_mm = beyond - edge::beyond_heads_mm;
    f.length_mm = beyond;
    f.sentence = "The cast ends " + rounded(beyond, 1) + " mm in front of the 1st metatarsal head; " +
                 rounded(edge::beyond_heads_mm, 0) + " mm are needed to find the heads and the distal edge.";
    f.advice = Finding::Advice::take_again;
    f.advice_words = std::string(again_words) + " to beyond the roots of the toes.";
    out.push_back(f);
}

/// How far the toes' underside rises from the plane through the heads, in one lane of the forefoot.
std::optional<double> rise_deg(const TriangleMesh& cast, const Vec3& head, double low_y, double high_y,
                               double tip_x) {
    const double from = head.x() + 0.55 * (tip_x - head.x()), to = head.x() + 0.95 * (tip_x - head.x());
    const Vec3* lowest = nullptr;
    for (const Vec3& p : cast.points)
        if (p.x() > from && p.x() < to && p.y() > low_y && p.y() < high_y &&
            (lowest == nullptr || p.z() < lowest->z()))
            lowest = &p;
    if (lowest == nullptr) return std::nullopt;
    return degrees(std::atan2(lowest->z() - head.z(), lowest->x() - head.x()));
}

void find_toes(const foot::Standing& standing, std::vector<Finding>& out) {
    if (standing.length_estimated) return;
    const auto& marks = standing.landmarks;
    const auto first = marks.find(LandmarkId::first_head_plantar),
               fifth = marks.find(LandmarkId::fifth_head_plantar),
               rear = marks.find(LandmarkId::posterior_heel);
    if (first == marks.end() || fifth == marks.end() || rear == marks.end()) return;
    const Vec3 &m1 = first->second.position, &m5 = fifth->second.position;
    const double tip = rear->second.position.x() + standing.foot_length_mm;
    const double breadth = m1.y() - m5.y();
    const auto great = rise_deg(standing.mesh, m1, m1.y() - 0.22 * breadth, m1.y() + 0.3 * breadth, tip);
    // the smaller toes end sooner
    const auto small = rise_deg(standing.mesh, m5, m5.y() - 0.2 * breadth, m5.y() + 0.3 * breadth,
                                m5.x() + 0.75 * (tip - m5.x()));
    struct Toe {
        const char* name;
        std::optional<double> rise;
        const Vec3& head;
    };
    for (const Toe& toe : {Toe{"great toe", great, m1}, Toe{"4th and 5th toes", small, m5}}) {
        if (!toe.rise || std::abs(*toe.rise) < edge::toes_asked_deg) continue;
        const bool up = *toe.rise > 0.0;
        Finding f = call(Kind::toes, up && *toe.rise >= edge::toes_certain_deg,
                         toe.head + Vec3(0.5 * (tip - toe.head.x()), 0, 0), 0.7);
        f.depth_mm = -(tip - toe.head.x()) * std::tan(radians(*toe.rise)) * 0.75;
        f.depth_sd_mm = 2.0;
        f.sentence = "From the head the underside of the " + std::string(toe.name) + " runs " +
                     rounded(std::abs(*toe.rise), 0) + " degrees " + (up ? "upward" : "downward") + ".";
        f.advice = Finding::Advice::take_again;
        f.advice_words =
            up ? "Extended toes tighten the fascia and raise the arch (J. H. Hicks 1954, J Anat 88:25), and "
                 "toes that are pulled turn the forefoot: take the cast again with the toes at rest, or "
                 "trust "
                 "neither arch height nor forefoot angle."
               : "Bent toes may lift the heads off their own level: look at the forefoot angle with care.";
        out.push_back(f);
    }
}

}  // namespace

std::vector<Finding> edge_faults(const foot::Standing& standing) {
    std::vector<Finding> out;
    const Topology topology = find_topology(standing.mesh);
    const std::vector<BoundaryLoop> loops = boundary_loops(standing.mesh, topology);
    std::size_t rim = loops.size();
    for (std::size_t l = 0; l < loops.size(); ++l)
        if (rim == loops.size() || loops[l].length > loops[rim].length) rim = l;
    // a closed surface has no edge: its longest loop is a hole like the others
    if (rim < loops.size() && loops[rim].length < standing.foot_length_mm) rim = loops.size();
    find_holes(standing, loops, rim, out);
    if (rim < loops.size()) {
        const Edge e = edge_of(standing.mesh, loops[rim]);
        find_tears(standing, e, out);
        find_splay(standing, e, out);
        find_short(standing, e, out);
    }
    find_toes(standing, out);
    return out;
}

}  // namespace archwright::examine
