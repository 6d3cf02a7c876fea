#include "engine/base/file.hpp"
#include "engine/design/decisions.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/comparing/changed_told.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

Exit run_approve(Console& console, const ApproveOptions& options) {
    design::Command command{"approve", {}};
    command.with("by", options.by).with("date", options.date);
    return change_job(console, options.job, options.foot, options.reading, {command}, {});
}

Exit run_changed(Console& console, const ChangedOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    design::JobReading reading;
    reading.allow_outside = options.reading.allow_outside;
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    NamedFiles files;
    for (const Side side : *feet) {
        const auto past = design::past_foot(*job, side, options.since, reading);
        if (!past) return console.fail(past.fault());
        comparing::ChangedReport report = comparing::changed_since(*job, side, *past);
        std::optional<build::Device> now;
        if (!options.list) {
            auto built = (*bench)->shape(*job, side, console.progress());
            auto then = built ? (*bench)->shape(past->job, past->side, console.progress()) : built;
            if (built && then) {
                auto apart = comparing::built_apart(*built, *job->foot(side), *then,
                                                    *past->job.foot(past->side), console.progress());
                if (!apart) return console.fail(apart.fault());
                report.built = std::move(*apart);
                now = std::move(*built);
            } else {
                const Fault& fault = built ? then.fault() : built.fault();
                if (fault.kind == FaultKind::cancelled) return console.fail(fault);
                report.why_not = (built ? "the device of revision " + options.since
                                        : std::string("the device as it is now")) +
                                 " cannot be built: " + fault.message;
            }
        } else {
            report.why_not = "the settings alone were asked for";
        }
        for (const std::string& line : comparing::changed_lines(report)) console.say(line);
        auto told = comparing::changed_json(report);
        if (!options.folder.empty()) {
            const std::string stem =
                job->case_code + "-" + word(side) + "-" + job->revision() + ".changed-since-" + options.since;
            files.emplace_back(stem + ".json", told.dump(2) + "\n");
            if (now) {
                const auto surfaces = comparing::changed_surfaces(report, *now);
                if (!surfaces) return console.fail(surfaces.fault());
                const auto wall = comparing::changed_wall(report, *now);
                if (!wall) return console.fail(wall.fault());
                for (const auto& [drawn, ending] :
                     {std::pair{&surfaces->image, ".png"}, std::pair{&wall->image, ".wall.png"}}) {
                    auto png = picture::encode_png(*drawn);
                    if (!png) return console.fail(png.fault());
                    files.emplace_back(stem + ending, std::move(*png));
                }
            }
        }
        all.push_back(std::move(told));
    }
    if (!files.empty()) {
        if (const auto done = put_together(options.folder, files); !done) return console.fail(done.fault());
        for (const auto& file : files) console.say("  " + (options.folder / file.first).string());
    }
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"changed", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
