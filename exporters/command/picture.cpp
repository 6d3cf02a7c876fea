#include "engine/picture/of_device.hpp"
#include "engine/picture/sheet.hpp"

#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

Exit run_picture(Console& console, const PictureOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = design::choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const auto inputs = inputs_of(*job, options.job, options.reading.allow_outside);
    if (const auto may = picture_may_go(options.picture, "picture", inputs); !may)
        return console.fail(may.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    // a device that is stopped is drawn too: its picture shows where
    const auto device = (*bench)->build(*job, *side, console.progress());
    if (!device) return console.fail(device.fault());

    const picture::PictureInput input = picture::input_of(*device, *job->foot(*side));
    picture::PictureSettings settings;
    settings.width = options.width;
    settings.height = options.height;
    settings.scale = options.scale;
    settings.dark = options.dark;
    settings.views = {options.view};
    console.progress().report("Drawing", 0.95);
    const auto image = picture::compose(input, settings);
    if (!image) return console.fail(image.fault());
    if (const auto done = picture::write_png(*image, options.picture); !done)
        return console.fail(done.fault());
    console.say("Wrote " + options.picture.string());
    for (const Check& stop : device->open_stops())
        console.say("  [stop] " + stop.title + " (" + stop.id + "): " + stop.message);
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
