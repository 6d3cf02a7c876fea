#include "engine/build/repair_stage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/words.hpp"

namespace archwright::build {

namespace {

using examine::distance_to_line;

Vec3 middle_of(const design::Mark& mark) {
    Vec3 middle = Vec3::Zero();
    for (const Vec3& p : mark.points) middle += p / static_cast<double>(mark.points.size());
    return middle;
}

/// Distance of a mark from one place or the line through several, mm; 0 inside an area.
double gap(const design::Mark& mark, const std::vector<Vec3>& line, double mm_per_unit) {
    std::vector<Vec3> drawn = mark.points;
    if (mark.kind == design::Mark::Kind::area) drawn.push_back(drawn.front());
    double least = std::numeric_limits<double>::infinity();
    for (const Vec3& p : drawn) least = std::min(least, distance_to_line(p, line));
    for (const Vec3& p : line) least = std::min(least, distance_to_line(p, drawn));
    if (mark.kind == design::Mark::Kind::area) {
        const Vec3 middle = middle_of(mark);
        double radius = 0.0;
        for (const Vec3& p : mark.points)
            radius += (p - middle).norm() / static_cast<double>(mark.points.size());
        least = std::min(least, std::max(0.0, distance_to_line(middle, line) - radius));
    }
    return mm_per_unit * least;
}

/// How far round what was drawn the foot is meant to be as it is, mm.
double guarded(const design::Mark& mark) {
    return mark.kind == design::Mark::Kind::area ? 0.0 : protected_spot_mm;
}

bool of_the_foot(const design::Mark& mark) {
    using enum archwright::mark::Meaning;
    return !mark.refused && !mark.points.empty() &&
           (mark.meaning == pain || mark.meaning == lesion || mark.meaning == bone);
}

}  // namespace

std::vector<GuardedPlace> guarded_places(const std::vector<design::Mark>& marks, const foot::Frame& frame) {
    std::vector<GuardedPlace> places;
    for (const design::Mark& mark : marks) {
        if (!of_the_foot(mark) || mark.open()) continue;
        GuardedPlace whole;
        whole.place = middle_of(mark);
        for (const Vec3& p : mark.points)
            whole.reach_mm = std::max(whole.reach_mm, frame.mm_per_unit * (p - whole.place).norm());
        whole.place = frame.to_design(whole.place);
        places.push_back(whole);
    }
    return places;
}

const design::Mark* mark_at(const std::vector<design::Mark>& marks, const Vec3& place, double mm_per_unit) {
    for (const design::Mark& mark : marks)
        if (of_the_foot(mark) && !mark.open() && gap(mark, {place}, mm_per_unit) <= guarded(mark))
            return &mark;
    return nullptr;
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
        if (!examine::repairable(one.what))
            return Fault{FaultKind::input, "repair",
                         "The repair \"" + one.name + "\" is to make a " + title(one.what) +
                             " anew: what was there is not in the cast. Take the repair out.",
                         std::nullopt};
        for (const design::Mark& mark : foot.marks) {
            if (!of_the_foot(mark) || mark.open()) continue;
            const double into = one.reach_mm + guarded(mark) - gap(mark, one.points, mm);
            if (into > 0.0)
                return Fault{FaultKind::check, "repair",
                             "The repair \"" + one.name + "\" reaches " + rounded(into, 1) +
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
    if (!call.open())
        return Fault{FaultKind::usage, "repair",
                     call.on_mark.empty() ? "It is the foot's own shape, says " + call.answered_by + "."
                                          : "It lies on the mark \"" + call.on_mark +
                                                "\": what is marked as real is not smoothed away.",
                     f.place};
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
        default:  // not repairable()
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

std::string beyond_words(const examine::RepairFigure& figure, const design::Repair& asked) {
    using enum examine::Finding::Kind;
    std::string text;
    constexpr double plain_mm = 0.3;  // less is the noise of the fit
    const bool fills = asked.what == dent, levels = asked.what == bump;
    if ((fills && figure.largest_mm < -plain_mm) || (levels && figure.largest_mm > plain_mm))
        text += std::string(" That is the other way than a ") + title(asked.what) +
                " asks for: look whether there is one.";
    if (figure.left_mm > 0.0)
        text += " Of its line " + rounded(figure.left_mm, 0) +
                " mm at the ends were left as they are: the cast bends too far round there.";
    return text;
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
                         (asked.reason.empty() ? "." : ": " + asked.reason + ".") +
                         beyond_words(figure, asked);
        for (const design::Mark& mark : foot.marks)
            if (of_the_foot(mark) && mark.open() &&
                gap(mark, asked.points, frame.mm_per_unit) < asked.reach_mm + guarded(mark))
                check.message += " It reaches the suggested mark \"" + mark.name +
                                 "\", which nobody accepted or refused yet.";
    }
    return check;
}

}  // namespace archwright::build
