#include "exporters/papers/design_sheet_words.hpp"

#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/decisions.hpp"
#include "engine/design/words.hpp"
#include "engine/picture/drafting.hpp"

namespace archwright::exporters::papers {

namespace {

std::string in_mm(double value, int decimals = 1) {
    return rounded(value, decimals) + " mm";
}

std::string with_doubt(const foot::Figure& f) {
    return inclination(f.value) + (f.uncertainty > 0.0 ? " \u00b1 " + rounded(f.uncertainty, 1) : "");
}

void tell_angles(DesignSheet& s, const build::Received& received, const design::FootDesign& foot,
                 const std::vector<Check>& checks) {
    const foot::Posture& after = received.balance.after;
    using enum foot::Balance::Method;
    std::string heel = "as it stands";
    if (foot.balance.method == heel_bisection) heel = inclination(foot.balance.heel_deg);
    if (foot.balance.method == inverted_pour && foot.balance.pour_deg)
        heel = inclination(*foot.balance.pour_deg) + " poured";
    if (foot.balance.method == malleolar) heel = "by the malleolar line";
    if (after.heel_bisection) s.rows.push_back({"Heel bisection", heel, with_doubt(*after.heel_bisection)});
    if (after.malleolar)
        s.rows.push_back({"Malleolar line",
                          foot.balance.method == malleolar && foot.balance.malleolar_deg
                              ? inclination(*foot.balance.malleolar_deg)
                              : "-",
                          with_doubt(*after.malleolar)});
    if (const auto* forefoot = foot::find(received.measurements, "forefoot_to_rearfoot"))
        s.rows.push_back({"Forefoot to rearfoot", "-", with_doubt({forefoot->value, forefoot->uncertainty})});
    if (after.forefoot) {
        const double intrinsic = foot.balance.forefoot == foot::Balance::Forefoot::platform
                                     ? foot.balance.intrinsic_deg
                                     : 0.0,
                     extrinsic = foot.posts.forefoot.on ? foot.posts.forefoot.extrinsic_deg : 0.0;
        s.rows.push_back({"Forefoot, balanced", "-", with_doubt(*after.forefoot)});
        s.rows.push_back(
            {"Platform and post take", inclination(intrinsic + extrinsic),
             inclination(foot::remainder_deg(after.forefoot->value, intrinsic, extrinsic)) +
                 (after.forefoot->uncertainty > 0.0 ? " \u00b1 " + rounded(after.forefoot->uncertainty, 1)
                                                    : "") +
                 " remain"});
    }
    std::string stands;
    for (const Check& check : checks)
        if (check.id == "ground.rest" && check.figure) stands = "stands " + inclination(*check.figure);
    if (foot.posts.rearfoot.on)
        s.rows.push_back({"Rearfoot post",
                          inclination(foot.posts.rearfoot.angle_deg) +
                              (foot.posts.rearfoot.motion_deg > 0.0
                                   ? ", motion " + rounded(foot.posts.rearfoot.motion_deg, 1) + " degrees"
                                   : ""),
                          stands});
    else if (!stands.empty())
        s.rows.push_back({"Stands on the ground", "-", stands});
}

void tell_rows(DesignSheet& s, const design::Job& job, const build::Device& device) {
    const design::FootDesign& foot = *job.foot(device.side);
    const build::Surfaced& surfaced = *device.surfaced;
    const surface::TrimLine& trim = surfaced.trim;
    const build::Proved& proved = *device.proved;
    const double cover = foot.dress.cover_mm;
    const auto row = [&](const char* what, double asked, double got) {
        s.rows.push_back(
            {what, in_mm(asked) + (cover > 0.0 ? " + " + in_mm(cover) + " cover" : ""), in_mm(got)});
    };
    s.rows.push_back({"Arch: captured, delivered", in_mm(surfaced.arch_captured_mm),
                      in_mm(surfaced.arch_delivered_mm) + " (" +
                          (surfaced.arch_delivered_mm < surfaced.arch_captured_mm ? "" : "+") +
                          in_mm(surfaced.arch_delivered_mm - surfaced.arch_captured_mm) + ")"});
    row("Cup depth, medial", foot.trim.cup_medial_mm, trim.cup_medial_mm);
    row("Cup depth, posterior", foot.trim.cup_posterior_mm, trim.cup_posterior_mm);
    row("Cup depth, lateral", foot.trim.cup_lateral_mm, trim.cup_lateral_mm);
    row("Medial flange at the arch", foot.trim.medial_flange_mm, trim.arch_medial_mm);
    row("Lateral border at midfoot", foot.trim.lateral_border_mm, trim.arch_lateral_mm);
    if (foot.trim.lateral_flange.height_mm > 0.0)
        row("Lateral flange", foot.trim.lateral_flange.height_mm, trim.lateral_flange_mm);
    for (const build::DistalReach& reach : surfaced.distal)
        s.rows.push_back({std::string("Edge to the ") + picture::plan_word(reach.head), "-",
                          in_mm(std::abs(reach.behind_mm)) + (reach.behind_mm < 0.0 ? " past" : " behind")});
    const auto [least, most] = device.shelled->wall->asked_range();
    s.rows.push_back({"Wall, least to greatest", rounded(least, 2) + " to " + in_mm(most, 2),
                      rounded(proved.walls.least_wall_mm, 2) + " to " + in_mm(proved.walls.most_mm, 2)});
    int number = 0;
    for (const feature::Figure& f : device.shelled->feature_figures)
        s.rows.push_back({std::to_string(++number) + " " + design::title_of(f.kind) + " \"" + f.name + "\"",
                          in_mm(f.asked_mm, 2), in_mm(f.measured_mm, 2)});
    tell_angles(s, *device.received, foot, device.checks);
    s.rows.push_back({"Mass", "-", rounded(device.mass_g(), 1) + " g"});
}

void tell_alterations(DesignSheet& s, const design::FootDesign& foot, const build::Device& device) {
    if (device.received->repaired)
        for (const examine::RepairFigure& figure : device.received->repaired->figures) {
            std::string words = "Repair \"" + figure.name + "\": " + in_mm(std::abs(figure.largest_mm), 2) +
                                (figure.largest_mm < 0.0 ? " into" : " away from") + " the foot at most";
            for (const design::Repair& repair : foot.repairs)
                if (repair.name == figure.name)
                    words += ", asked by " + repair.by + (repair.reason.empty() ? "" : ": " + repair.reason);
            s.alterations.push_back(words + ".");
        }
    for (const surface::DressFigure& figure : device.surfaced->figures)
        s.alterations.push_back(figure.title + ": " + in_mm(figure.largest_mm) + " at most, " +
                                rounded(std::abs(figure.volume_mm3) / 1000.0, 2) + " cm3 " +
                                (figure.volume_mm3 < 0.0 ? "cut" : "added") + ", at " + place(figure.where) +
                                ".");
    if (device.received->balance.inversion_deg != 0.0 || device.received->balance.pitch_deg != 0.0)
        for (const std::string& words : device.received->balance.words) s.alterations.push_back(words);
    if (s.alterations.empty()) s.alterations.emplace_back("None.");
}

void tell_flex(DesignSheet& s, const std::vector<FlexLoad>& bench) {
    if (bench.empty())
        s.flex.emplace_back(
            "On the virtual bench: not computed for this sheet. The map shows how rigid the wall alone is.");
    for (const FlexLoad& load : bench) {
        const std::string name = flex::title(load.load);
        if (!load.result) {
            s.flex.push_back(name + ": " + load.why_not);
            continue;
        }
        const flex::LoadUnits unit = flex::units(load.load);
        const flex::BenchResult& r = *load.result;
        std::string words = name + ", " + flex::bench_figure(r.load) + " " + unit.load + ": ";
        if (!r.gives)
            words += "gives by less than " + rounded(flex::least_deflection, 2) + " " + unit.deflection;
        else
            words += rounded(r.curve.empty() ? 0.0 : r.curve.back().deflection, 2) + " " + unit.deflection +
                     ", " + flex::bench_figure(r.stiffness) + " " + unit.stiffness;
        const double share = std::max(r.foot_side.utilisation, r.underside.utilisation);
        s.flex.push_back(words + "; greatest stress " +
                         (share < 0.01 ? std::string("under 1") : rounded(100.0 * share, 0)) +
                         " % of the strength. " + load.worth.words + ".");
    }
}

}  // namespace

void tell_design(DesignSheet& s, const design::Job& job, const build::Device& device,
                 const std::vector<FlexLoad>& bench) {
    const design::FootDesign& foot = *job.foot(device.side);
    const std::size_t open = device.open_stops().size();
    s.may_be_made = open == 0;
    s.verdict = open == 0 ? std::string("May be made: no check stops it that nobody answers for.")
                          : "Not to be made as it is: " + std::to_string(open) +
                                (open == 1 ? " check stops it." : " checks stop it.");
    const design::ApprovalState approval = design::approval_state(job, device.side);
    s.approved = approval.holds;
    s.approval = approval.words;
    tell_rows(s, job, device);
    tell_alterations(s, foot, device);
    for (const Check& check : device.open_stops())
        s.deviations.push_back("OPEN: " + check.title + " (" + check.id + "): " + check.message);
    for (const design::SignOff& one : foot.sign_offs)
        s.deviations.push_back(one.check + ", signed by " + one.by +
                               (one.second.empty() ? std::string() : " and " + one.second) +
                               (one.fingerprint == s.fingerprint ? "" : " (void: the design was changed)") +
                               ": " + one.reason);
    if (s.deviations.empty()) s.deviations.emplace_back("None: nothing was signed for.");
    for (const Check& check : device.checks)
        if (check.id.starts_with("order.") && check.verdict != Verdict::pass)
            s.cautions.push_back(check.title + ": " + check.message);
        else if (check.verdict == Verdict::look)
            s.looks.push_back(check.title + ": " + check.message);
    s.cautions.emplace_back(
        "The clinician who prescribed decides; this sheet is no statement of conformity and claims no "
        "effect.");
    if (job.order.insensate_foot || job.order.open_wound)
        s.cautions.emplace_back(
            "On an insensate foot, and near an open wound, a hard edge or a thin rim can injure: follow the "
            "prescriber's explicit order, local rules and licensed practice, and have the foot inspected in "
            "use.");
    if (!job.order.asked.empty()) s.order.push_back("Asked: " + job.order.asked);
    if (!job.order.complaint.empty()) s.order.push_back("Complaint: " + job.order.complaint);
    const std::string& note = job.revisions.back().note;
    if (!note.empty()) s.order.push_back("Revision " + job.revision() + ": " + note);
    tell_flex(s, bench);
}

}  // namespace archwright::exporters::papers
