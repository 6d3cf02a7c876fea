// repair: a person has a place of the cast made anew. answer: a person says what a finding is.
#include <algorithm>
#include <cmath>

#include <nlohmann/json.hpp>

#include "engine/base/text.hpp"
#include "engine/build/cast_verdict.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/free_name.hpp"
#include "engine/design/words.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

using examine::Finding;

Fault usage(const char* stage, const std::string& message) {
    return {FaultKind::usage, stage, message, {}};
}

/// A finding by the number `inspect` shows.
Outcome<build::Examined::Call> numbered(const build::Examined& examined, int number, const char* stage) {
    if (number < 1 || static_cast<std::size_t>(number) > examined.calls.size())
        return usage(stage, "There is no finding " + std::to_string(number) +
                                "; `archwright inspect` of the job shows " +
                                std::to_string(examined.calls.size()) + ".");
    return examined.calls[static_cast<std::size_t>(number) - 1];
}

constexpr const char* numbered_anew =
    "What is left of the list is numbered anew: look at `archwright inspect` before the next.";

/// The repair of a finding. Fault where a person, or a mark, says that the foot is so.
Outcome<design::Repair> repair_of(int number, const build::Received& received,
                                  const build::Examined& examined) {
    const auto call = numbered(examined, number, "repair");
    if (!call) return call.fault();
    auto repair = build::proposed_repair(*call, received.standing.frame);
    if (repair) return repair;
    Fault fault = repair.fault();
    fault.message = build::in_brief(examined, number) + ": " + fault.message;
    if (call->answered == design::Answer::Is::foot)
        fault.message += " Take the answer back first: archwright answer JOB " + std::to_string(number) +
                         " open --by CODE";
    return fault;
}

/// A flat that nobody calls the foot's own, where a repair by hand would carve one.
std::optional<Fault> on_a_flat(const design::Repair& repair, const build::Examined& examined) {
    for (std::size_t i = 0; i < examined.calls.size(); ++i) {
        const build::Examined::Call& call = examined.calls[i];
        if (call.finding.kind != Finding::Kind::flat_heel && call.finding.kind != Finding::Kind::flat_border)
            continue;
        const double apart =
            examined.mm_per_unit * examine::distance_to_line(call.in_scan, repair.points) - repair.reach_mm;
        if (!call.open() || apart > 0.5 * call.finding.length_mm) continue;
        return usage("repair",
                     build::in_brief(examined, static_cast<int>(i) + 1) +
                         ", lies there: what a flat took away is not in the cast and is not invented. "
                         "Take the cast again, or say that the foot is so: archwright answer JOB " +
                         std::to_string(i + 1) + " foot --by CODE");
    }
    return std::nullopt;
}

Outcome<std::vector<design::Repair>> asked_repairs(const RepairOptions& options,
                                                   const build::Received& received,
                                                   const build::Examined& examined) {
    if (options.findings.empty() == options.places.empty())
        return usage(
            "repair",
            "Say which: --finding N as `archwright inspect` of the job shows it (several: 1,3), or --at "
            "X,Y,Z (several for a line) with --what.");
    std::vector<design::Repair> repairs;
    for (const int number : options.findings) {
        auto repair = repair_of(number, received, examined);
        if (!repair) return repair.fault();
        repairs.push_back(std::move(*repair));
    }
    if (!options.places.empty()) {
        const auto kind = design::from_key<Finding::Kind>(options.what);
        if (!kind || !repairable(*kind))
            return usage("repair",
                         "Say with --what what is repaired there: dent, crease, seam, bump, rough.");
        design::Repair& repair = repairs.emplace_back();
        repair.what = *kind;
        repair.points = options.places;
    }
    if (repairs.size() > 1 && !options.name.empty())
        return usage("repair", "--name names one repair, and there are several.");
    for (design::Repair& repair : repairs) {
        if (options.reach_mm) repair.reach_mm = *options.reach_mm;
        repair.by = options.by;
        repair.reason = options.reason;
        if (auto fault = on_a_flat(repair, examined)) return *fault;
    }
    return repairs;
}

/// The repair under a name that is free. Fault: the name is taken, or the same place is repaired already.
std::optional<Fault> add_to(design::FootDesign& foot, design::Repair repair, const std::string& name) {
    repair.name = name.empty() ? design::free_name(foot.repairs, key(repair.what)) : name;
    for (const design::Repair& other : foot.repairs) {
        if (other.name == repair.name)
            return usage("repair", "The job has a repair \"" + repair.name + "\" already: give --name.");
        if (other.points == repair.points && other.reach_mm == repair.reach_mm)
            return usage("repair",
                         "The repair \"" + other.name + "\" has made this very place anew already.");
    }
    foot.repairs.push_back(std::move(repair));
    return std::nullopt;
}

