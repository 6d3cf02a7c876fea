#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/build/cast.hpp"
#include "engine/build/cast_verdict.hpp"
#include "engine/build/stages.hpp"
#include "engine/build/start_job.hpp"
#include "engine/mark/find_ink.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

namespace fs = std::filesystem;

Exit run_new(Console& console, const NewOptions& options) {
    const auto usage = [&](const std::string& message) {
        return console.fail({FaultKind::usage, "new", message + " Nothing was changed.", {}});
    };
    if ((options.side || options.unit) && options.by.empty())
        return usage("--side and --unit go on record as a person's word: add --by CODE, your own code.");
    if (same_file(options.cast, options.job))
        return usage(options.job.string() + " is the cast itself; give the job a name of its own.");
    std::error_code error;
    const bool there = fs::exists(options.job, error);
    if (there && !options.replace && !options.add)
        return usage(options.job.string() +
                     " exists already. Choose another name, pass --add for the other foot of that case, or "
                     "--replace to start that job again.");
    if (options.same_order && !options.add)
        return usage("--same-order takes over the order of the foot a job holds already: use it with --add.");
    design::Job job;
    FileKnown known = options.replace ? FileKnown::anything() : FileKnown::absent();
    if (options.add) {
        if (options.replace || !options.case_code.empty())
            return usage("--add takes the case as it is: leave --replace and --case out.");
        auto old = open_job(options.job, options.reading, &known);
        if (!old) return console.fail(old.fault());
        job = std::move(*old);
    } else {
        job.case_code = options.case_code.empty() ? build::case_code_from(options.job) : options.case_code;
    }
    const auto name = build::name_beside(options.cast, options.job, options.reading.allow_outside);
    if (!name) return console.fail(name.fault());

    auto cast = build::open_cast(options.cast, options.reading.limits, console.progress());
    if (!cast) return console.fail(cast.fault());
    const auto started = build::start_foot(
        job, *cast, *name, {options.side, options.unit, options.by, options.same_order}, console.progress());
    if (!started) return console.fail(started.fault());
    const build::Received& received = started->received;
    const Side side = started->side;
    const auto examined = build::examine_stage(received, *job.foot(side), console.progress());
    if (!examined) return console.fail(examined.fault());
    if (const auto saved = keep_job(job, options.job, options.reading, known); !saved)
        return console.fail(saved.fault());

    const auto ink = mark::find_ink(received.standing, &console.progress());
    if (!ink) return console.fail(ink.fault());
    const CastReport report{received, *examined, *ink, nullptr, side, {}};
    if (console.json()) {
        std::string text = cast_json(report);
        if (options.same_order) {
            auto out = nlohmann::ordered_json::parse(text);
            out["same_order"] = {{"from", word(other(side))}, {"drawn_for_that_foot", started->drawn}};
            text = out.dump(2) + "\n";
        }
        console.print(text);
        return Exit::done;
    }
    console.print(cast_text(report));
    console.say("");
    console.say("Wrote " + options.job.string() + ": " + word(side) + " foot, unit " + word(started->unit) +
                ".");
    if (!options.add && options.case_code.empty())
        console.say("Case code " + job.case_code +
                    ", from the job file's name (--case gives another). It stands in every file, and on the "
                    "device where letters are ordered: a code, never a person's name.");
    if (options.same_order)
        console.say(std::string("Balance, dressing, trim, wall, reliefs, posts, rim, material, covers and "
                                "letters are those of the ") +
                    word(other(side)) +
                    " foot, mirrored. Landmarks, marks, sign-offs and approvals are not.");
    if (!started->drawn.empty()) {
        console.say(std::string("These were drawn for the ") + word(other(side)) +
                    " foot; look whether they belong here, in the same place:");
        for (const std::string& each : started->drawn) console.say("  " + each);
    }
    std::string to_state;
    for (const Check& check : received.checks) {
        if (check.verdict == Verdict::pass) continue;
        if (check.id == "receive.side") to_state += std::string(" --side ") + word(side);
        if (check.id == "receive.unit")
            to_state += std::string(" --unit ") + word(received.reception.unit_of_shape);
    }
    if (!to_state.empty())
        console.say("Look at the evidence above, and state what is right, for example: archwright state " +
                    options.job.string() + (options.add ? std::string(" --foot ") + word(side) : "") +
                    to_state + " --by CODE");
    if (!ink->empty())
        console.say("Ink was found on the cast; to take it into the job as marks: archwright marks " +
                    options.job.string() + (options.add ? std::string(" --foot ") + word(side) : ""));
    const build::CastVerdict verdict = build::cast_verdict(report.examined);
    const std::vector<std::string> steps = build::next_steps(verdict, options.job.string());
    console.say("The cast: " + verdict.sentence);
    for (const std::string& step : steps) console.say((step == steps.front() ? "Next: " : "      ") + step);
    console.say((steps.empty() ? "Next: archwright make " : "Then: archwright make ") + options.job.string() +
                " -o DIR");
    return Exit::done;
}

}  // namespace archwright::exporters::command
