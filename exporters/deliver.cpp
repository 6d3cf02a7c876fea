#include "exporters/deliver.hpp"

#include <future>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/foot/frame.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"

namespace archwright::exporters {

namespace fs = std::filesystem;

namespace {

Outcome<DeliveredFile> delivered(const fs::path& path, const std::string& format) {
    const auto file = MappedFile::open(path);
    if (!file) return file.fault();
    return DeliveredFile{path.filename().string(), format, sha256((*file)->bytes()), (*file)->bytes().size()};
}

// ISO 8601 as STEP wants it; a job without a date gets a fixed one, never the clock's.
std::string step_date(const std::string& date) {
    return (date.empty() ? "1970-01-01" : date) + "T00:00:00";
}

Outcome<Done> deliver_step(const build::Device& device, const DeliverySetting& setting,
                           const std::string& date, const fs::path& path) {
    solid::Solid solid = device.proved->solid;
    solid::SolidReport report = device.proved->solid_report;
    if (device.side == Side::left) {
        auto mirrored = solid::mirrored(solid);
        if (!mirrored) return mirrored.fault();
        solid = *mirrored;
        report = solid::mirrored(report);
    }
    return write_step(solid, report, {device.case_code + "-" + word(device.side), date}, path,
                      setting.step_schema);
}

}  // namespace

std::string file_stem(const build::Device& device) {
    return device.case_code + "-" + word(device.side) + "-" + device.revision;
}

Outcome<std::vector<DeliveredFile>> deliver(const design::Job& job, const build::Device& device,
                                            const DeliverySetting& setting, Progress& progress) {
    const std::vector<Check> stops = device.open_stops();
    if (!stops.empty()) {
        std::string message = std::string("The ") + word(device.side) + " device is stopped by " +
                              std::to_string(stops.size()) + (stops.size() == 1 ? " check" : " checks") +
                              "; nothing was written.";
        for (const Check& stop : stops)
            message += "\n  [stop] " + stop.title + " (" + stop.id + "): " + stop.message;
        return Fault{FaultKind::check, "prove", message, stops.front().where};
    }
    if (!device.proved || !device.shelled)
        return Fault{
            FaultKind::internal, "make", "The device was not proved before it was to be written.", {}};

    std::error_code error;
    fs::create_directories(setting.folder, error);
    if (error)
        return Fault{FaultKind::output,
                     "write",
                     "Cannot make the folder " + setting.folder.string() + ": " + error.message() + ".",
                     {}};

    const std::string stem = file_stem(device);
    const std::string title = device.case_code + " " + word(device.side) + " revision " + device.revision;
    const std::string date = job.revisions.back().date;
    std::vector<DeliveredFile> files;
    const auto note = [&](const fs::path& path, const std::string& format) -> std::optional<Fault> {
        auto file = delivered(path, format);
        if (!file) return file.fault();
        files.push_back(*file);
        return std::nullopt;
    };

    // STEP is the slow one: it is written beside the mesh files, which share nothing with it
    std::future<Outcome<Done>> step;
    const fs::path step_path = setting.folder / (stem + ".step");
    if (setting.formats.count(Format::step) != 0)
        step = std::async(std::launch::async,
                          [&] { return deliver_step(device, setting, step_date(date), step_path); });

    const TriangleMesh mesh = foot::to_export(device.shelled->mesh.mesh, device.side);
    std::optional<Fault> fault;
    if (setting.formats.count(Format::stl) != 0) {
        progress.report("Writing STL", 0.9);
        const fs::path path = setting.folder / (stem + ".stl");
        const auto done = write_stl(mesh, "Archwright " + title + " unit mm", path);
        fault = done ? note(path, "STL") : done.fault();
    }
    if (!fault && setting.formats.count(Format::three_mf) != 0) {
        progress.report("Writing 3MF", 0.92);
        const fs::path path = setting.folder / (stem + ".3mf");
        const auto done = write_three_mf({{title + " shell", mesh}}, {title, date}, path);
        fault = done ? note(path, "3MF") : done.fault();
    }
    if (step.valid()) {
        progress.report("Writing STEP", 0.94);
        const auto done = step.get();
        if (!fault) {
            const bool ap242 = setting.step_schema == solid::StepSchema::ap242;
            fault = done ? note(step_path, ap242 ? "STEP AP242" : "STEP AP214") : done.fault();
        }
    }
    if (fault) return *fault;
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "write", "Cancelled.", {}};
    const fs::path json_path = setting.folder / (stem + ".report.json");
    const fs::path text_path = setting.folder / (stem + ".report.txt");
    if (const auto done = write_file(json_path, report_json(job, device, files)); !done) return done.fault();
    if (const auto done = write_file(text_path, report_text(job, device, files)); !done) return done.fault();
    std::vector<DeliveredFile> all = files;
    for (const auto& [path, format] :
         {std::pair(json_path, "report JSON"), std::pair(text_path, "report text")}) {
        auto file = delivered(path, format);
        if (!file) return file.fault();
        all.push_back(*file);
    }
    progress.report("Done", 1.0);
    return all;
}

}  // namespace archwright::exporters
