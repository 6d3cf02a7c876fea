// repair: a person has a place of the cast made anew. answer: a person says what a finding is.
#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
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
                                "; `archwright inspect` of the job "
                                "shows " +
                                std::to_string(examined.calls.size()) + ".");
    return examined.calls[static_cast<std::size_t>(number) - 1];
}

/// "dent", or "dent-2" where that is taken.
std::string free_name(const design::FootDesign& foot, const std::string& wanted) {
    const auto taken = [&](const std::string& name) {
        return std::any_of(foot.repairs.begin(), foot.repairs.end(),
                           [&](const design::Repair& r) { return r.name == name; });
    };
    std::string name = wanted;
    for (int i = 2; taken(name); ++i) name = wanted + "-" + std::to_string(i);
    return name;
}

Outcome<design::Repair> asked_repair(const RepairOptions& options, const build::Received& received,
                                     const build::Examined& examined) {
    if (options.finding.has_value() == !options.places.empty())
        return usage("repair",
                     "Say which: --finding N as `archwright inspect` of the job shows it, or --at X,Y,Z "
                     "(several for a line) with --what.");
    design::Repair repair;
    if (options.finding) {
        const auto call = numbered(examined, *options.finding, "repair");
        if (!call) return call.fault();
        auto proposed = build::proposed_repair(*call, received.standing.frame);
        if (!proposed) return proposed.fault();
        repair = std::move(*proposed);
    } else {
        const auto kind = design::from_key<Finding::Kind>(options.what);
        if (!kind)
            return usage("repair",
                         "Say with --what what is repaired there: dent, crease, seam, bump, rough.");
        if (*kind != Finding::Kind::dent && *kind != Finding::Kind::crease && *kind != Finding::Kind::seam &&
            *kind != Finding::Kind::bump && *kind != Finding::Kind::rough)
            return usage("repair", std::string("A ") + title(*kind) +
                                       " is not repaired: what was there is not in the cast.");
        repair.what = *kind;
        repair.points = options.places;
    }
    if (options.reach_mm) repair.reach_mm = *options.reach_mm;
    repair.by = options.by;
    repair.reason = options.reason;
    return repair;
}

}  // namespace

Exit run_repair(Console& console, const RepairOptions& options) {
    auto job = open_job(options.job, options.reading);
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
        if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
            return console.fail(saved.fault());
        console.say("Repair \"" + options.remove + "\" taken back: the cast is there as it came.");
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
    auto repair = asked_repair(options, **before, **examined);
    if (!repair) return console.fail(repair.fault());
    repair->name = options.name.empty() ? free_name(foot, key(repair->what)) : options.name;
    if (std::any_of(foot.repairs.begin(), foot.repairs.end(),
                    [&](const design::Repair& r) { return r.name == repair->name; }))
        return console.fail(
            usage("repair", "The job has a repair \"" + repair->name + "\" already: give --name."));
    foot.repairs.push_back(*repair);
    const auto after = (*bench)->receive(*job, *side, console.progress());
    if (!after) return console.fail(after.fault());
    if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
        return console.fail(saved.fault());

    const examine::RepairFigure& figure = (*after)->repaired->figures.back();
    console.say("Repair \"" + repair->name + "\" (reach " + rounded(repair->reach_mm, 1) +
                " mm): the cast moved " + (figure.largest_mm < 0.0 ? "into" : "away from") + " the foot by " +
                rounded(std::abs(figure.largest_mm), 2) + " mm at most, " +
                rounded(std::abs(figure.volume_mm3), 0) + " mm3 in all; round it the fitted surface lies " +
                rounded(figure.around_mm, 2) + " mm rms from the cast.");
    for (const char* id : {"forefoot_to_rearfoot", "arch_height"}) {
        const foot::Measurement* was = foot::find((*before)->measurements, id);
        const foot::Measurement* is = foot::find((*after)->measurements, id);
        if (was == nullptr || is == nullptr) continue;
        const bool angle = was->unit == "degrees";
        const auto told = [&](double v) { return angle ? inclination(v) : rounded(v, 1) + " mm"; };
        console.say("  " + was->title + ": " + told(was->value) + " before, " + told(is->value) + " after.");
    }
    if (console.json())
        console.print("{\"ok\": true, \"repair\": \"" + repair->name + "\", \"largest_mm\": " +
                      exact(figure.largest_mm) + ", \"volume_mm3\": " + exact(figure.volume_mm3) + "}\n");
    return Exit::done;
}

Exit run_answer(Console& console, const AnswerOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto examined = (*bench)->examine(*job, *side, console.progress());
    if (!examined) return console.fail(examined.fault());
    const auto call = numbered(**examined, options.finding, "answer");
    if (!call) return console.fail(call.fault());
    design::FootDesign& foot = *job->foot(*side);
    std::erase_if(foot.answers, [&](const design::Answer& a) {
        return build::is_about(a, *call, (*examined)->mm_per_unit);
    });
    std::string said = "is open again.";
    if (const auto is = design::from_key<design::Answer::Is>(options.is)) {
        foot.answers.push_back({call->finding.kind, call->in_scan, *is, options.by, options.note});
        said = std::string("is ") + design::title_of(*is) + ", says " + options.by + ".";
    }
    if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
        return console.fail(saved.fault());
    console.say("Finding " + std::to_string(options.finding) + " (" + title(call->finding.kind) + ") " +
                said);
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
