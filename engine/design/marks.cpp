#include "engine/design/marks.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/free_name.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"
#include "engine/mark/polyline.hpp"

namespace archwright::design {

namespace {

constexpr std::size_t most_marks = 200;  // as in the description

Fault wrong_mark(std::string message) {
    return Fault{FaultKind::usage, "mark", std::move(message) + " Nothing was changed.", {}};
}

Outcome<Mark*> found(FootDesign& foot, const std::string& name) {
    std::vector<std::string> names;
    for (Mark& mark : foot.marks) {
        if (mark.name == name) return &mark;
        names.push_back(mark.name);
    }
    if (names.empty())
        return wrong_mark(
            "The foot has no marks yet: archwright marks JOB looks for ink in its cast, and --at "
            "draws one by hand.");
    std::string message = "The foot has no mark " + in_quotes(name) + ".";
    if (const std::string near = nearest_word(name, names); !near.empty())
        message += " Did you mean \"" + near + "\"?";
    message += " There are:";
    for (const std::string& each : names) message += " " + each;
    return wrong_mark(message + ".");
}

std::optional<Fault> no_person(const std::string& by) {
    const std::string trouble = text_trouble(by, TextKind::code);
    if (trouble.empty()) return std::nullopt;
    return wrong_mark("Your code " + in_quotes(by) + ": " + trouble + ".");
}

std::optional<Fault> no_name(const FootDesign& foot, const std::string& name) {
    if (const std::string trouble = text_trouble(name, TextKind::name); !trouble.empty())
        return wrong_mark("The name " + in_quotes(name) + ": " + trouble + ".");
    if (foot::landmark_id(name))
        return wrong_mark(in_quotes(name) + " is the name of a landmark: choose another for the mark.");
    for (const Mark& mark : foot.marks)
        if (mark.name == name) return wrong_mark("There is a mark " + in_quotes(name) + " already.");
    return std::nullopt;
}

/// Share of a line's length that lies within `within` of another.
double share_near(const std::vector<Vec3>& line, bool closed, const std::vector<Vec3>& other,
                  bool other_closed, double within) {
    const std::vector<Vec3> points = mark::resampled(line, 1.0, closed);
    double near = 0.0;
    for (const Vec3& p : points)
        if (mark::distance(other, other_closed, p) <= within) near += 1.0;
    return points.empty() ? 0.0 : near / static_cast<double>(points.size());
}

}  // namespace

const Mark* mark_of(const FootDesign& foot, const mark::InkMark& ink, const foot::Frame& frame) {
    constexpr double most = 0.6;
    const bool closed = ink.kind == Mark::Kind::area;
    for (const Mark& mark : foot.marks) {
        std::vector<Vec3> points;
        for (const Vec3& p : mark.points) points.push_back(frame.to_design(p));
        const bool mark_closed = mark.kind == Mark::Kind::area;
        // a spot's place, and a spot drawn for a patch or a ring
        const bool both_long = mark.kind != Mark::Kind::spot && ink.kind != Mark::Kind::spot;
        const double within = tolerance::ink_same_mark_mm;
        if (both_long ? std::max(share_near(ink.points, closed, points, mark_closed, within),
                                 share_near(points, mark_closed, ink.points, closed, within)) >= most
                      : mark.kind == ink.kind && (points.front() - ink.points.front()).norm() <= within)
            return &mark;
    }
    return nullptr;
}

std::vector<InkInJob> suggest_marks(FootDesign& foot, const std::vector<mark::InkMark>& found,
                                    const foot::Frame& frame) {
    std::vector<InkInJob> told;
    for (const mark::InkMark& ink : found) {
        if (const Mark* known = mark_of(foot, ink, frame)) {
            told.push_back({known->refused ? InkInJob::What::refused : InkInJob::What::known, known->name});
            continue;
        }
        if (foot.marks.size() >= most_marks) break;
        Mark mark;
        mark.name = free_name(foot.marks, ink.name);
        mark.kind = ink.kind;
        mark.meaning = ink.guess;
        for (const Vec3& p : ink.points) mark.points.push_back(frame.to_scan(p));
        mark.source = foot::Landmark::Source::suggested;
        mark.confidence = ink.confidence;
        mark.breadth_mm = std::min(ink.breadth_mm, 100.0);
        mark.note = ink.sentence;
        told.push_back({InkInJob::What::added, mark.name});
        foot.marks.push_back(std::move(mark));
    }
    return told;
}

Outcome<Done> accept_mark(FootDesign& foot, const std::string& name, std::optional<Mark::Meaning> meaning,
                          const std::string& by) {
    if (auto trouble = no_person(by)) return *trouble;
    const auto mark = found(foot, name);
    if (!mark) return mark.fault();
    (*mark)->source = foot::Landmark::Source::set;
    (*mark)->refused = false;
    (*mark)->by = by;
    if (meaning) (*mark)->meaning = *meaning;
    return Done{};
}

Outcome<Done> refuse_mark(FootDesign& foot, const std::string& name, const std::string& by) {
    if (auto trouble = no_person(by)) return *trouble;
    const auto mark = found(foot, name);
    if (!mark) return mark.fault();
    (*mark)->refused = true;
    (*mark)->by = by;
    return Done{};
}

Outcome<Done> rename_mark(FootDesign& foot, const std::string& name, const std::string& to) {
    const auto mark = found(foot, name);
    if (!mark) return mark.fault();
    if (name == to) return Done{};
    if (auto trouble = no_name(foot, to)) return *trouble;
    (*mark)->name = to;
    for (feature::Feature& one : foot.features)
        if (one.anchor == name) one.anchor = to;
    return Done{};
}

Outcome<Done> draw_mark(FootDesign& foot, const std::string& name, const std::vector<Vec3>& points,
                        std::optional<Mark::Kind> kind, std::optional<Mark::Meaning> meaning,
                        const std::string& by, const std::string& note) {
    if (auto trouble = no_person(by)) return *trouble;
    auto at = std::find_if(foot.marks.begin(), foot.marks.end(),
                           [&](const Mark& mark) { return mark.name == name; });
    const bool fresh = at == foot.marks.end();
    if (fresh)
        if (auto trouble = no_name(foot, name)) return *trouble;
    if (fresh && foot.marks.size() >= most_marks)
        return wrong_mark("A foot holds at most " + std::to_string(most_marks) + " marks.");
    const Mark::Kind wanted = kind    ? *kind
                              : fresh ? (points.size() > 1 ? Mark::Kind::line : Mark::Kind::spot)
                                      : at->kind;
    const std::size_t least = wanted == Mark::Kind::spot ? 1 : wanted == Mark::Kind::line ? 2 : 3;
    if (points.size() < least || (wanted == Mark::Kind::spot && points.size() > 1))
        return wrong_mark(std::string("A mark of kind \"") + key_of(wanted) + "\" with " +
                          std::to_string(points.size()) +
                          " points: a spot has one, a line two or more, an area three or more.");
    Mark mark = fresh ? Mark{} : *at;
    mark.name = name;
    mark.kind = wanted;
    mark.points = points;
    mark.source = foot::Landmark::Source::set;
    mark.confidence = 1.0;
    mark.refused = false;
    mark.by = by;
    mark.note = note;
    if (meaning) mark.meaning = *meaning;
    if (fresh)
        foot.marks.push_back(std::move(mark));
    else
        *at = std::move(mark);
    return Done{};
}

Outcome<std::string> relieve_mark(FootDesign& foot, const std::string& name) {
    const auto at = found(foot, name);
    if (!at) return at.fault();
    const Mark& mark = **at;
    if (mark.refused) return wrong_mark(in_quotes(name) + " was refused: accept it first.");
    constexpr double depth_mm = 2.0, line_side_mm = 2.5, spot_more_mm = 4.0, groove_mm = 10.0,
                     cavity_mm = 15.0;
    feature::Feature relief;
    relief.name = free_name(foot.features, name + "-relief");
    relief.anchor = name;
    relief.depth_mm = depth_mm;
    if (mark.kind == Mark::Kind::line) {
        relief.kind = feature::Feature::Kind::groove;
        relief.width_mm = std::max(groove_mm, mark.breadth_mm + 2.0 * line_side_mm);
    } else {
        relief.kind = feature::Feature::Kind::cavity;
        relief.width_mm = relief.length_mm = std::max(cavity_mm, mark.breadth_mm + spot_more_mm);
    }
    if (const std::string trouble = text_trouble(relief.name, TextKind::name); !trouble.empty())
        return wrong_mark("The relief's name " + in_quotes(relief.name) + ": " + trouble +
                          ". Give the mark a shorter name.");
    foot.features.push_back(relief);
    return relief.name;
}

std::vector<std::string> lying_on(const FootDesign& foot, const std::string& mark) {
    std::vector<std::string> names;
    for (const feature::Feature& one : foot.features)
        if (one.anchor == mark) names.push_back(one.name);
    return names;
}

}  // namespace archwright::design
