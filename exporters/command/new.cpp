#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/build/cast.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/second_foot.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

namespace fs = std::filesystem;

namespace {

// How the cast is named in a job that stands in `folder`.
Outcome<std::string> relative_name(const fs::path& cast, const fs::path& job, bool allow_outside) {
    std::error_code error;
    const fs::path folder = fs::weakly_canonical(fs::absolute(job).parent_path(), error);
    const fs::path full = fs::weakly_canonical(fs::absolute(cast), error);
    const fs::path relative = full.lexically_relative(folder);
    if (relative.empty() || (*relative.begin() == ".." && !allow_outside))
        return Fault{
            FaultKind::usage,
            "new",
            "The cast " + cast.string() + " lies outside the folder of the job " + job.string() +
                ". Put the job beside the cast, or pass --allow-outside (and pass it again to make).",
            {}};
    return relative.generic_string();
}

template <class T>
void propose(design::Statement& statement, const scan::Proposal<T>& proposal) {
    statement.by = design::StatedBy::proposed;
    statement.evidence = proposal.reason;
    statement.confidence = proposal.confidence;
    statement.clear = proposal.clear;
}

void state(design::Statement& statement, const std::string& by) {
    statement.by = design::StatedBy::person;
    statement.code = by;
    statement.confidence = 1.0;
    statement.clear = true;
}

// A file name's stem as a case code: letters, digits and dashes.
std::string code_from(const fs::path& job) {
    std::string code;
    for (const char c : job.stem().string()) {
        const bool plain =
            (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
        if (plain)
            code += c;
        else if (!code.empty() && code.back() != '-')
            code += '-';
    }
    while (!code.empty() && code.back() == '-') code.pop_back();
    for (const char* side : {"-left", "-right"})  // the side stands in every file name anyway
        if (code.ends_with(side) && code.size() > std::string(side).size())
            code.resize(code.size() - std::string(side).size());
    return code;
}

}  // namespace

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
    if (options.add) {
        if (options.replace || !options.case_code.empty())
            return usage("--add takes the case as it is: leave --replace and --case out.");
        auto old = open_job(options.job, options.reading);
        if (!old) return console.fail(old.fault());
        job = std::move(*old);
    } else {
        job.case_code = options.case_code.empty() ? code_from(options.job) : options.case_code;
    }
    const auto name = relative_name(options.cast, options.job, options.reading.allow_outside);
    if (!name) return console.fail(name.fault());

    auto cast = build::open_cast(options.cast, options.reading.limits, console.progress());
    if (!cast) return console.fail(cast.fault());
    scan::Stated stated;
    stated.side = options.side;
    stated.unit = options.unit;
    const auto received = build::first_look(*cast, stated, console.progress());
    if (!received) return console.fail(received.fault());
    const scan::Reception& reception = received->reception;
    const Side side = received->standing.frame.side;
    const LengthUnit unit = options.unit.value_or(reception.unit.value);

    if (job.foot(side))
        return usage(options.job.string() + " holds a " + word(side) +
                     " foot already, and this cast is stated or looks to be one: state its side if it is the "
                     "other.");
    design::FootDesign design;
    design.cast.path = *name;
    design.cast.sha256 = (*cast)->sha256;
    design.cast.unit.value = unit;
    options.unit ? state(design.cast.unit, options.by) : propose(design.cast.unit, reception.unit);
    options.side ? state(design.side, options.by) : propose(design.side, reception.side);
    design.landmarks = scan_landmarks(received->standing);
    std::vector<std::string> drawn;
    if (options.same_order) drawn = design::copy_order(*job.foot(other(side)), design);
    job.foot(side) = std::move(design);
    const auto examined = build::examine_stage(*received, *job.foot(side), console.progress());
    if (!examined) return console.fail(examined.fault());
    if (const auto saved = keep_job(job, options.job, options.reading); !saved)
        return console.fail(saved.fault());

    const CastReport report{*received, *examined, nullptr, side, {}};
    if (console.json()) {
        std::string text = cast_json(report);
        if (options.same_order) {
            auto out = nlohmann::ordered_json::parse(text);
            out["same_order"] = {{"from", word(other(side))}, {"drawn_for_that_foot", drawn}};
            text = out.dump(2) + "\n";
        }
        console.print(text);
        return Exit::done;
    }
    console.print(cast_text(report));
    console.say("");
    console.say("Wrote " + options.job.string() + ": " + word(side) + " foot, unit " + word(unit) + ".");
    if (!options.add && options.case_code.empty())
        console.say("Case code " + job.case_code +
                    ", from the job file's name (--case gives another). It stands in every file, and on the "
                    "device where letters are ordered: a code, never a person's name.");
    if (options.same_order)
        console.say(std::string("Balance, dressing, trim, wall, reliefs, posts, rim, material, covers and "
                                "letters are those of the ") +
                    word(other(side)) +
                    " foot, mirrored. Landmarks, marks, sign-offs and approvals are not.");
    if (!drawn.empty()) {
        console.say(std::string("These were drawn for the ") + word(other(side)) +
                    " foot; look whether they belong here, in the same place:");
        for (const std::string& each : drawn) console.say("  " + each);
    }
    std::string to_state;
    for (const Check& check : received->checks) {
        if (check.verdict == Verdict::pass) continue;
        if (check.id == "receive.side") to_state += std::string(" --side ") + word(side);
        if (check.id == "receive.unit") to_state += std::string(" --unit ") + word(reception.unit_of_shape);
    }
    if (!to_state.empty())
        console.say("Look at the evidence above, and state what is right, for example: archwright state " +
                    options.job.string() + (options.add ? std::string(" --foot ") + word(side) : "") +
                    to_state + " --by CODE");
    console.say("Next: archwright make " + options.job.string() + " -o DIR");
    return Exit::done;
}

}  // namespace archwright::exporters::command
