#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/mould/exact.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/mould_told.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/nc/mould_program.hpp"
#include "exporters/papers/set_up_sheet.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"

namespace archwright::exporters::command {

namespace {

namespace fs = std::filesystem;
using MouldReport = nlohmann::ordered_json;

Outcome<nc::MillingSetting> mould_milling(const MouldOptions& options) {
    nc::MillingSetting setting;
    const auto shop = workshop::load_workshop(design::assets_folder());
    if (!shop) return shop.fault();
    auto machine = workshop::find(shop->machines, options.machine, "machine");
    if (!machine) return machine.fault();
    auto block = workshop::find(shop->blocks, options.block, "block");
    if (!block) return block.fault();
    auto cutting = workshop::find(shop->cuttings, block->material, "cutting table of the block's material");
    if (!cutting) return cutting.fault();
    auto rough = workshop::find(shop->cutters, options.rough, "cutter");
    if (!rough) return rough.fault();
    auto finish = workshop::find(shop->cutters, options.finish, "cutter");
    if (!finish) return finish.fault();
    if (!options.detail.empty()) {
        auto detail = workshop::find(shop->cutters, options.detail, "cutter");
        if (!detail) return detail.fault();
        setting.detail = detail->cutter;
    }
    setting.machine = std::move(*machine);
    setting.block = std::move(*block);
    setting.cutting = std::move(*cutting);
    setting.rough = rough->cutter;
    setting.finish = finish->cutter;
    setting.scallop_mm = options.scallop_mm;
    return setting;
}

/// Everything of one device into a folder; names of what was written, the report last.
Outcome<std::vector<std::string>> write_mould(const design::Job& job, const build::Device& device,
                                              const mould::DeviceMould& made,
                                              const std::optional<nc::MillingSetting>& milling,
                                              Console& console, const fs::path& folder, MouldReport& report) {
    const std::string stem = file_stem(device) + ".mould";
    const std::string title = device.case_code + " " + word(device.side) + " revision " + device.revision;
    report = mould_json(device, made);
    std::vector<std::string> lines = mould_lines(device, made), names;
    const TriangleMesh mesh = mould_to_export(made, device.side);
    names.push_back(stem + ".stl");
    if (const auto done = write_stl(mesh, "Archwright " + title + " mould unit mm", folder / names.back());
        !done)
        return done.fault();

    // the exact body is refused where it would not be sound; the mesh stands all the same
    const surface::Shell& shell = device.shelled->shell;
    auto exact = mould::exact_mould(shell.foot_side, shell.trim, made.mould, made.setting);
    if (exact && device.side == Side::left) exact = solid::mirrored(*exact);
    std::string step_words =
        "STEP: the foot side's own curved surface inside the trim line, walls straight from that edge; "
        "groove, "
        "margin, marks and letters are in the STL alone";
    if (exact) {
        const std::string date = job.revisions.back().date;
        const auto done =
            write_step(*exact, solid::examine(*exact),
                       {title + " mould", date.empty() ? solid::StepWords{}.date : date + "T00:00:00"},
                       folder / (stem + ".step"));
        if (!done) return done.fault();
        names.push_back(stem + ".step");
    } else {
        step_words = "No STEP: " + exact.fault().message;
    }
    report["step"] = step_words;
    lines.push_back("  " + step_words);

    auto map = thinning_map(device, made);
    if (!map) return map.fault();
    names.push_back(stem + ".thinning.png");
    if (const auto done = picture::write_png(*map, folder / names.back()); !done) return done.fault();

    if (milling) {
        const auto program = nc::mill_mould({device.case_code + " " + device.revision, device.side, mesh},
                                            *milling, &console.progress());
        if (!program) return program.fault();
        if (!program->stops.empty()) {
            std::string text = stem + ": the program was not written.";
            for (const std::string& stop : program->stops) text += "\n  " + stop;
            return Fault{FaultKind::check, "mould", text, program->gouge_where};
        }
        names.push_back(stem + ".nc");
        if (const auto done = write_file(folder / names.back(), program->side.text); !done)
            return done.fault();
        const auto sheet = papers::set_up_sheet(
            {papers::set_up_of(*program, *milling,
                               {device.case_code + " " + device.revision, device.side, {}}, names.back())},
            stem + ", set-up sheet");
        if (!sheet) return sheet.fault();
        const std::string program_name = names.back();
        names.push_back(stem + ".setup.pdf");
        if (const auto done = write_file(folder / names.back(), *sheet); !done) return done.fault();
        report["program"] = {{"file", program_name},
                             {"set_up_sheet", names.back()},
                             {"sha256", sha256(program->side.text)},
                             {"machine", milling->machine.key},
                             {"block", milling->block.key},
                             {"minutes", program->side.simulated.seconds / 60.0},
                             {"lines", program->side.lines},
                             {"cutters", program->side.cutters},
                             {"speeds", program->side.speeds},
                             {"lowest_z_mm", program->side.floor_mm},
                             {"gouge_mm", program->gouge_mm},
                             {"left_over_mm", program->left_mm},
                             {"unreached_mm2", program->unreached_area_mm2},
                             {"warnings", program->warnings},
                             {"cautions", nc::cautions()}};
        lines.push_back("  Program, one side, in " + milling->block.name + " on " + milling->machine.name +
                        ": " + std::to_string(program->side.lines) + " lines, " +
                        rounded(program->side.simulated.seconds / 60.0, 0) + " minutes; deepest gouge " +
                        rounded(program->gouge_mm, 3) + " mm, most left over where the cutter reaches " +
                        rounded(program->left_mm, 3) + " mm");
        for (const std::string& warning : program->warnings) lines.push_back("  [look] " + warning);
        if (milling->cutting.melts) lines.push_back("  [look] " + milling->cutting.note);
        for (const std::string& caution : nc::cautions()) lines.push_back("  " + caution);
    }
    std::string text;
    for (const std::string& line : lines) {
        text += line + "\n";
        console.say(line);
    }
    names.push_back(stem + ".txt");
    if (const auto done = write_file(folder / names.back(), text); !done) return done.fault();
    names.push_back(stem + ".json");
    if (const auto done = write_file(folder / names.back(), report.dump(2) + "\n"); !done)
        return done.fault();
    return names;
}

}  // namespace

Exit run_mould(Console& console, const MouldOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    if (const auto good = mould::check(options.setting); !good) return console.fail(good.fault());
    std::optional<nc::MillingSetting> milling;
    if (options.program) {
        auto setting = mould_milling(options);
        if (!setting) return console.fail(setting.fault());
        milling = std::move(*setting);
    }
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    std::vector<build::Device> devices;
    std::vector<mould::DeviceMould> moulds;
    for (const Side side : *feet) {
        auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        if (const auto stop = stopped(*device)) return console.fail(with_order(*stop, *job, *feet, **bench));
        auto made = mould::mould_of(*device, options.setting, options.sheet_mm);
        if (!made) return console.fail(made.fault());
        devices.push_back(std::move(*device));
        moulds.push_back(std::move(*made));
    }
    const auto staging = Staging::in(options.folder);
    if (!staging) return console.fail(staging.fault());
    MouldReport all = MouldReport::array();
    std::vector<std::string> names;
    for (std::size_t i = 0; i < devices.size(); ++i) {
        MouldReport report;
        const auto written =
            write_mould(*job, devices[i], moulds[i], milling, console, staging->path(), report);
        if (!written) return console.fail(written.fault());
        names.insert(names.end(), written->begin(), written->end());
        all.push_back(std::move(report));
    }
    std::error_code error;
    for (const std::string& name : names) {
        if (options.replace || !fs::exists(options.folder / name, error)) continue;
        const auto there = FileBytes::read(options.folder / name),
                   fresh = FileBytes::read(staging->path() / name);
        if (!fresh) return console.fail(fresh.fault());
        if (!there || there->text() != fresh->text())
            return console.fail(
                {FaultKind::output,
                 "mould",
                 (options.folder / name).string() + " is there and differs; write --replace to give it up.",
                 {}});
    }
    if (console.progress().cancelled())
        return console.fail({FaultKind::cancelled, "mould", "Cancelled; nothing was written.", {}});
    if (const auto done = staging->move_in(names); !done) return console.fail(done.fault());
    for (const std::string& name : names) console.say("  " + (options.folder / name).string());
    if (console.json()) console.print_json(MouldReport{{"ok", true}, {"moulds", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
