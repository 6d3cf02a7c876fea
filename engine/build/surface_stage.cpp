#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/trim.hpp"
#include "engine/surface/lattice.hpp"

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

/// Highest point of the surface in the section y = const between two x; nothing where there is no section.
std::optional<Vec3> section_apex(const surface::SplineSurface& carpet, double y, double from_x, double to_x) {
    const surface::Lattice lattice = surface::Lattice::over(carpet.u, carpet.v, 2);
    const std::vector<Vec3> points = surface::sample_points(carpet, lattice);
    std::optional<Vec3> apex;
    for (int i = 0; i < lattice.nu; ++i)
        for (int j = 0; j + 1 < lattice.nv; ++j) {
            const Vec3 &a = points[lattice.index(i, j)], &b = points[lattice.index(i, j + 1)];
            if ((a.y() - y) * (b.y() - y) > 0.0 || a.y() == b.y()) continue;
            const Vec3 p = a + (y - a.y()) / (b.y() - a.y()) * (b - a);
            if (p.x() < from_x || p.x() > to_x) continue;
            if (!apex || p.z() > apex->z()) apex = p;
        }
    return apex;
}

/// Puts the dressed surface in the carpet's place and raises the rule by the cover.
std::optional<Fault> dress_carpet(const Received& received, const design::FootDesign& foot,
                                  surface::TrimRule& rule, surface::Carpet& carpet, Surfaced& out) {
    const foot::Landmarks& marks = received.standing.landmarks;
    const auto mark = [&](foot::LandmarkId id, const Vec3& otherwise) {
        const auto found = marks.find(id);
        return found == marks.end() ? otherwise : found->second.position;
    };
    surface::DressSite site;
    site.rule = rule;
    site.first_plantar = mark(foot::LandmarkId::first_head_plantar, rule.first_head);
    site.fifth_plantar = mark(foot::LandmarkId::fifth_head_plantar, rule.fifth_head);
    const double arch_y = 0.5 * site.first_plantar.y(), from_x = rule.heel_centre.x(),
                 to_x = site.first_plantar.x();
    const auto apex = section_apex(carpet.surface, arch_y, from_x, to_x);
    if (!apex)
        return Fault{FaultKind::check, "dress",
                     "The surface has no section through the arch: check the "
                     "landmarks of heel and heads.",
                     site.first_plantar};
    site.arch_apex = *apex;
    for (const GuardedPlace& place : guarded_places(foot.marks, received.standing.frame))
        site.real.push_back({place.place, place.reach_mm});
    std::optional<surface::Platform> platform;
    if (received.balance.platform_deg)
        platform = {*received.balance.platform_deg, foot.balance.platform_length_mm,
                    foot.balance.platform_blend_mm};
    auto dressed = surface::dress(carpet.surface, foot.dress, platform, site);
    if (!dressed) return dressed.fault();
    carpet.surface = dressed->surface;
    const auto after = section_apex(carpet.surface, arch_y, from_x, to_x);
    out.arch_captured_mm = apex->z();
    out.arch_delivered_mm = after ? after->z() : apex->z();
    rule = dressed_rule(rule, *dressed, foot.dress);
    out.dressed = std::move(*dressed);
    return std::nullopt;
}

