#include "engine/picture/sheet.hpp"

#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

namespace {

std::vector<picture::PlanOutline> outlines(const design::Wall& wall) {
    std::vector<picture::PlanOutline> all;
    for (const design::WallRegion& region : wall.regions) {
        picture::PlanOutline outline;
        outline.kind = picture::PlanOutline::Kind::wall_region;
        outline.name = region.name;
        outline.points = region.outline;
        outline.value_mm = region.wall_mm;
        all.push_back(std::move(outline));
    }
    return all;
}

}  // namespace

Exit run_picture(Console& console, const PictureOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = design::choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    if (options.picture.extension() != ".png")
        return console.fail({FaultKind::usage,
                             "picture",
                             options.picture.string() + ": pictures are PNG; give a name that ends in .png.",
                             {}});
    for (const auto& input : inputs_of(*job, options.job, options.reading.allow_outside))
        if (same_file(options.picture, input))
            return console.fail(
                {FaultKind::usage,
                 "picture",
                 options.picture.string() + " is the job or its cast; it is never written over.",
                 {}});
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    // a device that is stopped is drawn too: its picture shows where
    const auto device = (*bench)->build(*job, *side, console.progress());
    if (!device) return console.fail(device.fault());

    picture::PictureInput input;
    input.side = *side;
    input.case_code = device->case_code;
    input.title = "Revision " + device->revision;
    input.cast = &device->received->standing.mesh;
    input.shell = &device->shelled->shell;
    input.shell_mesh = &device->made();
    for (const build::Part& part : device->shelled->parts) input.parts.push_back(&part.mesh.mesh);
    input.landmarks = device->received->standing.landmarks;
    input.walls = &device->proved->walls;
    input.outlines = outlines(job->foot(*side)->wall);
    input.base_wall_mm = job->foot(*side)->wall.base_mm;
    input.asked_low_mm = device->shelled->wall->min();
    input.asked_high_mm = device->shelled->wall->max();
    input.minimum_wall_mm = device->shelled->material.wall_min_mm.value;
    input.checks = device->checks;
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
