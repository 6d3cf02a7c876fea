#include "engine/build/cast.hpp"
#include "engine/build/stages.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

Exit inspect_job(Console& console, const InspectOptions& options) {
    const auto job = open_job(options.file, options.reading);
    if (!job) return console.fail(job.fault());
    const auto bench = open_bench(options.file, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto feet = choose_feet(*job, options.side);
    if (!feet) return console.fail(feet.fault());
    std::string out;
    for (const Side side : *feet) {
        const std::vector<Check> order = (*bench)->first_checks(*job, side);
        const auto received = (*bench)->receive(*job, side, console.progress());
        if (!received) return console.fail(with_order(received.fault(), *job, *feet, **bench));
        const build::CastFile& cast = *(*received)->cast;
        if (console.json())
            out += (out.empty() ? "[\n" : ",\n") + reception_json(cast, **received, order);
        else
            out += "Case " + job->case_code + ", " + word(side) + " foot\n" +
                   reception_text(cast, **received, order) + "\n";
    }
    console.print(console.json() ? out + "]\n" : out);
    return Exit::done;
}

}  // namespace

Exit run_inspect(Console& console, const InspectOptions& options) {
    if (options.file.extension() == ".json") return inspect_job(console, options);
    auto cast = build::open_cast(options.file, options.reading.limits, console.progress());
    if (!cast) return console.fail(cast.fault());
    scan::Stated stated;
    stated.side = options.side;
    stated.unit = options.unit;
    const auto received = build::first_look(*cast, stated, console.progress());
    if (!received) return console.fail(received.fault());
    console.print(console.json() ? reception_json(**cast, *received) : reception_text(**cast, *received));
    return Exit::done;
}

}  // namespace archwright::exporters::command
