#include <algorithm>
#include <nlohmann/json.hpp>

#include "exporters/command/job_in_hand.hpp"
#include "exporters/deliver.hpp"

namespace archwright::exporters::command {

namespace {

// The chosen feet that ask for something to be cut from sheet.
Outcome<std::vector<Side>> feet_with_covers(const design::Job& job, const std::optional<Side>& named) {
    auto feet = choose_feet(job, named);
    if (!feet) return feet;
    std::erase_if(*feet, [&](Side side) { return job.foot(side)->covers.empty(); });
    if (feet->empty())
        return Fault{
            FaultKind::usage,
            "pattern",
            std::string(named ? std::string("The ") + word(*named) + " foot of the job" : "The job") +
                " asks for no cover, underlay or extension: add an entry to \"covers\" "
                "(docs/covers.md shows how).",
            {}};
    return feet;
}

}  // namespace

Exit run_pattern(Console& console, const PatternOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = feet_with_covers(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());

    std::vector<pattern::Pattern> patterns;
    std::vector<std::pair<Side, std::vector<Check>>> told;
    for (const Side side : *feet) {
        const auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        if (const auto stop = stopped(*device)) return console.fail(with_order(*stop, *job, *feet, **bench));
        console.progress().report("Drawing patterns", 0.95);
        auto set = pattern::draw_patterns(*device, *job->foot(side), job->revisions.back().date);
        if (!set) return console.fail(set.fault());
        patterns.insert(patterns.end(), set->patterns.begin(), set->patterns.end());
        told.emplace_back(side, std::move(set->checks));
    }
    PatternSetting delivery = options.delivery;
    delivery.inputs = inputs_of(*job, options.job, options.reading.allow_outside);
    const auto delivered = deliver_patterns(patterns, delivery, console.progress());
    if (!delivered) return console.fail(delivered.fault());

    nlohmann::ordered_json parts = nlohmann::ordered_json::array(), checks = nlohmann::ordered_json::array();
    for (std::size_t k = 0; k < patterns.size(); ++k) {
        const DeliveredPattern& one = (*delivered)[k];
        console.say(file_stem(patterns[k]) + ": " + one.paper);
        nlohmann::ordered_json files = nlohmann::ordered_json::array();
        for (const DeliveredFile& file : one.files) {
            const std::string path = (delivery.folder / file.name).string();
            console.say("  " + path);
            files.push_back(
                {{"path", path}, {"format", file.format}, {"bytes", file.bytes}, {"sha256", file.sha256}});
        }
        parts.push_back({{"side", word(patterns[k].side)},
                         {"name", patterns[k].cover.name},
                         {"paper", one.paper},
                         {"area_mm2", patterns[k].area_mm2},
                         {"perimeter_mm", patterns[k].perimeter_mm},
                         {"files", files}});
    }
    for (const auto& [side, of_foot] : told)
        for (const Check& check : of_foot) {
            console.say("  [" + std::string(word(check.verdict)) + "] " + word(side) + ": " + check.title +
                        " (" + check.id + "): " + check.message);
            checks.push_back({{"side", word(side)},
                              {"id", check.id},
                              {"verdict", word(check.verdict)},
                              {"message", check.message}});
        }
    if (console.json())
        console.print_json(nlohmann::ordered_json{{"ok", true}, {"patterns", parts}, {"checks", checks}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
