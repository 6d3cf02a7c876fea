#include <nlohmann/json.hpp>

#include "engine/build/flex_subject.hpp"
#include "engine/flex/bed_file.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/flex_told.hpp"

namespace archwright::exporters::command {

Exit run_flex(Console& console, const FlexOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto workbench = open_bench(options.job, options.reading);
    if (!workbench) return console.fail(workbench.fault());
    if (options.load_n && options.load_case == "all")
        return console.fail(
            {FaultKind::usage, "flex", "--force belongs to one load: name it with --load.", {}});

    flex::BenchSupport support{options.friction, options.distal_spring_n_mm, options.bed_n_mm3, {}};
    if (!options.bed_shape.empty()) {
        auto shape = flex::read_bed_shape(options.bed_shape);
        if (!shape) return console.fail(shape.fault());
        if (shape->empty())
            return console.fail(
                {FaultKind::input, "flex", options.bed_shape.string() + " has no points.", {}});
        support.bed_shape = std::move(*shape);
    }
    if (const auto good = flex::check_support(support); !good) return console.fail(good.fault());

    nlohmann::ordered_json results = nlohmann::ordered_json::array(), about = results;
    for (const Side side : *feet) {
        const auto device = (*workbench)->shape(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **workbench));
        flex::Bench bench(build::bench_subject(*device->surfaced, *device->shelled, job->order.body_mass_kg));
        console.say(std::string(word(side)) + " foot, " + flex_about(*job, *device));
        about.push_back({{"side", word(side)}, {"material", flex_about_json(*job, *device)}});
        flex::BenchSetting setting;
        setting.element_mm = options.element_mm;
        setting.support = support;
        setting.load = options.load_n;
        setting.deflections = options.deflections;
        setting.sensitivity = !options.quick;
        for (const flex::LoadCase load : flex::all_load_cases) {
            if (options.load_case != "all" && options.load_case != flex::key(load)) continue;
            const auto result = bench.run(load, setting, &console.progress());
            // one load that cannot be put on a device does not take the others away
            if (!result && (options.load_case != "all" || result.fault().kind == FaultKind::cancelled))
                return console.fail(result.fault());
            FlexLoad told;
            told.load = load;
            told.worth = build::bench_worth(*device->shelled, load);
            if (result)
                told.result = *result;
            else
                told.why_not = result.fault().message;
            for (const std::string& line : flex_lines(told)) console.say("  " + line);
            nlohmann::ordered_json json{{"side", word(side)}};
            json.update(flex_json(told));
            results.push_back(std::move(json));
        }
    }
    if (console.json())
        console.print_json(nlohmann::ordered_json{{"ok", true}, {"about", about}, {"results", results}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
