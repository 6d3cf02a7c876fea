#include "engine/build/trim_check.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::build {

using foot::LandmarkId;

Check check_trim(const surface::TrimLine& trim, const surface::TrimRule& rule) {
    Check check = named_check("trim.asked", "Trim line as asked");
    check.unit = "mm";
    double worst = 0.0;
    const auto compare = [&](const char* what, double got, double asked, double allowed) {
        const double off = std::abs(got - asked);
        if (off > std::abs(worst)) worst = got - asked;
        if (off <= allowed) return false;
        check.verdict = Verdict::look;
        check.message += (check.message.empty() ? "" : "; ") + std::string(what) + " " + rounded(got, 1) +
                         " mm, asked " + rounded(asked, 1) + " mm";
        return true;
    };
    // a free control moves the line away from its rule on purpose, a scallop the lateral border
    surface::TrimRule by_hand = rule;
    by_hand.width_allowance_mm = by_hand.lateral_scallop.depth_mm = 0.0;
    const surface::TrimShift controls(by_hand), shift(rule);
    const auto moved = [&](double station, bool medial) {
        return std::abs(controls.at(station, medial)) > tolerance::trim_moved_mm;
    };
    const bool scalloped = std::abs(shift.at(surface::arch_station, false)) > tolerance::trim_moved_mm;
    if (!moved(surface::heel_station, true))
        compare("cup depth, medial", trim.cup_medial_mm, rule.cup_medial_mm, tolerance::cup_look_mm);
    if (!moved(0.0, true))
        compare("cup depth, posterior", trim.cup_posterior_mm, rule.cup_posterior_mm, tolerance::cup_look_mm);
    if (!moved(surface::heel_station, false))
        compare("cup depth, lateral", trim.cup_lateral_mm, rule.cup_lateral_mm, tolerance::cup_look_mm);
    const bool high_arch =
        !moved(surface::arch_station, true) &&
        compare("medial flange", trim.arch_medial_mm, rule.medial_flange_mm, tolerance::border_look_mm) &&
        trim.arch_medial_mm > rule.medial_flange_mm;
    if (!moved(surface::arch_station, false) && !scalloped)
        compare("lateral border", trim.arch_lateral_mm,
                surface::rule_height(rule, surface::arch_station, false), tolerance::border_look_mm);
    const surface::LateralFlange& flange = rule.lateral_flange;
    if (flange.height_mm > 0.0 && !moved(0.5 * (flange.from + flange.to), false))
        compare("lateral flange", trim.lateral_flange_mm, flange.height_mm, tolerance::border_look_mm);
    if (rule.first_ray_cutout.length_mm > 0.0)
        compare("first-ray cut-out", trim.cutout_mm, rule.first_ray_cutout.length_mm,
                tolerance::border_look_mm);
    if (rule.lateral_scallop.depth_mm > 0.0 && !moved(surface::scallop_station(rule), false))
        compare("scallop of the lateral edge", trim.scallop_mm, rule.lateral_scallop.depth_mm,
                tolerance::scallop_look_mm);
    if (trim.cutout_mm > 0.0 &&
        trim.cutout_radius_mm < tolerance::cutout_corner_look_share * rule.first_ray_cutout.radius_mm)
        compare("corners of the first-ray cut-out", trim.cutout_radius_mm, rule.first_ray_cutout.radius_mm,
                0.0);
    if (trim.corner_radius_mm < tolerance::corner_look_share * rule.corner_radius_mm)
        compare("radius of the distal corners", trim.corner_radius_mm, rule.corner_radius_mm, 0.0);
    check.figure = worst;
    check.message = check.verdict == Verdict::pass
                        ? "Cup depths, borders and corners come out as asked, within " +
                              rounded(std::abs(worst), 1) + " mm."
                        : "The line differs from what was asked: " + check.message + "." +
                              (high_arch ? " Under a high arch it runs where the cast becomes a wall, above "
                                           "the height asked."
                                         : "");
    return check;
}

std::vector<DistalReach> distal_reach(const surface::SplineSurface& carpet, const surface::TrimLine& trim,
                                      const foot::Landmarks& landmarks) {
    constexpr int per_span = 16;
    const int count = static_cast<int>(trim.curve.control.size()) * per_span;
    std::vector<Vec3> line;
    for (int k = 0; k <= count; ++k)
        line.push_back(carpet.point(trim.curve.point(static_cast<double>(k % count) / per_span)));
    std::vector<DistalReach> reach;
    for (const LandmarkId id :
         {LandmarkId::first_head_plantar, LandmarkId::second_head_plantar, LandmarkId::fifth_head_plantar}) {
        const auto head = landmarks.find(id);
        if (head == landmarks.end()) continue;
        const Vec3& p = head->second.position;
        std::optional<double> edge;
        for (std::size_t k = 0; k + 1 < line.size(); ++k) {
            const Vec3 &a = line[k], &b = line[k + 1];
            if ((a.y() > p.y()) == (b.y() > p.y())) continue;
            const double x = a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x());
            edge = std::max(edge.value_or(x), x);
        }
        if (edge) reach.push_back({id, p.x() - *edge});
    }
    return reach;
}

Check check_distal(const std::vector<DistalReach>& reach) {
    Check check = named_check("trim.distal", "Distal edge behind the heads");
    check.unit = "mm";
    check.limit = 0.0;
    if (reach.empty()) {
        check.message = "No metatarsal head lies over the edge's breadth.";
        return check;
    }
    for (const DistalReach& r : reach) {
        check.figure = std::min(check.figure.value_or(r.behind_mm), r.behind_mm);
        check.message += (check.message.empty() ? "The edge ends " : ", ") +
                         rounded(std::abs(r.behind_mm), 1) + " mm " +
                         (r.behind_mm < 0.0 ? "PAST" : "behind") + " the " + foot::title(r.head);
    }
    check.message += ".";
    if (*check.figure < 0.0) {
        check.verdict = Verdict::look;
        check.message +=
            " An edge under a metatarsal head can hurt: shorten the device, or check the landmark.";
    }
    return check;
}

}  // namespace archwright::build