std::optional<Fault> tell_dressing(const surface::TrimLine& trim, Surfaced& out) {
    if (out.dressed.steps.empty()) return std::nullopt;
    out.figures = surface::figures(out.dressed, surface::TrimRegion(surface::Outline(trim.curve)));
    Check added = named_check("dress.figures", "Dressing");
    double largest = 0.0;
    const surface::DressFigure* worst = &out.figures.front();
    for (const surface::DressFigure& figure : out.figures) {
        if (figure.fit_mm > worst->fit_mm) worst = &figure;
        if (figure.least_cosine < tolerance::dress_turned_cosine)
            return Fault{FaultKind::check, "dress",
                         figure.title + " turns the surface over at " + place(figure.turned_at) +
                             ": ask for less, or over a greater extent.",
                         figure.turned_at};
        if (figure.largest_mm > largest) {
            largest = figure.largest_mm;
            added.where = figure.where;
        }
        constexpr double mm3_per_cm3 = 1000.0;
        added.message += figure.title + " " + rounded(figure.largest_mm, 1) + " mm at most, " +
                         rounded(std::abs(figure.volume_mm3) / mm3_per_cm3, 2) + " cm3 " +
                         (figure.volume_mm3 < 0.0 ? "cut" : "added") + ". ";
    }
    added.figure = largest;
    added.unit = "mm";
    added.message += "Arch captured " + rounded(out.arch_captured_mm, 1) + " mm, delivered " +
                     rounded(out.arch_delivered_mm, 1) + " mm above the cast plane.";
    out.checks.push_back(added);

    Check fit = named_check("dress.fit", "Dressed surface against what was asked");
    fit.figure = worst->fit_mm;
    fit.limit = tolerance::dress_fit_look_mm;
    fit.unit = "mm";
    fit.where = worst->fit_where;
    fit.verdict = worst->fit_mm <= tolerance::dress_fit_look_mm ? Verdict::pass : Verdict::look;
    fit.message = "The surface follows its dressing to " + rounded(worst->fit_mm, 3) + " mm at the worst (" +
                  worst->title + "), at " + place(worst->fit_where) + ".";
    out.checks.push_back(fit);
    return std::nullopt;
}

Outcome<Surfaced> lay(const Received& received, const design::FootDesign& foot, surface::TrimRule rule,
                      Progress& progress) {
    auto carpet = surface::lay_carpet(received.standing.mesh, {}, rule, {}, &progress);
    if (!carpet) return carpet.fault();
    Surfaced surfaced;
    if (auto trouble = dress_carpet(received, foot, rule, *carpet, surfaced)) return *trouble;
    auto trim = surface::find_trim(carpet->surface, rule);
    if (!trim) return trim.fault();
    auto report = surface::assess(*carpet, *trim);
    if (!report) return report.fault();
    if (!rule.out_under_roof)
        trim->notes.push_back(
            "The cast ends too soon behind the medial border for the line to run out under the arch: it "
            "stops "
            "on the arch's inner flank. Scan further for more support there.");

    surfaced.rule = rule;
    surfaced.checks = surface_checks(*report, *trim);
    if (auto trouble = tell_dressing(*trim, surfaced)) return *trouble;
    surfaced.checks.push_back(check_trim(*trim, rule));
    surfaced.distal = distal_reach(carpet->surface, *trim, received.standing.landmarks);
    surfaced.checks.push_back(check_distal(surfaced.distal));
    surfaced.carpet = std::move(*carpet);
    surfaced.report = std::move(*report);
    surfaced.trim = std::move(*trim);
    return surfaced;
}

}  // namespace

surface::TrimRule dressed_rule(surface::TrimRule rule, const surface::Dressed& dressed,
                               const surface::Dress& dress) {
    rule.cup_datum_z = dressed.datum_z;
    const double cover = dress.cover_mm;
    for (double* height : {&rule.distal_height_mm, &rule.medial_flange_mm, &rule.lateral_border_mm,
                           &rule.cup_medial_mm, &rule.cup_posterior_mm, &rule.cup_lateral_mm})
        *height += cover;
    if (rule.lateral_flange.height_mm > 0.0) rule.lateral_flange.height_mm += cover;
    return rule;
}

Outcome<Surfaced> surface_stage(const Received& received, const design::FootDesign& foot,
                                Progress& progress) {
    auto rule = design::trim_rule(foot.trim, received.standing.landmarks);
    if (!rule) return rule.fault();
    const Progress::Stretch stretch(progress, "Laying the surface", 0.28, 0.5);
    auto surfaced = lay(received, foot, *rule, progress);
    if (surfaced || surfaced.fault().kind != FaultKind::check) return surfaced;
    rule->out_under_roof = false;
    auto nearer = lay(received, foot, *rule, progress);
    return nearer ? std::move(nearer) : std::move(surfaced);
}

}  // namespace archwright::build
