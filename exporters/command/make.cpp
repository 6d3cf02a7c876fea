#include <nlohmann/json.hpp>

#include "engine/design/job_file.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

std::string summary(const build::Device& device) {
    std::string text = device.case_code + " " + word(device.side) + " revision " + device.revision + ": " +
                       word(device.verdict());
    for (const Check& check : device.checks)
        if (check.verdict == Verdict::look)
            text += "\n  [look] " + check.title + " (" + check.id + "): " + check.message;
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
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        devices.push_back(std::move(*device));
    }
    DeliverySetting delivery = options.delivery;
    delivery.inputs = inputs_of(*job, options.job, options.reading.allow_outside);
    const auto delivered = deliver(*job, devices, delivery, console.progress());
    if (!delivered) return console.fail(with_order(delivered.fault(), *job, *feet, **bench));
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (std::size_t k = 0; k < devices.size(); ++k) {
        console.say(summary(devices[k]));
        nlohmann::ordered_json files = nlohmann::ordered_json::array();
        for (const DeliveredFile& file : (*delivered)[k].files) {
            const std::string path = (delivery.folder / file.name).string();
            console.say("  " + path);
            files.push_back(
                {{"path", path}, {"format", file.format}, {"bytes", file.bytes}, {"sha256", file.sha256}});
        }
        nlohmann::ordered_json look_at = nlohmann::ordered_json::array();
        for (const Check& check : devices[k].checks)
            if (check.verdict == Verdict::look) look_at.push_back(check.title);
        all.push_back({{"side", word(devices[k].side)},
                       {"verdict", word(devices[k].verdict())},
                       {"look_at", look_at},
                       {"files", files}});
    }
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"devices", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
