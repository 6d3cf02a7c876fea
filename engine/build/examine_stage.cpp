#include <algorithm>
#include <cmath>
#include <map>

#include "engine/base/text.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/answer.hpp"
#include "engine/design/words.hpp"
#include "engine/examine/caliper_check.hpp"
#include "engine/examine/edge_faults.hpp"
#include "engine/examine/examine.hpp"
#include "engine/examine/repair.hpp"

namespace archwright::build {

namespace {

using examine::Finding;

void answer(Examined::Call& call, const std::vector<design::Answer>& answers, double mm_per_unit) {
    for (const design::Answer& one : answers) {
        if (!is_about(one, call, mm_per_unit)) continue;
        call.answered = one.is;
        call.answered_by = one.by;
        call.note = one.note;
    }
}

std::string said(const design::Answer::Is is, const std::string& by, const std::string& note) {
    return std::string(is == design::Answer::Is::foot ? "The foot's own shape" : "A fault left as it is") +
           ", says " + by + (note.empty() ? "." : ": " + note + ".");
}

std::string told(const Examined::Call& call, std::size_t number) {
    std::string text =
        "No. " + std::to_string(number) + (call.certain() ? ": " : ", a question: ") + call.finding.sentence;
    const std::string word = said_of(call);
    return text + " " + (word.empty() ? call.finding.advice_words : word);
}

/// One check a kind; a person is to look at what is not answered as the foot's own shape.
std::vector<Check> checks_of(const std::vector<Examined::Call>& calls) {
    std::map<Finding::Kind, Check> by_kind;
    for (std::size_t i = 0; i < calls.size(); ++i) {
        const Finding& finding = calls[i].finding;
        auto [at, first] =
            by_kind.try_emplace(finding.kind, named_check(std::string("cast.") + key(finding.kind),
                                                          std::string("Cast: ") + title(finding.kind)));
        Check& check = at->second;
        if (first) {
            check.unit = "mm";
            check.figure = finding.depth_mm;
            check.where = finding.place;
        }
        if (calls[i].open()) check.verdict = Verdict::look;
        check.message += (first ? "" : " ") + told(calls[i], i + 1);
    }
    std::vector<Check> checks;
    for (auto& [kind, check] : by_kind) checks.push_back(std::move(check));
    return checks;
}

}  // namespace

std::string said_of(const Examined::Call& call) {
    if (!call.on_mark.empty()) return "It lies on the mark \"" + call.on_mark + "\": left as it is.";
    return call.answered ? said(*call.answered, call.answered_by, call.note) : std::string();
}

bool is_about(const design::Answer& answer, const Examined::Call& call, double mm_per_unit) {
    const double apart = mm_per_unit * (answer.place - call.in_scan).norm();
    // a line's middle is worse known than a spot's, along it
    if (answer.what != call.finding.kind) return false;
    if (apart <= design::answer_reach_mm) return true;
    if (call.finding.line.empty() || apart > 0.5 * call.finding.length_mm) return false;
    return mm_per_unit * examine::distance_to_line(answer.place, call.line_in_scan) <=
           design::answer_reach_mm;
}

Outcome<Examined> examine_stage(const Received& received, const design::FootDesign& foot,
                                Progress& progress) {
    const Progress::Stretch stretch(progress, "Examining the cast", 0.28, 0.3);
    const foot::Standing& standing = received.standing;
    auto examination = examine::examine(standing, &progress);
    if (!examination) return examination.fault();
    Examined examined;
    examined.noise_mm = examination->noise_mm;
    examined.mm_per_unit = standing.frame.mm_per_unit;
    examined.map = std::move(examination->map);
    std::vector<Finding> findings = std::move(examination->findings);
    for (Finding& finding : examine::edge_faults(standing)) findings.push_back(std::move(finding));
    std::stable_sort(findings.begin(), findings.end(), examine::worse);
    for (Finding& finding : findings) {
        Examined::Call call;
        call.in_scan = standing.frame.to_scan(finding.place);
        for (const Vec3& p : finding.line) call.line_in_scan.push_back(standing.frame.to_scan(p));
        call.finding = std::move(finding);
        answer(call, foot.answers, standing.frame.mm_per_unit);
        const Finding::Kind kind = call.finding.kind;
        if (kind == Finding::Kind::dent || kind == Finding::Kind::bump)
            if (const design::Mark* mark = mark_at(foot.marks, call.in_scan, standing.frame.mm_per_unit))
                call.on_mark = mark->name;
        examined.calls.push_back(std::move(call));
    }
    examined.checks = checks_of(examined.calls);
    if (examined.calls.empty()) {
        Check sound = named_check("cast.faults", "Faults of the cast");
        sound.message = "None found. The scan's points lie " + rounded(examined.noise_mm, 2) +
                        " mm about a smooth surface.";
        examined.checks.push_back(sound);
    }
    for (const design::Answer& one : foot.answers)
        if (std::none_of(examined.calls.begin(), examined.calls.end(), [&](const Examined::Call& call) {
                return is_about(one, call, standing.frame.mm_per_unit);
            }))
            examined.elsewhere.push_back(one);
    if (!examined.elsewhere.empty()) {
        Check answered = named_check("cast.answered", "Answers about the cast");
        answered.message = "To places where nothing is found now:";
        for (const design::Answer& one : examined.elsewhere)
            answered.message += std::string(" ") + title(one.what) + " at " +
                                place(standing.frame.to_design(one.place)) + ". " +
                                said(one.is, one.by, one.note);
        examined.checks.push_back(answered);
    }
    if (auto calipers = examine::check_calipers(
            {foot.calipers.heel_breadth_mm, foot.calipers.ball_breadth_mm}, received.measurements))
        examined.checks.push_back(std::move(*calipers));
    return examined;
}

}  // namespace archwright::build
