#include "engine/surface/trim_line.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/trim_curve.hpp"
#include "engine/surface/trim_follower.hpp"

namespace archwright::surface {

namespace {

// Both ends run on straight for a while, so that the distal edge surely crosses them.
void run_on(std::vector<Vec2>& row, double length_mm, double sample_mm) {
    const std::size_t n = row.size(),
                      back = std::min<std::size_t>(n - 1, static_cast<std::size_t>(6.0 / sample_mm));
    const Vec2 first = (row[0] - row[back]).normalized(),
               last = (row[n - 1] - row[n - 1 - back]).normalized();
    std::vector<Vec2> longer;
    const int count = static_cast<int>(length_mm / sample_mm);
    for (int k = count; k > 0; --k) longer.push_back(row.front() + k * sample_mm * first);
    longer.insert(longer.end(), row.begin(), row.end());
    for (int k = 1; k <= count; ++k) longer.push_back(row.back() + k * sample_mm * last);
    row = std::move(longer);
}

void measure(const SplineSurface& surface, const TrimRule& rule, TrimFollower& follower, TrimLine& line) {
    constexpr int per_span = 16;
    const int count = static_cast<int>(line.curve.control.size()) * per_span;
    std::vector<Vec3> p;
    line.margin_mm = 1e300;
    for (int k = 0; k < count; ++k) {
        const Vec2 uv = line.curve.point(static_cast<double>(k) / per_span);
        line.margin_mm =
            std::min({line.margin_mm, uv.x(), uv.y(), surface.u.length - uv.x(), surface.v.length - uv.y()});
        p.push_back(surface.point(uv));
    }
    const Vec3 heel = rule.heel_centre;
    const double datum = follower.datum();
    const auto cutout = cutout_side(rule);
    double cutout_x = -1e300;
    const double flange_station = 0.5 * (rule.lateral_flange.from + rule.lateral_flange.to);
    for (int k = 0; k < count; ++k) {
        const Vec3 &a = p[static_cast<std::size_t>(k)], &b = p[static_cast<std::size_t>((k + 1) % count)];
        line.length_mm += (b - a).norm();
        if ((a.x() > heel.x()) != (b.x() > heel.x())) {
            const Vec3 q = a + (heel.x() - a.x()) / (b.x() - a.x()) * (b - a);
            (q.y() > heel.y() ? line.cup_medial_mm : line.cup_lateral_mm) = q.z() - datum;
        }
        if ((a.y() > heel.y()) != (b.y() > heel.y())) {
            const Vec3 q = a + (heel.y() - a.y()) / (b.y() - a.y()) * (b - a);
            if (q.x() < heel.x()) line.cup_posterior_mm = q.z() - datum;
        }
        const bool medial = a.y() > axis_y(rule, a.x());
        const double from = station_of_x(rule, a.x(), medial), to = station_of_x(rule, b.x(), medial);
        const auto height_at = [&](double station, double& height) {
            if (a.x() < heel.x() || (from > station) == (to > station)) return;
            const Vec3 q = a + (station - from) / (to - from) * (b - a);
            height = q.z() - follower.section_low(q.x());
        };
        height_at(arch_station, medial ? line.arch_medial_mm : line.arch_lateral_mm);
        if (!medial && rule.lateral_flange.height_mm > 0.0) height_at(flange_station, line.lateral_flange_mm);
        if (cutout && (a.y() > cutout->to_y) != (b.y() > cutout->to_y))
            cutout_x = std::max(cutout_x, a.x() + (cutout->to_y - a.y()) / (b.y() - a.y()) * (b.x() - a.x()));
        if (a.x() > heel.x() && a.y() > axis_y(rule, a.x()) && a.x() < distal_edge_x(rule, a.y()) - 1.0)
            line.flange_mm = std::max(line.flange_mm, a.z() - follower.section_low(a.x()));
    }
    if (cutout) {
        // where the medial border runs inside the cut-out's side there is no edge to measure
        const double back = distal_edge_x(rule, cutout->to_y) + cutout->length - cutout_x;
        constexpr double further_mm = 15.0;  // rounded corners cut back less than this beyond what is asked
        line.cutout_mm = back > 0.0 && back < cutout->length + further_mm ? back : 0.0;
    }
    if (rule.lateral_scallop.depth_mm > 0.0) {
        const double middle = scallop_station(rule);
        const TrimStation* nearest = nullptr;
        for (const TrimStation& s : line.stations)
            if (s.kind == "lateral" &&
                (nearest == nullptr || std::abs(s.station - middle) < std::abs(nearest->station - middle)))
                nearest = &s;
        if (nearest != nullptr) line.scallop_mm = Outline(line.curve).distance(nearest->unmoved_uv);
    }
}

Outcome<TrimLine> follow(const SplineSurface& carpet, const TrimRule& rule) {
    const Vec3 heel = rule.heel_centre;
    const double x_medial = distal_edge_x(rule, rule.first_head.y()),
                 x_lateral = distal_edge_x(rule, rule.fifth_head.y());
    constexpr double shortest_mm = 30.0;
    if (!(rule.first_head.y() - rule.fifth_head.y() > least_trim_reach_mm) ||
        !(std::min(x_medial, x_lateral) > heel.x() + shortest_mm))
        return trim_fault(
            "The distal edge does not lie in front of the heel with the 1st head medial to the 5th: check "
            "the landmarks and the distal distances.",
            heel);
    const auto cutout = cutout_side(rule);
    if (cutout && (cutout->to_y > rule.first_head.y() ||
                   cutout->from_y < 0.5 * (rule.first_head.y() + rule.fifth_head.y())))
        return trim_fault(
            "A first-ray cut-out " + rounded(cutout->length, 1) + " mm long with fillets of " +
                rounded(cutout->radius, 1) + " mm needs its side between " + rounded(cutout->from_y, 1) +
                " and " + rounded(cutout->to_y, 1) +
                " mm in y; it has to stay between the middle of the distal edge and the 1st head's "
                "border: change its width, or make the fillets smaller.",
            Vec3(x_medial, rule.first_head.y(), 0.0));
    TrimFollower follower(carpet, rule);
    if (auto trouble = follower.find_datum()) return *trouble;
    TrimLine line;
    line.datum_z = follower.datum();

    constexpr double station_mm = 4.0, past_distal_mm = 2.0;
    const auto side = [&](bool medial) -> std::optional<Fault> {
        const double to = (medial ? x_medial : x_lateral) + past_distal_mm;
        const int count = std::max(8, static_cast<int>((to - heel.x()) / station_mm));
        for (int k = 0; k <= count; ++k) {
            TrimStation station;
            const int i = medial ? count - k : k;
            if (auto trouble = follower.section(heel.x() + (to - heel.x()) * i / count, medial, station))
                return trouble;
            line.stations.push_back(station);
        }
        return std::nullopt;
    };
    if (auto trouble = side(true)) return *trouble;
    constexpr int fan = 24;
    for (int k = 1; k < fan; ++k) {
        TrimStation station;
        if (auto trouble = follower.ray(std::numbers::pi * (0.5 - static_cast<double>(k) / fan), station))
            return *trouble;
        line.stations.push_back(station);
    }
    if (auto trouble = side(false)) return *trouble;
    const auto distal = follower.distal();
    if (!distal) return distal.fault();

    std::size_t missed = 0;
    const TrimStation* worst = nullptr;
    std::vector<Vec2> points;
    std::vector<double> firm;  // cup depths are to be met
    for (const TrimStation& station : line.stations) {
        points.push_back(station.uv);
        firm.push_back(cup_share(station.station));
        if (station.reached) continue;
        ++missed;
        if (worst == nullptr || station.wanted_mm - station.height_mm > worst->wanted_mm - worst->height_mm)
            worst = &station;
    }
    if (missed > 0)
        line.notes.push_back("The surface does not reach the trim rule at " + std::to_string(missed) +
                             " of " + std::to_string(line.stations.size()) +
                             " stations; the most is wanting at " + place(worst->p) + ": " +
                             rounded(worst->height_mm, 1) + " of " + rounded(worst->wanted_mm, 1) + " mm.");

    // Smooth the borders no more than it takes: where the rule's height gives way to the wall, or a control
    // pulls, the stations may turn sharply. Then the corners, a little rounder than asked until they measure
    // it.
    constexpr double run_on_mm = 20.0, sample_mm = 0.5, span_mm = 5.0, border_share = 0.6;
    // a cut-out's corner is as round as its fillets: there is seldom room for more
    const double medial_radius = cutout ? cutout->radius : rule.corner_radius_mm;
    bool settled = false;
    for (const double wave_mm : {14.0, 20.0, 28.0, 40.0}) {
        std::vector<Vec2> row = smooth_row(points, wave_mm, sample_mm, firm);
        run_on(row, run_on_mm, sample_mm);
        settled = false;
        double swell = 1.1;  // of the arcs over what is asked
        LeastRadius border{1e300, 0.0};
        for (int k = 0; k < 16; ++k) {
            const auto polygon =
                round_corners(row, *distal, swell * medial_radius, swell * rule.corner_radius_mm);
            if (!polygon) {
                if (settled) break;
                swell *= 0.8;
                continue;
            }
            double length = 0.0;
            for (std::size_t i = 0; i < polygon->size(); ++i)
                length += ((*polygon)[(i + 1) % polygon->size()] - (*polygon)[i]).norm();
            const double span = cutout ? std::min(span_mm, 0.5 * medial_radius) : span_mm;
            line.curve = closed_curve(*polygon, std::max(24, static_cast<int>(length / span)));
            settled = true;
            const auto medial = [&](const Vec3& p) { return p.y() > axis_y(rule, p.x()); };
            const auto at_edge = [&](const Vec3& p) {
                const double reach = 2.2 * swell * (medial(p) ? medial_radius : rule.corner_radius_mm);
                return p.x() > distal_edge_x(rule, p.y()) - reach;
            };
            const auto least_where = [&](const auto& interest) {
                return least_radius(line.curve, [&](const Vec2& uv) { return interest(carpet.point(uv)); });
            };
            border = least_where([&](const Vec3& p) { return !at_edge(p); });
            line.corner_radius_mm =
                least_where([&](const Vec3& p) { return at_edge(p) && !(cutout && medial(p)); }).radius;
            line.cutout_radius_mm =
                cutout ? least_where([&](const Vec3& p) { return at_edge(p) && medial(p); }).radius : 0.0;
            const double at_border =  // the fillets of the side are the rule's own
                cutout ? least_where([&](const Vec3& p) { return at_edge(p) && p.y() > cutout->to_y; }).radius
                       : 1e300;
            if (line.corner_radius_mm >= rule.corner_radius_mm && at_border >= medial_radius) break;
            if (swell < 1.0) break;
            swell *= 1.12;
        }
        if (!settled || border.radius >= border_share * rule.corner_radius_mm) break;
    }
    if (!settled)
        return trim_fault(
            "The distal edge does not meet both borders of the trim line: check the distal distances and "
            "that the cast reaches past them.",
            Vec3(x_medial, rule.first_head.y(), 0.0));
    if (line.corner_radius_mm < 0.95 * rule.corner_radius_mm)
        line.notes.push_back("There is no room for distal corners of " + rounded(rule.corner_radius_mm, 1) +
                             " mm radius; they have " + rounded(line.corner_radius_mm, 1) + " mm.");
    const LeastRadius least = least_radius(line.curve, [](const Vec2&) { return true; });
    line.least_radius_mm = least.radius;
    line.least_radius_at = carpet.point(line.curve.point(least.s));
    if (!(line.curve.signed_area() > 0.0) || Outline(line.curve).self_crossings() > 0)
        return trim_fault(
            "The trim line crosses itself: look for landmarks in the wrong place, or free control points "
            "that pull it too far.",
            line.least_radius_at);
    measure(carpet, rule, follower, line);
    if (line.margin_mm < tolerance::trim_margin_mm)
        return trim_fault("The trim line comes within " + rounded(line.margin_mm, 1) +
                              " mm of the end of the surface; " + rounded(tolerance::trim_margin_mm, 0) +
                              " mm are needed. Lower the rule there, or scan further.",
                          line.least_radius_at);
    return line;
}

}  // namespace

Outcome<TrimLine> find_trim(const SplineSurface& carpet, const TrimRule& rule) {
    auto line = follow(carpet, rule);
    const double asked = rule.first_ray_cutout.radius_mm;
    if (!line || !(rule.first_ray_cutout.length_mm > 0.0)) return line;
    // a fitted curve turns a little more sharply than its arcs: rounder ones, until they measure it
    constexpr double near_enough = 0.8;
    for (const double rounder : {1.35, 1.7}) {
        if (line->cutout_radius_mm >= near_enough * asked) break;
        TrimRule softer = rule;
        softer.first_ray_cutout.radius_mm = rounder * asked;
        auto again = follow(carpet, softer);
        if (again && again->cutout_radius_mm > line->cutout_radius_mm) line = std::move(again);
    }
    if (!(line->cutout_mm > 0.0))
        line->notes.push_back(
            "The first-ray cut-out is not made as asked: the medial border runs inside its side. Measure its "
            "width further from the 1st head's border (trim.first_ray_cutout.width_mm), or make the shell "
            "wider.");
    else if (line->cutout_radius_mm < near_enough * asked)
        line->notes.push_back("There is no room for corners of " + rounded(asked, 1) +
                              " mm radius at the first-ray cut-out; they have " +
                              rounded(line->cutout_radius_mm, 1) + " mm.");
    return line;
}

}  // namespace archwright::surface
