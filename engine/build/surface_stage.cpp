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

    Check flat = named_check("carpet.flat", "Surface laid out flat");
    flat.figure = report.stretch_high;
    flat.limit = tolerance::stretch_high;
    flat.verdict = report.method == "flattened" ? Verdict::pass : Verdict::look;
    flat.message =
        "Stretched by " + rounded(report.stretch_low, 2) + " to " + rounded(report.stretch_high, 2) +
        (report.method == "flattened"
             ? std::string(", no place turned over.")
             : std::string(". The cast could not be flattened; the surface was laid under it from a "
                           "gutter instead."));
    checks.push_back(flat);

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
    double farthest = 0.0;
    const surface::TrimStation* worst = nullptr;
    for (const surface::TrimStation& station : trim.stations)
        if (!station.reached) {
            ++missed;
            if (worst == nullptr || std::abs(station.wanted_mm - station.height_mm) >= farthest) {
                farthest = std::abs(station.wanted_mm - station.height_mm);
                worst = &station;
            }
        }
    const std::string all = std::to_string(trim.stations.size());
    reached.figure = farthest;
    reached.unit = "mm";
    if (worst == nullptr) {
        reached.message = "The trim line follows its rule at all " + all + " stations.";
    } else {
        reached.verdict = Verdict::look;
        reached.where = worst->p;
        reached.message = "At " + std::to_string(missed) + " of " + all +
                          " stations the cast does not let the trim line follow its rule; the most at " +
                          place(worst->p) + ": " + rounded(worst->height_mm, 1) + " mm high instead of " +
                          rounded(worst->wanted_mm, 1) + " mm.";
    }
    checks.push_back(reached);

    Check margin = named_check("trim.margin", "Cast beyond the trim line");  // less than the limit is a fault
    margin.figure = report.margin_mm;
    margin.limit = tolerance::trim_margin_mm;
    margin.unit = "mm";
    margin.where = report.margin_at;
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
    const Progress::Stretch stretch(progress, "Laying the surface", 0.28, 0.5);
    auto carpet = surface::lay_carpet(received.standing.mesh, {}, *rule, {}, &progress);
    if (!carpet) return carpet.fault();
    auto trim = surface::find_trim(carpet->surface, *rule);
    if (!trim) return trim.fault();
    auto report = surface::assess(*carpet, *trim);
    if (!report) return report.fault();

    Surfaced surfaced;
    surfaced.rule = *rule;
    surfaced.checks = surface_checks(*report, *trim);
    surfaced.checks.push_back(check_trim(*trim, *rule));
    surfaced.distal = distal_reach(carpet->surface, *trim, received.standing.landmarks);
    surfaced.checks.push_back(check_distal(surfaced.distal));
    surfaced.carpet = std::move(*carpet);
    surfaced.report = std::move(*report);
    surfaced.trim = std::move(*trim);
    return surfaced;
}

}  // namespace archwright::build
