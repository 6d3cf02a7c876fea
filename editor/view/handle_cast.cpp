#include "editor/view/handle_cast.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::view {

namespace {

using SolePtr = std::shared_ptr<const Sole>;

/// Marks of more points than this are bent by some of them.
constexpr std::size_t most_single_points = 12;
constexpr std::size_t bending_points = 9;

/// A place of the cast file to a thousandth of a millimetre, whatever its unit.
Vec3 in_scan(const Drag& drag, const foot::Frame& frame) {
    if (drag.in_scan) return *drag.in_scan;
    const double finest = std::pow(10.0, std::ceil(std::log10(std::max(frame.mm_per_unit, 1e-6) / 0.001)));
    const Vec3 scan = frame.to_scan(drag.to);
    return {std::round(scan.x() * finest) / finest, std::round(scan.y() * finest) / finest,
            std::round(scan.z() * finest) / finest};
}

Fault off_cast() {
    return Fault{FaultKind::usage, "drag", "There is nothing of the cast there: it stays at the edge.", {}};
}

std::string mark_line(const design::Mark& mark, const std::vector<Vec3>& points) {
    return "mark move " + mark.name + " " + points_json(points);
}

/// How much of a bending point's way a neighbour goes along, t of the way to the next.
double share_at(double t) {
    return t >= 1.0 ? 0.0 : (1.0 - t) * (1.0 - t) * (1.0 + 2.0 * t);
}

}  // namespace

std::string source_words(const foot::Landmark& landmark) {
    const std::string doubt = "\u00b1 " + rounded(landmark.sd_mm, 1) + " mm";
    if (landmark.source == foot::Landmark::Source::suggested)
        return "suggested by the program, " + rounded(100 * landmark.confidence, 0) + " % sure, " + doubt;
    return (landmark.by.empty() ? std::string("set") : "set by " + landmark.by) + ", " + doubt;
}

std::string source_words(const design::Mark& mark) {
    if (mark.open()) return "found by the program, " + rounded(100 * mark.confidence, 0) + " % sure";
    return mark.by.empty() ? std::string("drawn") : "by " + mark.by;
}

Handles landmark_handles(const design::FootDesign& foot, foot::LandmarkId id, const SolePtr& sole) {
    const auto found = foot.landmarks.find(id);
    if (found == foot.landmarks.end()) return {};
    Handles out;
    Handle h;
    h.part = "place";
    h.at = sole->frame().to_design(found->second.position);
    h.on_cast = h.at_rest = h.by_person = true;
    h.about = source_words(found->second);
    h.move = [id, on = sole](const Drag& d) -> Outcome<Moved> {
        const Vec3 p = in_scan(d, on->frame());
        return Moved{{std::string("landmark set ") + foot::key(id) + " " + exact(p.x()) + "," + exact(p.y()) +
                      "," + exact(p.z())},
                     std::string(foot::title(id)) + ", " + place_words(d.to.head<2>())};
    };
    out.list.push_back(std::move(h));
    return out;
}

