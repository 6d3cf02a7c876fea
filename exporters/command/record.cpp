#include <algorithm>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/design/fingerprint.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/kept_samples.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/papers/device_record.hpp"

namespace archwright::exporters::command {

namespace {

namespace fs = std::filesystem;

Fault record_fault(FaultKind kind, const std::string& message) {
    return {kind, "record", message, {}};
}

/// Files of this device in the folder, by name, the record itself apart.
Outcome<std::vector<DeliveredFile>> files_of(const fs::path& folder, const std::string& stem) {
    std::vector<std::string> names;
    std::error_code error;
    for (fs::directory_iterator at(folder, error), end; !error && at != end; at.increment(error)) {
        const std::string name = at->path().filename().string();
        const bool ours = name.starts_with(stem + ".") || name.starts_with(stem + "-");
        if (ours && !name.starts_with(stem + ".record.") && fs::is_regular_file(at->path(), error))
            names.push_back(name);
    }
    if (error) return record_fault(FaultKind::input, folder.string() + ": " + error.message());
    std::sort(names.begin(), names.end());
    std::vector<DeliveredFile> files;
    for (const std::string& name : names) {
        const auto bytes = FileBytes::read(folder / name);
        if (!bytes) return bytes.fault();
        files.push_back({name, "", sha256(bytes->bytes()), bytes->bytes().size()});
    }
    return files;
}

}  // namespace

Exit run_record(Console& console, const RecordOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto text = FileBytes::read(options.job);
    if (!text) return console.fail(text.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    NamedFiles files;
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (const Side side : *feet) {
        const auto device = (*bench)->build(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));
        if (const auto stop = stopped(*device)) return console.fail(with_order(*stop, *job, *feet, **bench));
        const std::string stem = file_stem(*device);
        const std::string there = fingerprint_there(options.folder, stem, names_of(stem));
        if (there.empty())
            return console.fail(record_fault(FaultKind::input, "There are no files of " + stem + " in " +
                                                                   options.folder.string() +
                                                                   ". Make them first: archwright make."));
        if (!design::is_of(*job, side, there))
            return console.fail(
                record_fault(FaultKind::check,
                             "The files of " + stem + " in " + options.folder.string() +
                                 " are of another design than the job is now. Make them anew: archwright "
                                 "make ... --replace."));
        if (const auto changed = changed_by_version(options.folder, stem, *job, *device);
            changed && !options.replace)
            return console.fail(record_fault(
                FaultKind::check, *changed + " Nothing was changed; write --replace to record it as "
                                             "this version makes it."));
        auto made = files_of(options.folder, stem);
        if (!made) return console.fail(made.fault());
        const papers::DeviceRecord record =
            papers::record_of(*job, std::string(text->text()), *device, std::move(*made));
        auto json = papers::record_json(record);
        const auto pdf = papers::record_pdf(record);
        if (!pdf) return console.fail(pdf.fault());
        files.emplace_back(stem + ".record.pdf", *pdf);
        files.emplace_back(stem + ".record.json", json.dump(2) + "\n");
        console.say(stem + ": " + std::to_string(record.outputs.size()) + " files, " +
                    std::to_string(record.checks.size()) + " checks, " +
                    std::to_string(record.signed_off.size()) + " sign-offs; " +
                    (record.approval ? "approved by " + record.approval->by : std::string("not approved")));
        console.say(std::string("  ") + papers::no_declaration);
        all.push_back(std::move(json));
    }
    if (const auto there = options.replace ? std::nullopt : differs_there(options.folder, files))
        return console.fail(record_fault(
            FaultKind::output,
            there->string() + " is there and differs (what was filled in would be lost); write --replace to "
                              "give it up."));
    if (const auto done = put_together(options.folder, files); !done) return console.fail(done.fault());
    for (const auto& file : files) console.say("  " + (options.folder / file.first).string());
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"records", all}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