std::string told(const examine::RepairFigure& figure, const design::Repair& repair) {
    return "Repair \"" + repair.name + "\" (reach " + rounded(repair.reach_mm, 1) + " mm): the cast moved " +
           (figure.largest_mm < 0.0 ? "into" : "away from") + " the foot by " +
           rounded(std::abs(figure.largest_mm), 2) + " mm at most, " +
           rounded(std::abs(figure.volume_mm3), 0) + " mm3 in all; round it the fitted surface lies " +
           rounded(figure.around_mm, 2) + " mm rms from the cast." + build::beyond_words(figure, repair);
}

}  // namespace

Exit run_repair(Console& console, const RepairOptions& options) {
    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    design::FootDesign& foot = *job->foot(*side);
    if (!options.remove.empty()) {
        const auto found = std::find_if(foot.repairs.begin(), foot.repairs.end(),
                                        [&](const design::Repair& r) { return r.name == options.remove; });
        if (found == foot.repairs.end())
            return console.fail(usage("repair", "The job has no repair \"" + options.remove + "\"."));
        foot.repairs.erase(found);
        if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
            return console.fail(saved.fault());
        console.say("Repair \"" + options.remove + "\" taken back." +
                    (foot.repairs.empty()
                         ? " The cast is there as it came."
                         : " " + std::to_string(foot.repairs.size()) + " other repairs stand."));
        if (console.json()) console.print("{\"ok\": true}\n");
        return Exit::done;
    }
    if (options.by.empty()) return console.fail(usage("repair", "Say who asks for it: --by CODE."));
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto before = (*bench)->receive(*job, *side, console.progress());
    if (!before) return console.fail(before.fault());
    const auto examined = (*bench)->examine(*job, *side, console.progress());
    if (!examined) return console.fail(examined.fault());
    auto repairs = asked_repairs(options, **before, **examined);
    if (!repairs) return console.fail(repairs.fault());
    const std::size_t first = foot.repairs.size();
    for (design::Repair& repair : *repairs)
        if (const auto fault = add_to(foot, std::move(repair), options.name)) return console.fail(*fault);
    const auto after = (*bench)->receive(*job, *side, console.progress());
    if (!after) return console.fail(after.fault());
    if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
        return console.fail(saved.fault());

    for (std::size_t i = first; i < foot.repairs.size(); ++i) {
        if (!options.findings.empty())
            console.say(build::in_brief(**examined, options.findings[i - first]) + ":");
        console.say(told((*after)->repaired->figures[i], foot.repairs[i]));
    }
    for (const char* id : {"forefoot_to_rearfoot", "arch_height"}) {
        const foot::Measurement* was = foot::find((*before)->measurements, id);
        const foot::Measurement* is = foot::find((*after)->measurements, id);
        if (was == nullptr || is == nullptr) continue;
        const bool angle = was->unit == "degrees";
        const auto told = [&](double v) { return angle ? inclination(v) : rounded(v, 1) + " mm"; };
        console.say("  " + was->title + ": " + told(was->value) + " before, " + told(is->value) + " after.");
    }
    if (!options.findings.empty()) console.say(numbered_anew);
    if (console.json()) {
        auto made = nlohmann::ordered_json::array();
        for (std::size_t i = first; i < foot.repairs.size(); ++i) {
            const examine::RepairFigure& figure = (*after)->repaired->figures[i];
            made.push_back({{"repair", figure.name},
                            {"largest_mm", figure.largest_mm},
                            {"volume_mm3", figure.volume_mm3},
                            {"left_mm", figure.left_mm}});
        }
        console.print(nlohmann::ordered_json{{"ok", true}, {"repairs", made}}.dump() + "\n");
    }
    return Exit::done;
}

Exit run_answer(Console& console, const AnswerOptions& options) {
    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto examined = (*bench)->examine(*job, *side, console.progress());
    if (!examined) return console.fail(examined.fault());
    design::FootDesign& foot = *job->foot(*side);
    const auto is = design::from_key<design::Answer::Is>(options.is);
    std::vector<design::Answer> answers;
    for (const int number : options.findings) {
        const auto call = numbered(**examined, number, "answer");
        if (!call) return console.fail(call.fault());
        std::erase_if(foot.answers, [&](const design::Answer& a) {
            return build::is_about(a, *call, (*examined)->mm_per_unit);
        });
        if (is) answers.push_back({call->finding.kind, call->in_scan, *is, options.by, options.note});
    }
    foot.answers.insert(foot.answers.end(), answers.begin(), answers.end());
    if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
        return console.fail(saved.fault());
    for (const int number : options.findings)
        console.say(build::in_brief(**examined, number) + ": " +
                    (is ? design::title_of(*is) + std::string(", says ") + options.by + "." : "open again."));
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
