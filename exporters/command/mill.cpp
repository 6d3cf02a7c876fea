#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/foot/frame.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/nc/milling.hpp"
#include "exporters/papers/set_up_sheet.hpp"

namespace archwright::exporters::command {

namespace {

using Json = nlohmann::ordered_json;

Json json_of(const Vec3& p) {
    return Json::array({p.x(), p.y(), p.z()});
}

Fault mill_wrong(const std::string& message) {
    return {FaultKind::usage, "mill", message, {}};
}

/// The block that is named, or the smallest of the feet's material.
Outcome<workshop::Block> block_of(const MillOptions& options, const workshop::Workshop& shop,
                                  const design::Job& job, const std::vector<Side>& feet) {
    const std::string material = job.foot(feet.front())->material;
    std::string key = options.block;
    if (key.empty() && options.pair)
        return mill_wrong("--pair lays both feet in one block: say with --block which one.");
    if (key.empty() && (key = workshop::smallest_block(shop, material)).empty())
        return mill_wrong("assets/blocks has no block of " + material +
                          ": put a file of yours there, or set the job's material.");
    auto block = workshop::find(shop.blocks, key, "block");
    if (!block) return block.fault();
    for (const Side side : feet)
        if (job.foot(side)->material != block->material)
            return mill_wrong(std::string("The ") + word(side) + " device is designed in " +
                              job.foot(side)->material + " and the block is of " + block->material +
                              ": wall and flex were judged for another material. Choose a block of " +
                              "that material, or set the job's.");
    return block;
}

Outcome<nc::MillingSetting> setting_of(const MillOptions& options, const workshop::Workshop& shop,
                                       const design::Job& job, const std::vector<Side>& feet) {
    nc::MillingSetting setting;
    auto machine = workshop::find(shop.machines, options.machine, "machine");
    if (!machine) return machine.fault();
    auto block = block_of(options, shop, job, feet);
    if (!block) return block.fault();
    auto cutting = workshop::find(shop.cuttings, block->material, "cutting table of the block's material");
    if (!cutting) return cutting.fault();
    auto rough = workshop::find(shop.cutters, options.rough, "cutter");
    if (!rough) return rough.fault();
    auto finish = workshop::find(shop.cutters, options.finish, "cutter");
    if (!finish) return finish.fault();
    for (const auto& [key, cutter] :
         {std::pair(&options.detail, &setting.detail), std::pair(&options.drill, &setting.drill)}) {
        if (key->empty()) continue;
        auto found = workshop::find(shop.cutters, *key, "cutter");
        if (!found) return found.fault();
        *cutter = found->cutter;
    }
    if (setting.drill && options.datum == "edges")
        return mill_wrong(
            "--drill makes holes for pins, and --datum edges wants none; leave one of them out.");
    setting.pin_depth_mm = options.pin_depth_mm;
    setting.machine = std::move(*machine);
    setting.block = std::move(*block);
    setting.cutting = std::move(*cutting);
    setting.rough = rough->cutter;
    setting.finish = finish->cutter;
    setting.flip = options.flip == "y" ? mill::Flip::about_y : mill::Flip::about_x;
    setting.pins = options.datum != "edges";
    setting.tabs.width_mm = options.tab_width_mm;
    setting.tabs.thickness_mm = options.tab_thickness_mm;
    if (!options.tabs_at.empty()) setting.tabs.at = options.tabs_at;
    setting.tabs.anywhere = options.tabs_anywhere;
    setting.scallop_mm = options.scallop_mm;
    setting.tilt_most_deg = options.tilt_deg;
    setting.direction = options.conventional ? mill::Direction::conventional : mill::Direction::climb;
    setting.one_way = options.one_way;
    return setting;
}

Json json_of(const nc::ProvedSide& side, const std::string& file) {
    Json troubles = Json::array();
    for (const mill::Trouble& trouble : side.simulated.troubles)
        troubles.push_back({{"what", mill::words(trouble.kind)},
                            {"moves", trouble.count},
                            {"depth_mm", trouble.depth_mm},
                            {"first_at_mm", json_of(trouble.where)}});
    return {{"set_up", side.side + 1},
            {"up", side.side == 0 ? "foot side" : "underside"},
            {"file", file},
            {"sha256", sha256(side.text)},
            {"lines", side.lines},
            {"moves", side.simulated.moves},
            {"minutes", side.simulated.seconds / 60.0},
            {"feed_way_mm", side.simulated.feed_mm},
            {"rapid_way_mm", side.simulated.rapid_mm},
            {"lowest_z_mm", side.floor_mm},
            {"lines_apart_mm", side.step_mm},
            {"cutters", side.cutters},
            {"speeds", side.speeds},
            {"troubles", troubles}};
}

}  // namespace

Exit run_mill(Console& console, const MillOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    if (options.pair && feet->size() != 2)
        return console.fail(mill_wrong(
            "--pair lays both feet in one block, and this job has one foot (or --foot names one)."));
    const auto shop = workshop::load_workshop(design::assets_folder());
    if (!shop) return console.fail(shop.fault());
    const auto setting = setting_of(options, *shop, *job, *feet);
    if (!setting) return console.fail(setting.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());

    std::vector<nc::MilledDevice> devices;
    std::vector<std::string> stems;
    for (const Side side : *feet) {
        const auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        if (const auto stop = stopped(*device)) return console.fail(with_order(*stop, *job, *feet, **bench));
        devices.push_back({device->case_code + " " + device->revision, side,
                           foot::to_export(device->made().mesh, side), design::fingerprint(*job, side)});
        stems.push_back(file_stem(*device));
    }
    // one milling a foot, or one for the pair
    std::vector<std::vector<nc::MilledDevice>> jobs;
    std::vector<std::string> names;
    if (options.pair) {
        jobs.push_back(devices);
        names.push_back(devices[0].name + "-pair");
        std::replace(names[0].begin(), names[0].end(), ' ', '-');
    } else {
        for (std::size_t i = 0; i < devices.size(); ++i) {
            jobs.push_back({devices[i]});
            names.push_back(stems[i]);
        }
    }
    Json all = Json::array();
    std::vector<std::pair<std::filesystem::path, std::string>> files;
    for (std::size_t i = 0; i < jobs.size(); ++i) {
        const auto milling = nc::mill_devices(jobs[i], *setting, &console.progress());
        if (!milling) return console.fail(milling.fault());
        if (!milling->stops.empty()) {
            std::string text = names[i] + ": the programs were not written.";
            for (const std::string& stop : milling->stops) text += "\n  " + stop;
            return console.fail({FaultKind::check, "mill", text, milling->gouge_where});
        }
        Json sides = Json::array();
        std::array<std::string, 2> programs;
        console.say(names[i] + " in " + setting->block.name + ", on " + setting->machine.name);
        for (const nc::ProvedSide& side : milling->sides) {
            const std::string file = names[i] + ".setup" + std::to_string(side.side + 1) + ".nc";
            files.emplace_back(options.folder / file, side.text);
            programs[static_cast<std::size_t>(side.side)] = file;
            sides.push_back(json_of(side, file));
            console.say("  set-up " + std::to_string(side.side + 1) + " (" +
                        (side.side == 0 ? "foot side up" : "underside up") +
                        "): " + std::to_string(side.lines) + " lines, " +
                        rounded(side.simulated.seconds / 60.0, 0) + " minutes, lowest Z " +
                        rounded(side.floor_mm, 1) + " mm, lines " + rounded(side.step_mm, 2) + " mm apart");
        }
        console.say("  simulated from the written text: deepest gouge " + rounded(milling->gouge_mm, 3) +
                    " mm, most left over where the cutter reaches " + rounded(milling->left_mm, 3) + " mm (" +
                    std::to_string(milling->needles) + " places)");
        for (const std::string& warning : milling->warnings) console.say("  [look] " + warning);
        if (setting->cutting.melts) console.say("  [look] " + setting->cutting.note);
        for (const std::string& caution : nc::cautions()) console.say("  " + caution);
        const auto sheet = papers::set_up_sheet(papers::set_ups_of(*milling, *setting, jobs[i], programs),
                                                names[i] + ", set-up sheet");
        if (!sheet) return console.fail(sheet.fault());
        files.emplace_back(options.folder / (names[i] + ".setup.pdf"), *sheet);
        Json tabs = Json::array();
        for (const mill::Tab& tab : milling->nest.tabs)
            tabs.push_back({{"at_mm", json_of(tab.root)},
                            {"width_mm", tab.width_mm},
                            {"thickness_mm", tab.thickness_mm}});
        Json pins = Json::array();
        for (const Vec2& pin : milling->nest.pins) pins.push_back({pin.x(), pin.y()});
        Json report{{"name", names[i]},
                    {"machine", setting->machine.key},
                    {"block", setting->block.key},
                    {"pair", milling->pair},
                    {"block_mm", json_of(milling->nest.block)},
                    {"flip_about", options.flip},
                    {"datum", options.datum},
                    {"pins_at_mm", pins},
                    {"tilt_deg", {{"pitch", milling->tilt.pitch_deg}, {"roll", milling->tilt.roll_deg}}},
                    {"set_ups", sides},
                    {"set_up_sheet", names[i] + ".setup.pdf"},
                    {"tabs", tabs},
                    {"gouge_mm", milling->gouge_mm},
                    {"left_over_mm", milling->left_mm},
                    {"places", milling->needles},
                    {"places_beside_tabs", milling->tabs_apart},
                    {"unreached_mm2", milling->unreached_area_mm2},
                    {"least_concave_radius_mm", milling->concave_mm},
                    {"undercut_mm2", milling->undercut_mm2},
                    {"warnings", milling->warnings},
                    {"cautions", nc::cautions()}};
        files.emplace_back(options.folder / (names[i] + ".milling.json"), report.dump(2) + "\n");
        all.push_back(std::move(report));
    }
    std::error_code error;
    std::filesystem::create_directories(options.folder, error);
    if (error)
        return console.fail(
            {FaultKind::output, "mill", options.folder.string() + ": " + error.message(), {}});
    for (const auto& [path, text] : files)
        if (!options.replace && std::filesystem::exists(path, error)) {
            const auto there = FileBytes::read(path);
            if (!there || there->text() != text)
                return console.fail({FaultKind::output,
                                     "mill",
                                     path.string() + " is there and differs; write --replace to give it up.",
                                     {}});
        }
    // all or nothing: written and read back beside the target, then moved into place, reports last
    const auto staging = Staging::in(options.folder);
    if (!staging) return console.fail(staging.fault());
    std::vector<std::string> names_in_order, reports;
    for (const auto& [path, text] : files) {
        const std::string name = path.filename().string();
        if (const auto done = write_file(staging->path() / name, text); !done)
            return console.fail(done.fault());
        const auto back = FileBytes::read(staging->path() / name);
        if (!back) return console.fail(back.fault());
        if (back->text() != text)
            return console.fail({FaultKind::output,
                                 "mill",
                                 name + " was not written as it was meant; is the disk full?",
                                 {}});
        (path.extension() == ".json" ? reports : names_in_order).push_back(name);
    }
    names_in_order.insert(names_in_order.end(), reports.begin(), reports.end());
    if (const auto done = staging->move_in(names_in_order); !done) return console.fail(done.fault());
    for (const auto& [path, text] : files) console.say("  " + path.string());
    if (console.json()) console.print_json(Json{{"ok", true}, {"milled", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
