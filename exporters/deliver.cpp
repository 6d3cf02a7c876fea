#include "exporters/deliver.hpp"

#include <algorithm>
#include <future>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "engine/foot/frame.hpp"
#include "exporters/kept_samples.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"

namespace archwright::exporters {

namespace fs = std::filesystem;

namespace {

Outcome<DeliveredFile> delivered(const fs::path& path, const std::string& format) {
    const auto file = FileBytes::read(path);
    if (!file) return file.fault();
    return DeliveredFile{path.filename().string(), format, sha256(file->bytes()), file->bytes().size()};
}

// ISO 8601 as STEP wants it; a job without a date gets a fixed one, never the clock's.
std::string step_date(const std::string& date) {
    return (date.empty() ? "1970-01-01" : date) + "T00:00:00";
}

Outcome<Done> write_body_step(const build::Device& device, solid::Solid solid, solid::SolidReport report,
                              const std::string& product, const DeliverySetting& setting,
                              const std::string& date, const fs::path& path) {
    if (device.side == Side::left) {
        auto mirrored = solid::mirrored(solid);
        if (!mirrored) return mirrored.fault();
        solid = *mirrored;
        report = solid::mirrored(report);
    }
    return write_step(solid, report, {product, date}, path, setting.step_schema);
}

// The shell and those parts whose exact solid is sound, each a file.
Outcome<Done> write_device_steps(const build::Device& device, const DeliverySetting& setting,
                                 const std::string& date, const fs::path& folder) {
    const std::string stem = file_stem(device),
                      product = device.case_code + "-" + word(device.side) + "-" + device.revision;
    const build::Proved& proved = *device.proved;
    if (auto shell = write_body_step(device, proved.solid, proved.solid_report, product, setting, date,
                                     folder / (stem + ".step"));
        !shell)
        return shell;
    for (std::size_t k = 0; k < proved.parts.size(); ++k) {
        if (!proved.parts[k].solid) continue;
        const std::string& name = device.shelled->parts[k].name;
        if (auto part = write_body_step(device, *proved.parts[k].solid, proved.parts[k].solid_report,
                                        product + "-" + name, setting, date,
                                        folder / (part_stem(stem, name) + ".step"));
            !part)
            return part;
    }
    return Done{};
}

// Every name that this device's delivery may use.
std::vector<std::string> names_for(const build::Device& device) {
    const std::string stem = file_stem(device);
    std::vector<std::string> names = names_of(stem);
    for (const build::Part& part : device.shelled->parts)
        for (const char* ending : {".stl", ".step"}) names.push_back(part_stem(stem, part.name) + ending);
    return names;
}

// What already stands under the device's names.
std::optional<Fault> in_the_way(const design::Job& job, const build::Device& device,
                                const DeliverySetting& setting) {
    const std::string stem = file_stem(device);
    for (const std::string& name : names_for(device))
        for (const fs::path& input : setting.inputs)
            if (same_file(setting.folder / name, input))
                return Fault{FaultKind::usage,
                             "write",
                             (setting.folder / name).string() +
                                 " is the job, its cast or its insole's drawing; it is never written over. "
                                 "Nothing was changed; "
                                 "choose another folder.",
                             {}};
    const std::string there = fingerprint_there(setting.folder, stem, names_for(device));
    if (setting.replace || there.empty()) return std::nullopt;
    if (design::is_of(job, device.side, there)) {
        const auto changed = changed_by_version(setting.folder, stem, job, device);
        if (!changed) return std::nullopt;
        return Fault{FaultKind::output,
                     "write",
                     *changed +
                         " Nothing was changed. Write into another folder, or pass --replace to put the "
                         "new files in place of the old.",
                     {}};
    }
    return Fault{
        FaultKind::output,
        "write",
        "Files of " + stem + " are in " + setting.folder.string() +
            (there == "?" ? " already, without a report that tells what they are"
                          : " already, made from another design") +
            ". Nothing was changed. Start a new revision (archwright revise JOB --note TEXT), or pass "
            "--replace to replace them.",
        {}};
}

// One device into the staging folder.
Outcome<Delivered> write_device(const design::Job& job, const build::Device& device,
                                const DeliverySetting& setting, const fs::path& folder, Progress& progress) {
    const std::string stem = file_stem(device);
    const std::string title = device.case_code + " " + word(device.side) + " revision " + device.revision;
    const std::string date = job.revisions.back().date;
    Delivered all;
    const auto note = [&](const fs::path& path, const std::string& format) -> std::optional<Fault> {
        auto file = delivered(path, format);
        if (!file) return file.fault();
        all.files.push_back(*file);
        return std::nullopt;
    };

    // STEP is the slow one: it is written beside the mesh files, which share nothing with it
    std::future<Outcome<Done>> step;
    if (setting.formats.count(Format::step) != 0)
        step = std::async(std::launch::async,
                          [&] { return write_device_steps(device, setting, step_date(date), folder); });

    std::vector<NamedMesh> bodies{
        {title + " shell", foot::to_export(device.made().mesh, device.side), device.shelled->material.name}};
    for (const build::Part& part : device.shelled->parts)
        bodies.push_back(
            {title + " " + part.name, foot::to_export(part.mesh.mesh, device.side), part.material.name});
    std::optional<Fault> fault;
    if (setting.formats.count(Format::stl) != 0) {
        progress.report("Writing STL", 0.9);
        for (std::size_t k = 0; k < bodies.size() && !fault; ++k) {
            const std::string own = k == 0 ? "" : " " + device.shelled->parts[k - 1].name;
            const fs::path path =
                folder / ((k == 0 ? stem : part_stem(stem, device.shelled->parts[k - 1].name)) + ".stl");
            const auto done = write_stl(bodies[k].mesh, "Archwright " + title + own + " unit mm", path);
            fault = done ? note(path, "STL") : done.fault();
        }
    }
    if (!fault && setting.formats.count(Format::three_mf) != 0) {
        progress.report("Writing 3MF", 0.92);
        const fs::path path = folder / (stem + ".3mf");
        const auto done = write_three_mf(bodies, {title, date}, path);
        fault = done ? note(path, "3MF") : done.fault();
    }
    if (step.valid()) {
        progress.report("Writing STEP", 0.94);
        const auto done = step.get();
        if (!fault) {
            const bool ap242 = setting.step_schema == solid::StepSchema::ap242;
            const std::string format = ap242 ? "STEP AP242" : "STEP AP214";
            fault = done ? note(folder / (stem + ".step"), format) : done.fault();
            for (std::size_t k = 0; k < device.proved->parts.size() && !fault; ++k)
                if (device.proved->parts[k].solid)
                    fault = note(folder / (part_stem(stem, device.shelled->parts[k].name) + ".step"), format);
        }
    }
    if (fault) return *fault;
    const std::vector<DeliveredFile> geometry = all.files;
    std::vector<FlexLoad> bench;
    if (setting.flex) {
        auto told = on_bench(job, device, progress);
        if (!told) return told.fault();
        bench = std::move(*told);
    }
    const fs::path json_path = folder / (stem + ".report.json"), text_path = folder / (stem + ".report.txt");
    if (const auto done = write_file(json_path, report_json(job, device, geometry, bench)); !done)
        return done.fault();
    if (const auto done = write_file(text_path, report_text(job, device, geometry, bench)); !done)
        return done.fault();
    if (const auto trouble = note(json_path, "report JSON")) return *trouble;
    if (const auto trouble = note(text_path, "report text")) return *trouble;
    return all;
}

}  // namespace

std::vector<fs::path> inputs_of(const design::Job& job, const fs::path& path, bool allow_outside) {
    std::vector<fs::path> inputs{path};
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side))
            if (const auto cast = design::resolve(path, job.foot(side)->cast.path, allow_outside))
                inputs.push_back(*cast);
    if (!job.order.insole_outline.empty())
        if (const auto insole = design::resolve(path, job.order.insole_outline, allow_outside))
            inputs.push_back(*insole);
    return inputs;
}

