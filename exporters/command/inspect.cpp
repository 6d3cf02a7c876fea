#include "engine/build/cast.hpp"
#include "engine/build/stages.hpp"
#include "engine/mark/find_ink.hpp"
#include "engine/picture/cast_sheet.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

namespace {

/// The picture of one cast, where one is asked for.
std::optional<Fault> draw(const InspectOptions& options, const CastReport& report, const std::string& name) {
    if (options.picture.empty()) return std::nullopt;
    // no day: the same job gives the same picture
    const design::FootDesign* foot =
        report.job != nullptr && report.job->foot(report.side) ? &*report.job->foot(report.side) : nullptr;
    const auto drawn =
        picture::draw_cast_sheet(report.received, report.examined, report.side, {name, foot}, {});
    if (!drawn) return drawn.fault();
    if (const auto done = picture::write_png(drawn->image, options.picture); !done) return done.fault();
    return std::nullopt;
}

Exit inspect_job(Console& console, const InspectOptions& options) {
    const auto job = open_job(options.file, options.reading);
    if (!job) return console.fail(job.fault());
    const auto bench = open_bench(options.file, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto feet = choose_feet(*job, options.side);
    if (!feet) return console.fail(feet.fault());
    if (!options.picture.empty() && feet->size() > 1)
        return console.fail({FaultKind::usage,
                             "inspect",
                             "The job has two feet, and a picture shows one: say which with --foot.",
                             {}});
    const auto inputs = inputs_of(*job, options.file, options.reading.allow_outside);
    if (const auto may = picture_may_go(options.picture, "inspect", inputs); !may)
        return console.fail(may.fault());
    std::string out;
    for (const Side side : *feet) {
        const auto told = [&](const Fault& fault) {
            return console.fail(with_order(fault, *job, *feet, **bench));
        };
        const auto received = (*bench)->receive(*job, side, console.progress());
        if (!received) return told(received.fault());
        const auto examined = (*bench)->examine(*job, side, console.progress());
        if (!examined) return told(examined.fault());
        build::Examined findings = **examined;
        if (options.effects) {
            auto weighed = (*bench)->weigh(*job, side, console.progress());
            if (!weighed) return told(weighed.fault());
            findings = std::move(*weighed);
        }
        const auto ink = mark::find_ink((*received)->standing, &console.progress());
        if (!ink) return told(ink.fault());
        const CastReport report{**received, findings, *ink, &*job, side, (*bench)->first_checks(*job, side)};
        if (console.json())
            out += (out.empty() ? "[\n" : ",\n") + cast_json(report);
        else
            out += "Case " + job->case_code + ", " + word(side) + " foot\n" + cast_text(report) + "\n";
        if (auto fault = draw(options, report, job->case_code)) return console.fail(*fault);
    }
    console.print(console.json() ? out + "]\n" : out);
    return Exit::done;
}

}  // namespace

Exit run_inspect(Console& console, const InspectOptions& options) {
    if (options.file.extension() == ".json") return inspect_job(console, options);
    if (options.effects)
        return console.fail({FaultKind::usage,
                             "inspect",
                             "--effects compares devices, and a cast alone has none: make a job with "
                             "archwright new, then inspect that.",
                             {}});
    if (const auto may = picture_may_go(options.picture, "inspect", {options.file}); !may)
        return console.fail(may.fault());
    auto cast = build::open_cast(options.file, options.reading.limits, console.progress());
    if (!cast) return console.fail(cast.fault());
    scan::Stated stated;
    stated.side = options.side;
    stated.unit = options.unit;
    const auto received = build::first_look(*cast, stated, console.progress());
    if (!received) return console.fail(received.fault());
    const auto examined = build::examine_stage(*received, {}, console.progress());
    if (!examined) return console.fail(examined.fault());
    const auto ink = mark::find_ink(received->standing, &console.progress());
    if (!ink) return console.fail(ink.fault());
    const CastReport report{*received, *examined, *ink, nullptr, received->standing.frame.side, {}};
    console.print(console.json() ? cast_json(report) : cast_text(report));
    if (auto fault = draw(options, report, (*cast)->name)) return console.fail(*fault);
    return Exit::done;
}

}  // namespace archwright::exporters::command
