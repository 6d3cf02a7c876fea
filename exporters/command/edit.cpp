// Commands that change the job alone: sign, set, revise; and the schema.
#include <algorithm>

#include "engine/design/parameters.hpp"
#include "engine/design/schema.hpp"
#include "engine/design/statement.hpp"
#include "engine/design/text_kind.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

Exit save(Console& console, const design::Job& job, const std::filesystem::path& path,
          const CastOptions& reading) {
    if (const auto saved = keep_job(job, path, reading); !saved) return console.fail(saved.fault());
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace

Exit run_sign(Console& console, const SignOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    // only a check that stops this very device can be signed, and only where a person may sign it
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto device = (*bench)->build(*job, *side, console.progress());
    if (!device) return console.fail(device.fault());
    const std::vector<Check> stops = device->open_stops();
    const auto stop =
        std::find_if(stops.begin(), stops.end(), [&](const Check& c) { return c.id == options.check; });
    if (stop == stops.end()) {
        std::string message = "The check \"" + options.check + "\" does not stop this device.";
        for (const Check& open : stops) message += "\n  [stop] " + open.title + " (" + open.id + ")";
        return console.fail({FaultKind::usage, "sign", message + "\nNothing was changed.", {}});
    }
    if (!stop->signable)
        return console.fail(
            {FaultKind::usage, "sign",
             stop->title + " (" + stop->id + ") can never be signed off; mend it: " + stop->message,
             stop->where});
    const auto done = design::sign(*job, *side, options.check, options.by, options.reason, options.second);
    if (!done) return console.fail(done.fault());
    console.say("Signed " + options.check + " for the " + word(*side) + " foot, by " + options.by +
                ". It holds for the design as it is now; any later edit voids it.");
    return save(console, *job, options.job, options.reading);
}

Exit run_set(Console& console, const SetOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return console.fail(materials.fault());
    std::string told;
    for (const std::string& setting : options.settings) {
        const std::size_t equals = setting.find('=');
        if (equals == std::string::npos)
            return console.fail({FaultKind::usage,
                                 "set",
                                 "\"" + setting +
                                     "\" is no setting; write NAME=VALUE, for example "
                                     "trim.cup_posterior_mm=14. Nothing was changed.",
                                 {}});
        std::string name = setting.substr(0, equals);
        const std::string value = setting.substr(equals + 1);
        std::optional<Side> side = options.foot;  // "left.trim..." says the foot as the job file does
        for (const Side each : {Side::left, Side::right})
            if (const std::string prefix = std::string(word(each)) + "."; name.starts_with(prefix)) {
                name.erase(0, prefix.size());
                side = each;
            }
        bool of_case = false;
        for (const design::Parameter& parameter : design::case_parameters())
            of_case |= parameter.name == name;
        if (of_case) {
            if (const auto done = design::set(*job, name, value); !done) return console.fail(done.fault());
        } else {
            const auto foot = choose_foot(*job, side);
            if (!foot) return console.fail(foot.fault());
            if (const auto done = design::set(*job->foot(*foot), name, value); !done)
                return console.fail(done.fault());
            if (name == "material")
                if (const auto known = materials->find(value); !known) return console.fail(known.fault());
        }
        told += (told.empty() ? "" : "\n") + name + " = " + value;
    }
    const Exit saved = save(console, *job, options.job, options.reading);
    if (saved == Exit::done) console.say(told);
    return saved;
}

Exit run_revise(Console& console, const ReviseOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    design::Revision revision;
    revision.letter = design::next_letter(job->revision());
    revision.date = options.date;
    revision.note = options.note;
    job->revisions.push_back(revision);
    const Exit saved = save(console, *job, options.job, options.reading);
    if (saved == Exit::done) console.say("Revision " + revision.letter + ": " + revision.note);
    return saved;
}

Exit run_schema(Console& console) {
    console.print(design::json_schema());
    return Exit::done;
}

}  // namespace archwright::exporters::command
