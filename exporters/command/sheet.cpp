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
    NamedFiles files;
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
    if (const auto there = options.replace ? std::nullopt : differs_there(options.folder, files))
        return console.fail({FaultKind::output,
                             "sheet",
                             there->string() +
                                 " is there and differs: it may be the one that was approved. Begin a "
                                 "revision (archwright revise), or write --replace to give it up.",
                             {}});
    if (const auto done = put_together(options.folder, files); !done) return console.fail(done.fault());
    for (const auto& file : files) console.say("  " + (options.folder / file.first).string());
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"sheets", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
