#include <nlohmann/json.hpp>

#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

std::string summary(const build::Device& device) {
    std::string text = device.case_code + " " + word(device.side) + " revision " + device.revision + ": " +
                       word(device.verdict());
    for (const Check& check : device.checks)
        if (check.verdict == Verdict::look) text += "\n  [look] " + check.title + ": " + check.message;
    return text;
}

}  // namespace

Exit run_make(Console& console, const MakeOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());

    // every foot is built and proved before the first file is written
    std::vector<build::Device> devices;
    for (const Side side : *feet) {
        auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(device.fault());
        if (const auto stops = device->open_stops(); !stops.empty())
            return console.fail(deliver(*job, *device, options.delivery, console.progress()).fault());
        devices.push_back(std::move(*device));
    }
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (const build::Device& device : devices) {
        const auto files = deliver(*job, device, options.delivery, console.progress());
        if (!files) return console.fail(files.fault());
        console.say(summary(device));
        for (const DeliveredFile& file : *files) {
            console.say("  " + (options.delivery.folder / file.name).string());
            if (file.name.size() > 12 && file.name.ends_with(".report.json") && console.json()) {
                const auto path = options.delivery.folder / file.name;
                all.push_back({{"side", word(device.side)},
                               {"verdict", word(device.verdict())},
                               {"report", path.string()}});
            }
        }
    }
    if (console.json()) console.print(nlohmann::ordered_json{{"ok", true}, {"devices", all}}.dump(2) + "\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
