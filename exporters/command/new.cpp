#include <algorithm>

#include "engine/build/cast.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/job_file.hpp"
#include "exporters/command/job_in_hand.hpp"

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
    statement.code = by.empty() ? "unnamed" : by;
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
    return code;
}

}  // namespace

Exit run_new(Console& console, const NewOptions& options) {
    std::error_code error;
    if (fs::exists(options.job, error) && !options.replace)
        return console.fail({FaultKind::usage,
                             "new",
                             options.job.string() +
                                 " exists already; nothing was changed. Choose another name, or "
                                 "pass --replace to start that job again.",
                             {}});
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

    design::Job job;
    job.case_code = options.case_code.empty() ? code_from(options.job) : options.case_code;
    design::FootDesign design;
    design.cast.path = *name;
    design.cast.sha256 = (*cast)->sha256;
    design.cast.unit.value = unit;
    options.unit ? state(design.cast.unit, options.by) : propose(design.cast.unit, reception.unit);
    options.side ? state(design.side, options.by) : propose(design.side, reception.side);
    design.landmarks = scan_landmarks(received->standing);
    job.foot(side) = std::move(design);
    design::JobReading how;
    how.allow_outside = options.reading.allow_outside;
    if (const auto saved = design::save_job(job, options.job, how); !saved)
        return console.fail(saved.fault());

    if (console.json()) {
        console.print(reception_json(**cast, *received));
        return Exit::done;
    }
    console.print(reception_text(**cast, *received));
    console.say("");
    console.say("Wrote " + options.job.string() + ": " + word(side) + " foot, unit " + word(unit) + ".");
    for (const auto& [id, what] :
         {std::pair("side", "--side right|left"), std::pair("unit", "--unit mm|cm|in|m")})
        for (const Check& check : received->checks)
            if (check.id == std::string("receive.") + id && check.verdict != Verdict::pass)
                console.say(std::string(check.verdict == Verdict::stop
                                            ? "Before it can be made, state the "
                                            : "Not stated by a person yet; state the ") +
                            id + ": archwright state " + options.job.string() + " " + what + " --by CODE");
    console.say("Next: archwright make " + options.job.string() + " -o DIR");
    return Exit::done;
}

}  // namespace archwright::exporters::command
