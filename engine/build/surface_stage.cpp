#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/trim.hpp"

namespace archwright::build {

namespace {

std::vector<Check> surface_checks(const surface::CarpetReport& report, const surface::TrimLine& trim) {
    std::vector<Check> checks;

    Check fit = named_check("carpet.fit", "Surface against the cast");
    fit.figure = report.fit_rms_mm;
    fit.limit = tolerance::fit_rms_look_mm;
    fit.unit = "mm";
    fit.where = report.fit_worst;
    fit.verdict = report.fit_rms_mm <= tolerance::fit_rms_look_mm ? Verdict::pass : Verdict::look;
    fit.message = "Inside the trim line the surface lies " + rounded(report.fit_rms_mm, 3) +
                  " mm rms from the cast's points, at most " + rounded(report.fit_max_mm, 2) + " mm at " +
                  place(report.fit_worst) +
                  (fit.verdict == Verdict::look ? ": the cast is rough or noisy there." : ".");
    checks.push_back(fit);

    Check parametrisation = named_check("carpet.flat", "Surface laid out flat");
    parametrisation.figure = report.stretch_high;
    parametrisation.limit = tolerance::stretch_high;
    const bool sound = report.flips == 0 && report.folds == 0 &&
                       (report.method == "gutter" || (report.stretch_low >= tolerance::stretch_low &&
                                                      report.stretch_high <= tolerance::stretch_high));
    parametrisation.verdict = sound ? Verdict::pass : Verdict::stop;
    parametrisation.signable = false;
    parametrisation.message = "Laid out by the method \"" + report.method + "\": stretch " +
                              rounded(report.stretch_low, 2) + " to " + rounded(report.stretch_high, 2) +
                              ", " + std::to_string(report.flips) + " turned over, " +
                              std::to_string(report.folds) + " folded.";
    checks.push_back(parametrisation);

    if (!report.holes.empty()) {
        Check holes = named_check("carpet.holes", "Holes bridged");
        double largest = 0.0;
        std::string list;
        for (const surface::HoleFilled& hole : report.holes) {
            if (hole.diameter_mm > largest) {
                largest = hole.diameter_mm;
                holes.where = hole.centre;
            }
            list += (list.empty() ? "" : "; ") + rounded(hole.diameter_mm, 1) + " mm across at " +
                    place(hole.centre);
        }
        holes.figure = largest;
        holes.unit = "mm";
        holes.verdict = Verdict::look;
        holes.message = std::to_string(report.holes.size()) +
                        (report.holes.size() == 1 ? " hole" : " holes") +
                        " in the cast bridged by the smooth surface: " + list + ".";
        checks.push_back(holes);
    }

    Check reached = named_check("trim.reached", "Trim line on the cast");
    std::size_t missed = 0;
    double shortest = 0.0;
    for (const surface::TrimStation& station : trim.stations)
        if (!station.reached) {
            ++missed;
            if (station.wanted_mm - station.height_mm >= shortest) {
                shortest = station.wanted_mm - station.height_mm;
                reached.where = station.p;
            }
        }
    reached.figure = shortest;
    reached.unit = "mm";
    reached.verdict = missed == 0 ? Verdict::pass : Verdict::look;
    reached.message = missed == 0
                          ? "The trim line reaches the height asked at all " +
                                std::to_string(trim.stations.size()) + " stations."
                          : "At " + std::to_string(missed) + " of " + std::to_string(trim.stations.size()) +
                                " stations the cast does not reach the height asked; at most " +
                                rounded(shortest, 1) + " mm are missing, at " + place(*reached.where) + ".";
    checks.push_back(reached);

    Check margin = named_check("trim.margin", "Cast beyond the trim line");
    margin.figure = report.margin_mm;
    margin.limit = tolerance::trim_margin_mm;
    margin.unit = "mm";
    margin.where = report.margin_at;
    margin.verdict = report.margin_mm >= tolerance::trim_margin_mm ? Verdict::pass : Verdict::look;
    margin.message = "The cast goes on " + rounded(report.margin_mm, 1) +
                     " mm beyond the trim line at the least, at " + place(report.margin_at) + ".";
    checks.push_back(margin);
    return checks;
}

}  // namespace

Outcome<Surfaced> surface_stage(const Received& received, const design::FootDesign& foot,
                                Progress& progress) {
    auto rule = design::trim_rule(foot.trim, received.standing.landmarks);
    if (!rule) return rule.fault();
    surface::CarpetSettings settings;
    settings.wall_mm = foot.wall.base_mm;
    for (const auto& station : foot.wall.stations)
        settings.wall_mm = std::max(settings.wall_mm, station.wall_mm);
    for (const auto& region : foot.wall.regions)
        settings.wall_mm = std::max(settings.wall_mm, region.wall_mm);

    const Progress::Stretch stretch(progress, "Laying the surface", 0.28, 0.5);
    auto carpet = surface::lay_carpet(received.standing.mesh, {}, *rule, settings, &progress);
    if (!carpet) return carpet.fault();
    auto trim = surface::find_trim(carpet->surface, *rule);
    if (!trim) return trim.fault();
    auto report = surface::assess(*carpet, *trim, settings);
    if (!report) return report.fault();

    Surfaced surfaced;
    surfaced.rule = *rule;
    surfaced.checks = surface_checks(*report, *trim);
    surfaced.carpet = std::move(*carpet);
    surfaced.report = std::move(*report);
    surfaced.trim = std::move(*trim);
    return surfaced;
}

}  // namespace archwright::build
