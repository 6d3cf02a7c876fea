#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/print_told.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"

namespace archwright::exporters::command {

namespace {

namespace fs = std::filesystem;

Fault cannot_write(const fs::path& path, const std::string& message) {
    return {FaultKind::output, "print", path.string() + message, {}};
}

/// Everything of one device into a folder; their names.
Outcome<std::vector<std::string>> write_print(const design::Job& job, const build::Device& device,
                                              const print::Printing& printing, const PrintOptions& options,
                                              const fs::path& folder) {
    const std::string stem = file_stem(device);
    const std::string title = device.case_code + " " + word(device.side) + " revision " + device.revision;
    const TriangleMesh mesh = on_plate(device, printing, options.as_it_stands);
    std::vector<std::string> names{stem + ".print.stl", stem + ".print.3mf", stem + ".print.json",
                                   stem + ".print.txt"};
    if (const auto done = write_stl(mesh, "Archwright " + title + " as printed unit mm", folder / names[0]);
        !done)
        return done.fault();
    if (const auto done =
            write_three_mf({{title + " shell", mesh, device.shelled->material.name}},
                           {title + ", as printed", job.revisions.back().date}, folder / names[1]);
        !done)
        return done.fault();
    const std::string json = print_json(device, printing, options.as_it_stands).dump(2) + "\n";
    if (const auto done = write_file(folder / names[2], json); !done) return done.fault();
    std::string text;
    for (const std::string& line : print_lines(device, printing, options.as_it_stands)) text += line + "\n";
    if (const auto done = write_file(folder / names[3], text); !done) return done.fault();
    return names;
}

/// What stands there already under one of the names and differs.
Outcome<Done> none_in_the_way(const fs::path& from, const fs::path& to,
                              const std::vector<std::string>& names) {
    std::error_code error;
    for (const std::string& name : names) {
        if (!fs::exists(to / name, error)) continue;
        const auto there = FileBytes::read(to / name), fresh = FileBytes::read(from / name);
        if (!fresh) return fresh.fault();
        if (!there || there->text() != fresh->text())
            return cannot_write(to / name, " is there and differs; write --replace to give it up.");
    }
    return Done{};
}

}  // namespace

Exit run_print(Console& console, const PrintOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto printers = print::load_printers(design::assets_folder());
    if (!printers) return console.fail(printers.fault());
    const auto printer = print::find_printer(*printers, options.printer);
    if (!printer) return console.fail(printer.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());

    std::vector<build::Device> devices;
    std::vector<print::Printing> printings;
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    std::string stops;
    std::optional<Vec3> where;
    for (const Side side : *feet) {
        auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        if (const auto stop = stopped(*device)) return console.fail(with_order(*stop, *job, *feet, **bench));
        auto printing =
            judge_print(*device, job->order.body_mass_kg, *printer, options.as_it_stands, console.progress());
        if (!printing) return console.fail(printing.fault());
        for (const std::string& line : print_lines(*device, *printing, options.as_it_stands))
            console.say(line);
        all.push_back(print_json(*device, *printing, options.as_it_stands));
        for (const Check& check : printing->checks)
            if (check.verdict == Verdict::stop) {
                stops += std::string("\n  [stop] ") + word(side) + ": " + check.title + " (" + check.id +
                         "): " + check.message;
                if (!where) where = check.where;
            }
        devices.push_back(std::move(*device));
        printings.push_back(std::move(*printing));
    }
    if (!stops.empty())
        return console.fail({FaultKind::check, "print",
                             "It will not come out of this printer; nothing was written." + stops, where});
    if (!options.folder.empty()) {
        const auto staging = Staging::in(options.folder);
        if (!staging) return console.fail(staging.fault());
        std::vector<std::string> names;
        for (std::size_t i = 0; i < devices.size(); ++i) {
            const auto written = write_print(*job, devices[i], printings[i], options, staging->path());
            if (!written) return console.fail(written.fault());
            names.insert(names.end(), written->begin(), written->end());
        }
        if (!options.replace)
            if (const auto free = none_in_the_way(staging->path(), options.folder, names); !free)
                return console.fail(free.fault());
        if (console.progress().cancelled())
            return console.fail({FaultKind::cancelled, "print", "Cancelled; nothing was written.", {}});
        if (const auto done = staging->move_in(names); !done) return console.fail(done.fault());
        for (const std::string& name : names) console.say("  " + (options.folder / name).string());
    }
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"printed", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
