#include <nlohmann/json.hpp>

#include "engine/design/text_kind.hpp"
#include "exporters/calibration_told.hpp"
#include "exporters/command/options.hpp"

namespace archwright::exporters::command {

namespace {

Fault calibrate_usage(const std::string& what) {
    return {FaultKind::usage, "calibrate", what, {}};
}

/// Before the long work: whether the entry can be made at all.
Outcome<Done> may_enter(const CalibrateOptions& options, const std::string& material) {
    if (options.material.empty()) return Done{};
    if (const std::string trouble = design::text_trouble(options.by, design::TextKind::code);
        options.by.empty() || !trouble.empty())
        return calibrate_usage("--by " + design::in_quotes(options.by) + " is no code of a person.");
    if (const std::string trouble = design::text_trouble(options.date, design::TextKind::date);
        options.date.empty() || !trouble.empty())
        return calibrate_usage("--date " + design::in_quotes(options.date) + " is no day: write YYYY-MM-DD.");
    if (options.material.filename() != material + ".json")
        return calibrate_usage("the file's name is the material's key: write it as " + material +
                               ".json, not " + design::in_quotes(options.material.filename().string()) + ".");
    std::error_code ec;
    if (!options.replace && std::filesystem::exists(options.material, ec))
        return Fault{FaultKind::output,
                     "calibrate",
                     options.material.string() + " exists already: --replace writes it anew.",
                     {}};
    return Done{};
}

}  // namespace

Exit run_calibrate(Console& console, const CalibrateOptions& options) {
    const auto measurements = calibrate::read_measurements(options.measurements);
    if (!measurements) return console.fail(measurements.fault());
    if (const auto good = may_enter(options, measurements->material); !good)
        return console.fail(good.fault());
    auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return console.fail(materials.fault());

    calibrate::TableSetting setting;
    setting.folder = options.measurements.parent_path();
    setting.allow_outside = options.reading.allow_outside;
    setting.limits = options.reading.limits;
    setting.materials = std::make_shared<const design::Materials>(std::move(*materials));
    setting.element_mm = options.element_mm;
    auto tables = calibrate::device_tables(*measurements, setting, console.progress());
    if (!tables) return console.fail(tables.fault());
    const auto calibrated = calibrate::calibrate(*measurements, std::move(*tables), &console.progress());
    if (!calibrated) return console.fail(calibrated.fault());
    for (const std::string& line : calibration_lines(*measurements, *calibrated)) console.say(line);
    nlohmann::ordered_json told{{"ok", true}};
    told.update(calibration_json(*measurements, *calibrated));
    if (!options.material.empty()) {
        if (const auto worth = calibrate::worth_entering(*calibrated); !worth)
            return console.fail(worth.fault());
        const auto written = design::write_calibrated(
            design::assets_folder() / "materials" / (measurements->material + ".json"), options.material,
            calibrated->entry(*measurements, options.by, options.date));
        if (!written) return console.fail(written.fault());
        console.say("  written: " + options.material.string());
        told["written"] = options.material.string();
    }
    if (console.json()) console.print_json(told);
    return Exit::done;
}

}  // namespace archwright::exporters::command
