#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/papers/design_sheet.hpp"

namespace archwright::exporters::command {

Exit run_sheet(Console& console, const SheetOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    std::vector<std::pair<std::string, std::string>> files;
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (const Side side : *feet) {
        const auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        std::vector<FlexLoad> loads;
        if (options.flex) {
            auto found = on_bench(*job, *device, console.progress(), false);
            if (!found) return console.fail(found.fault());
            loads = std::move(*found);
        }
        const auto sheet = papers::design_sheet_of(*job, *device, loads);
        if (!sheet) return console.fail(sheet.fault());
        auto pdf = papers::design_sheet_pdf(*sheet);
        if (!pdf) return console.fail(pdf.fault());
        const std::string name = file_stem(*device) + ".sheet.pdf";
        console.say(file_stem(*device) + ": " + sheet->approval + " " + sheet->verdict);
        all.push_back({{"file", name},
                       {"side", word(side)},
                       {"fingerprint", sheet->fingerprint},
                       {"approved", sheet->approved},
                       {"may_be_made", sheet->may_be_made},
                       {"sha256", sha256(*pdf)}});
        files.emplace_back(name, std::move(*pdf));
    }
    std::error_code error;
    for (const auto& [name, content] : files) {
        const std::filesystem::path there = options.folder / name;
        if (options.replace || !std::filesystem::exists(there, error)) continue;
        const auto old = FileBytes::read(there);
        if (!old || old->text() != content)
            return console.fail({FaultKind::output,
                                 "sheet",
                                 there.string() +
                                     " is there and differs: it may be the one that was approved. Begin a "
                                     "revision (archwright revise), or write --replace to give it up.",
                                 {}});
    }
    const auto staging = Staging::in(options.folder);
    if (!staging) return console.fail(staging.fault());
    std::vector<std::string> names;
    for (const auto& [name, content] : files) {
        if (const auto done = write_file(staging->path() / name, content); !done)
            return console.fail(done.fault());
        names.push_back(name);
    }
    if (const auto done = staging->move_in(names); !done) return console.fail(done.fault());
    for (const std::string& name : names) console.say("  " + (options.folder / name).string());
    if (console.json())
        console.print(nlohmann::ordered_json{{"ok", true}, {"sheets", all}}.dump(
                          2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) +
                      "\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
