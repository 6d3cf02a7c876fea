#include "engine/build/repair_stage.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/words.hpp"

namespace archwright::build {

namespace {

bool is_real(const design::Mark& mark) {
    using enum design::Mark::Meaning;
    if (mark.refused) return false;
    return mark.meaning == pain || mark.meaning == lesion || mark.meaning == bone;
}

/// Middle and reach of a mark, in the unit of its points and mm.
struct Spot {
    Vec3 middle = Vec3::Zero();
    double reach_mm = protected_spot_mm;
};
Spot spot_of(const design::Mark& mark, double mm_per_unit) {
    Spot spot;
    for (const Vec3& p : mark.points) spot.middle += p;
    spot.middle /= static_cast<double>(mark.points.size());
    for (const Vec3& p : mark.points)
        spot.reach_mm = std::max(spot.reach_mm, mm_per_unit * (p - spot.middle).norm());
    return spot;
}

}  // namespace

std::vector<examine::ProtectedPlace> protected_places(const std::vector<design::Mark>& marks,
                                                      const foot::Frame& frame) {
    std::vector<examine::ProtectedPlace> places;
    for (const design::Mark& mark : marks) {
        if (!is_real(mark) || mark.points.empty()) continue;
        const Spot spot = spot_of(mark, frame.mm_per_unit);
        places.push_back({frame.to_design(spot.middle), spot.reach_mm});
    }
    return places;
}

Outcome<std::shared_ptr<const examine::Repaired>> repair_stage(const TriangleMesh& scan,
                                                               const scan::Reception& reception,
                                                               LengthUnit unit,
                                                               const design::FootDesign& foot,
                                                               Progress& progress) {
    if (foot.repairs.empty()) return std::shared_ptr<const examine::Repaired>();
    const double mm = mm_per(unit);
    std::vector<examine::RepairZone> zones;
    for (const design::Repair& one : foot.repairs) {
        for (const design::Mark& mark : foot.marks) {
            if (!is_real(mark) || mark.points.empty()) continue;
            const Spot spot = spot_of(mark, mm);
            const double gap = mm * examine::distance_to_line(spot.middle, one.points) - one.reach_mm;
            if (gap < spot.reach_mm)
                return Fault{FaultKind::check, "repair",
                             "The repair \"" + one.name + "\" reaches " + rounded(spot.reach_mm - gap, 1) +
                                 " mm into the mark \"" + mark.name + "\" (" +
                                 design::title_of(mark.meaning) +
                                 "): what is marked as real is not smoothed away. Make the repair smaller, "
                                 "or correct the mark.",
                             std::nullopt};
        }
        zones.push_back({one.name, one.points, one.reach_mm});
    }
    const examine::ScanFrame frame{mm, reception.inside_out.value, reception.toes.value, reception.up.value};
    auto repaired = examine::repair(scan, frame, zones, &progress);
    if (!repaired) return repaired.fault();
    return std::shared_ptr<const examine::Repaired>(
        std::make_shared<examine::Repaired>(std::move(*repaired)));
}

Outcome<design::Repair> proposed_repair(const Examined::Call& call, const foot::Frame& frame) {
    using Kind = examine::Finding::Kind;
    const examine::Finding& f = call.finding;
    design::Repair repair;
    repair.what = f.kind;
    switch (f.kind) {
        case Kind::dent:
        case Kind::bump:
            repair.reach_mm = 0.5 * std::max(f.length_mm, f.breadth_mm) + 0.5;
            break;
        case Kind::rough:
            repair.reach_mm = 0.5 * std::max(f.length_mm, f.breadth_mm);
            break;
        case Kind::crease:  // three standard deviations of a ridge whose breadth is that at half its height
            repair.reach_mm = 1.3 * f.breadth_mm + 1.0;
            break;
        case Kind::seam:  // the step is spread over a strip
            repair.reach_mm = 0.5 * f.breadth_mm + 8.0;
            break;
        default:
            return Fault{FaultKind::usage, "repair",
                         std::string("A ") + title(f.kind) +
                             " is not repaired: what was there is not in the cast. " + f.advice_words,
                         f.place};
    }
    constexpr double least = 2.0, most = 30.0;
    if (repair.reach_mm > most)
        return Fault{FaultKind::usage, "repair",
                     "It is " + rounded(2.0 * repair.reach_mm, 0) +
                         " mm across: too much of the foot to be told from what lies round it. " +
                         f.advice_words,
                     f.place};
    repair.reach_mm = std::round(2.0 * std::max(repair.reach_mm, least)) / 2.0;
    const std::vector<Vec3> on = f.line.empty() ? std::vector<Vec3>{f.place} : f.line;
    for (const Vec3& p : on) repair.points.push_back(frame.to_scan(p));
    while (repair.points.size() > design::most_repair_points) {  // every other, the ends kept
        std::vector<Vec3> fewer;
        for (std::size_t i = 0; i < repair.points.size(); i += 2) fewer.push_back(repair.points[i]);
        fewer.back() = repair.points.back();
        repair.points = std::move(fewer);
    }
    return repair;
}

std::optional<Check> check_repairs(const examine::Repaired& repaired, const design::FootDesign& foot,
                                   const foot::Frame& frame) {
    if (repaired.figures.empty()) return std::nullopt;
    Check check = named_check("cast.repaired", "Repairs of the cast");
    check.verdict = Verdict::look;
    check.unit = "mm";
    check.figure = 0.0;
    for (std::size_t i = 0; i < repaired.figures.size(); ++i) {
        const examine::RepairFigure& figure = repaired.figures[i];
        const design::Repair& asked = foot.repairs[i];
        if (std::abs(figure.largest_mm) >= std::abs(*check.figure)) {
            check.figure = figure.largest_mm;
            check.where = frame.to_design(figure.where);
        }
        check.message += (check.message.empty() ? "" : " ") + std::string("\"") + figure.name + "\" (" +
                         design::title_of(asked.what) + ", asked by " + asked.by + "): at " +
                         place(frame.to_design(figure.place)) + " the cast was moved " +
                         (figure.largest_mm < 0.0 ? "into" : "away from") + " the foot by " +
                         rounded(std::abs(figure.largest_mm), 2) + " mm at most, " +
                         rounded(std::abs(figure.volume_mm3), 0) + " mm3 in all" +
                         (asked.reason.empty() ? "." : ": " + asked.reason + ".");
    }
    return check;
}

}  // namespace archwright::build
