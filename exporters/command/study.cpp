#include "exporters/command/job_in_hand.hpp"
#include "exporters/comparing/study_report.hpp"

namespace archwright::exporters::command {

namespace {

/// All that is wrong with a study's casts, one fault.
Fault mistakes_fault(const std::string& study, const std::vector<study::Mistake>& mistakes) {
    std::string words = study + ": " + std::to_string(mistakes.size()) +
                        (mistakes.size() == 1 ? " cast is" : " casts are") +
                        " wrong. Mend the table or the files, or pass --leave-out to go on without them.";
    for (const study::Mistake& m : mistakes)
        words += "\n  row " + std::to_string(m.row) + ", " + m.cast + " (" + key(m.kind) + "): " + m.words;
    return {FaultKind::check, "study", words, {}};
}

}  // namespace

Exit run_study(Console& console, const StudyOptions& options) {
    const auto table = study::read_table(options.table);
    if (!table) return console.fail(table.fault());
    exporters::comparing::StudyReport report;
    report.table = *table;
    if (table->casts) {
        auto materials = design::load_materials(design::assets_folder() / "materials");
        if (!materials) return console.fail(materials.fault());
        study::CastSetting setting;
        setting.folder = options.table.parent_path();
        setting.allow_outside = options.reading.allow_outside;
        setting.limits = options.reading.limits;
        setting.materials = std::make_shared<const design::Materials>(std::move(*materials));
        const auto casts = study::measure_casts(*table, setting, console.progress());
        if (!casts) return console.fail(casts.fault());
        if (!casts->mistakes.empty() && !options.leave_out)
            return console.fail(mistakes_fault(table->name, casts->mistakes));
        report.mistakes = casts->mistakes;
        report.table = study::figures_of(*table, *casts);
        if (options.surfaces) {
            auto surfaces = study::mean_surfaces(*table, *casts, console.progress());
            if (!surfaces) return console.fail(surfaces.fault());
            report.surfaces = std::move(*surfaces);
        }
        report.spreads = study::landmark_spreads(*table, *casts);
    }
    report.analysis = study::analyse(report.table);
    for (const std::string& line : exporters::comparing::study_lines(report)) console.say(line);
    nlohmann::ordered_json told{{"ok", true}};
    told.update(exporters::comparing::study_json(report));
    if (!options.folder.empty()) {
        const auto written = exporters::comparing::write_study(report, options.folder, options.replace);
        if (!written) return console.fail(written.fault());
        console.say("written to " + options.folder.string() + ": " + std::to_string(written->size()) +
                    " files");
        told["written"] = *written;
    }
    if (console.json()) console.print_json(told);
    return Exit::done;
}

}  // namespace archwright::exporters::command
