// preview: one file for the clinician to look at. reply: the answer to it, read again.
#include "exporters/preview/preview.hpp"

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/preview/reply.hpp"

namespace archwright::exporters::command {

namespace {

using ToldJson = nlohmann::ordered_json;

}  // namespace

Exit run_preview(Console& console, const PreviewOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    NamedFiles files;
    ToldJson all = ToldJson::array();
    for (const Side side : *feet) {
        // a device that is stopped is shown too: the clinician may be the one to answer
        const auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        console.progress().report("Writing the preview", 0.97);
        auto page = preview::preview_page(*job, *device, console.progress());
        if (!page) return console.fail(page.fault());
        const std::string name = file_stem(*device) + ".preview.html";
        constexpr double bytes_per_mb = 1e6;
        console.say(name + ": " + rounded(static_cast<double>(page->html.size()) / bytes_per_mb, 1) +
                    " MB; the shell is drawn with " + std::to_string(page->triangles) + " of its " +
                    std::to_string(page->of_triangles) + " triangles, within " + rounded(page->off_mm, 2) +
                    " mm");
        for (const Check& stop : device->open_stops())
            console.say("  [stop] " + stop.title + " (" + stop.id +
                        "): it can be asked about, but not accepted: " + stop.message);
        all.push_back({{"file", name},
                       {"bytes", page->html.size()},
                       {"triangles", page->triangles},
                       {"of_triangles", page->of_triangles},
                       {"off_mm", page->off_mm},
                       {"may_be_accepted", page->may_be_accepted}});
        files.emplace_back(name, std::move(page->html));
    }
    if (const auto there = options.replace ? std::nullopt : differs_there(options.folder, files))
        return console.fail(
            {FaultKind::output,
             "preview",
             there->string() + " is there and shows another design; write --replace to replace it.",
             {}});
    if (const auto done = put_together(options.folder, files); !done) return console.fail(done.fault());
    for (const auto& file : files) console.say("  " + (options.folder / file.first).string());
    if (console.json()) console.print_json({{"ok", true}, {"previews", all}});
    return Exit::done;
}

Exit run_reply(Console& console, const ReplyOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto text = FileBytes::read(options.file, preview::most_reply_bytes);
    if (!text) return console.fail(text.fault());
    auto reply = preview::parse_reply(text->text());
    if (!reply) {
        Fault fault = reply.fault();
        fault.message = options.file.string() + ": " + fault.message;
        return console.fail(fault);
    }
    const bool fits = preview::not_of_it(*reply, *job).empty();
    for (const std::string& line : preview::reply_told(*reply, *job)) console.say(line);
    if (console.json()) {
        ToldJson json = preview::reply_json(*reply, *job);
        json["ok"] = fits && reply->whole;
        console.print_json(json);
    }
    return fits && reply->whole ? Exit::done : Exit::check;
}

}  // namespace archwright::exporters::command
