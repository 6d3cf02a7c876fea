#include "engine/build/feature_check.hpp"

#include <limits>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/words.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::build {

namespace {

Check reach(const std::vector<feature::Figure>& figures) {
    Check check = named_check("features.reach", "Reliefs and pads on the shell");
    check.unit = "mm";
    check.limit = 0.0;
    constexpr double whole = 0.98;
    for (const feature::Figure& f : figures) {
        if (f.beyond_mm > check.figure.value_or(0.0)) {
            check.figure = f.beyond_mm;
            check.where = f.fit_where;
        }
        if (f.beyond_mm > 0.0) {
            check.verdict = Verdict::stop;
            check.message +=
                "The middle of \"" + f.name + "\" lies " + rounded(f.beyond_mm, 1) +
                " mm beyond the trim line: the shell cannot carry it. Move it, lengthen the shell, "
                "or order it in a cover or an extension. ";
        } else if (f.inside_share < whole) {
            check.verdict = std::max(check.verdict, Verdict::look);
            check.message += "\"" + f.name +
                             "\" runs over the trim line: " + rounded(100.0 * (1.0 - f.inside_share), 0) +
                             " % of it lies beyond. ";
        }
    }
    if (check.message.empty()) check.message = "All lie whole inside the trim line.";
    return check;
}

}  // namespace

feature::Site feature_site(const Received& received, const Surfaced& surfaced,
                           const design::FootDesign& foot) {
    feature::Site site{surfaced.carpet.surface, received.standing.landmarks, {}};
    for (const design::Mark& mark : foot.marks) {
        if (mark.refused) site.refused_marks.insert(mark.name);
        for (const Vec3& p : mark.points)
            if (!mark.refused) site.marks[mark.name].push_back(received.standing.frame.to_design(p));
    }
    return site;
}

std::vector<Check> check_marks(const Received& received, const design::FootDesign& foot) {
    if (foot.marks.empty()) return {};
    Check off = named_check("marks.place", "Marks on the cast");
    off.limit = tolerance::mark_off_mm;
    off.unit = "mm";
    off.figure = 0.0;
    Check open = named_check("marks.accepted", "Marks that reliefs and pads lie on");
    const Bvh cast(received.standing.mesh);
    for (const design::Mark& mark : foot.marks) {
        if (mark.refused) continue;
        for (const Vec3& scan : mark.points) {
            const Vec3 p = received.standing.frame.to_design(scan);
            const auto near = cast.nearest(p, std::numeric_limits<double>::max());
            if (!near || near->distance <= *off.figure) continue;
            off.figure = near->distance;
            off.where = p;
            if (near->distance > tolerance::mark_off_mm) {
                off.verdict = Verdict::look;
                off.message = "\"" + mark.name + "\" lies " + rounded(near->distance, 1) +
                              " mm from the cast: it was marked on another cast, or mistyped.";
            }
        }
        if (!mark.open()) continue;
        for (const feature::Feature& one : foot.features) {
            if (!one.on || one.anchor != mark.name) continue;
            open.verdict = Verdict::look;
            if (!open.where) open.where = received.standing.frame.to_design(mark.points.front());
            open.message += "\"" + one.name + "\" lies on \"" + mark.name +
                            "\", which was found in the cast and no person has accepted yet. ";
        }
    }
    if (off.verdict == Verdict::pass)
        off.message = "All marks lie on the cast, the farthest " + rounded(*off.figure, 2) + " mm from it.";
    if (open.verdict == Verdict::pass)
        open.message = "Every mark they lie on was drawn or accepted by a person.";
    return {off, open};
}

void tell_features(const Surfaced& surfaced, Shelled& shelled) {
    if (shelled.features.empty()) return;
    shelled.feature_figures =
        feature::figures(shelled.features, surfaced.carpet.surface, shelled.shell.foot_side,
                         surface::TrimRegion(surface::Outline(surfaced.trim.curve)));
    const std::vector<feature::Figure>& figures = shelled.feature_figures;
    shelled.checks.push_back(reach(figures));

    Check told = named_check("features.figures", "Reliefs and pads");
    Check fit = named_check("features.fit", "Reliefs and pads against what was asked");
    Check overlap = named_check("features.overlap", "Reliefs and pads that overlap");
    const feature::Figure* worst = &figures.front();
    for (const feature::Figure& f : figures) {
        if (f.fit_mm > worst->fit_mm) worst = &f;
        told.message += "\"" + f.name + "\" " + rounded(f.measured_mm, 2) + " mm, asked " +
                        rounded(f.asked_mm, 2) + " mm, flank " + rounded(f.flank_deg, 0) + " degrees. ";
        // a flank broader than the shape, or a fade longer than the groove: its depth is never reached
        if (f.overlaps.empty() && f.inside_share > 0.5 &&
            f.measured_mm < f.asked_mm - tolerance::feature_fit_look_mm) {
            told.verdict = Verdict::look;
            told.where = f.where;
        }
        for (const std::string& other : f.overlaps)
            if (f.name < other) overlap.message += "\"" + f.name + "\" and \"" + other + "\". ";
    }
    if (told.verdict == Verdict::look)
        told.message +=
            "What was asked is not reached: a flank broader than the shape, or fades longer than the "
            "groove, leave no room for it.";
    shelled.checks.push_back(told);

    fit.figure = worst->fit_mm;
    fit.limit = tolerance::feature_fit_look_mm;
    fit.unit = "mm";
    fit.where = worst->fit_where;
    fit.verdict = worst->fit_mm <= tolerance::feature_fit_look_mm ? Verdict::pass : Verdict::look;
    fit.message = "The foot side follows them to " + rounded(worst->fit_mm, 3) + " mm at the worst (\"" +
                  worst->name + "\").";
    shelled.checks.push_back(fit);

    if (overlap.message.empty()) return;
    overlap.message +=
        "Where reliefs meet the deeper counts, where pads meet the higher; a relief is cut into "
        "a pad.";
    shelled.checks.push_back(overlap);
}

}  // namespace archwright::build