Handles mark_handles(const design::Mark& mark, const SolePtr& sole) {
    Handles out;
    const std::size_t count = mark.points.size();
    if (count == 0 || mark.refused) return out;
    const bool round = mark.kind == design::Mark::Kind::area;
    std::vector<Vec3> places;
    for (const Vec3& p : mark.points) places.push_back(sole->frame().to_design(p));
    HandleCurve curve;
    curve.closed = round;
    curve.half_mm = std::max(0.5 * mark.breadth_mm, count == 1 ? 3.0 : 1.0);
    for (const Vec3& p : places) curve.points.push_back(p.head<2>());
    if (count == 1) {  // a spot is round
        const Vec2 middle = places.front().head<2>();
        curve.points.clear();
        curve.closed = true;
        constexpr int pieces = 24;
        for (int i = 0; i < pieces; ++i)
            curve.points.push_back(middle +
                                   curve.half_mm * Vec2(std::cos(2 * std::numbers::pi * i / pieces),
                                                        std::sin(2 * std::numbers::pi * i / pieces)));
    }
    out.curves.push_back(std::move(curve));

    std::vector<double> along{0.0};
    for (std::size_t i = 1; i < count + (round ? 1 : 0); ++i)
        along.push_back(along.back() + (places[i % count] - places[i - 1]).norm());
    const bool bends = count > most_single_points;
    std::vector<std::size_t> held;
    if (!bends)
        for (std::size_t i = 0; i < count; ++i) held.push_back(i);
    for (std::size_t k = 0; bends && k < bending_points; ++k) {
        const double wanted = along.back() * static_cast<double>(k) /
                              static_cast<double>(round ? bending_points : bending_points - 1);
        const auto at =
            std::lower_bound(along.begin(), along.begin() + static_cast<std::ptrdiff_t>(count), wanted);
        held.push_back(std::min<std::size_t>(static_cast<std::size_t>(at - along.begin()), count - 1));
    }
    for (std::size_t k = 0; k < held.size(); ++k) {
        const std::size_t own = held[k];
        Handle h;
        h.part = "point " + std::to_string(k + 1);
        h.at = places[own];
        h.on_cast = h.at_rest = h.by_person = true;
        h.about = source_words(mark);
        std::vector<double> shares(count, 0.0);
        shares[own] = 1.0;
        if (bends) {
            const double apart =
                along.back() / static_cast<double>(round ? bending_points : bending_points - 1);
            for (std::size_t i = 0; i < count; ++i) {
                double away = std::abs(along[i] - along[own]);
                if (round) away = std::min(away, along.back() - away);
                shares[i] = share_at(away / apart);
            }
        }
        h.move = [mark, places, shares, own, on = sole](const Drag& d) -> Outcome<Moved> {
            std::vector<Vec3> points = mark.points;
            const Vec3 by = d.to - places[own];
            for (std::size_t i = 0; i < points.size(); ++i) {
                if (shares[i] <= 0.0) continue;
                Drag to = d;
                if (i != own) {
                    const auto laid = on->nearest_cast(places[i] + shares[i] * by);
                    if (!laid) return off_cast();
                    to.to = *laid;
                    to.in_scan.reset();
                }
                points[i] = in_scan(to, on->frame());
            }
            return Moved{{mark_line(mark, points)}, mark.name + ", " + place_words(d.to.head<2>())};
        };
        const std::size_t least = mark.kind == design::Mark::Kind::line ? 2 : round ? 3 : 1;
        if (!bends)
            h.remove = [mark, own, least]() -> Outcome<Moved> {
                if (mark.points.size() <= least)
                    return Fault{FaultKind::usage, "drag", "A mark keeps its last points.", {}};
                std::vector<Vec3> points = mark.points;
                points.erase(points.begin() + static_cast<std::ptrdiff_t>(own));
                return Moved{{mark_line(mark, points)}, "point taken out"};
            };
        out.list.push_back(std::move(h));
    }
    if (!bends && count > 1)
        out.add = [mark, places, round, on = sole](const Vec2& plan) -> Outcome<Moved> {
            HandleCurve line;
            line.closed = round;
            for (const Vec3& p : places) line.points.push_back(p.head<2>());
            const CurvePlace near = nearest_on(line, plan);
            const auto behind = static_cast<std::size_t>(near.along);
            const auto laid = on->on_cast(near.at, places[std::min(behind, places.size() - 1)].z());
            if (!laid) return off_cast();
            Drag here;
            here.to = *laid;
            std::vector<Vec3> points = mark.points;
            points.insert(points.begin() + static_cast<std::ptrdiff_t>(std::min(behind + 1, points.size())),
                          in_scan(here, on->frame()));
            return Moved{
                {mark_line(mark, points)}, place_words(near.at), "point " + std::to_string(behind + 2)};
        };
    return out;
}

}  // namespace archwright::editor::view