std::string file_stem(const build::Device& device) {
    return device.case_code + "-" + word(device.side) + "-" + device.revision;
}

std::optional<Fault> stopped(const build::Device& device) {
    const std::vector<Check> stops = device.open_stops();
    if (stops.empty()) return std::nullopt;
    std::string message = std::string("The ") + word(device.side) + " device is stopped by " +
                          std::to_string(stops.size()) + (stops.size() == 1 ? " check" : " checks") +
                          "; nothing was written.";
    for (const Check& stop : stops)
        message += "\n  [stop] " + stop.title + " (" + stop.id + "): " + stop.message;
    return Fault{FaultKind::check, "prove", message, stops.front().where};
}

Outcome<std::vector<Delivered>> deliver(const design::Job& job, const std::vector<build::Device>& devices,
                                        const DeliverySetting& setting, Progress& progress) {
    for (const build::Device& device : devices) {
        if (auto fault = stopped(device)) return *fault;
        if (!device.proved || !device.shelled)
            return Fault{
                FaultKind::internal, "make", "The device was not proved before it was to be written.", {}};
        if (auto fault = in_the_way(job, device, setting)) return *fault;
    }
    const auto staging = Staging::in(setting.folder);
    if (!staging) return staging.fault();
    std::vector<Delivered> all;
    for (const build::Device& device : devices) {
        auto one = write_device(job, device, setting, staging->path(), progress);
        if (!one) return one.fault();
        all.push_back(std::move(*one));
    }
    if (progress.cancelled())
        return Fault{FaultKind::cancelled, "write", "Cancelled; nothing was written.", {}};

    // Old reports go first and new ones come last: whatever stops this, no report tells of other files.
    std::error_code ignored;
    std::vector<std::string> geometry, reports;
    for (std::size_t k = 0; k < devices.size(); ++k) {
        const std::string stem = file_stem(devices[k]);
        const bool other = !design::is_of(job, devices[k].side,
                                          fingerprint_there(setting.folder, stem, names_for(devices[k])));
        std::vector<std::string> old = names_of(stem);
        for (std::string& part : part_files_there(setting.folder, stem)) old.push_back(std::move(part));
        for (const std::string& name : old)
            if (other || name.find(".report.") != std::string::npos)
                fs::remove(setting.folder / name, ignored);
        for (const DeliveredFile& file : all[k].files)
            (file.format.starts_with("report") ? reports : geometry).push_back(file.name);
    }
    geometry.insert(geometry.end(), reports.begin(), reports.end());
    if (const auto done = staging->move_in(geometry); !done) return done.fault();
    progress.report("Done", 1.0);
    return all;
}

}  // namespace archwright::exporters
