#include "exporters/preview/figures.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/words.hpp"

namespace archwright::exporters::preview {

namespace {

std::string mm(double value, int decimals = 1) {
    return rounded(value, decimals) + " mm";
}

void arch_and_trim(std::vector<FigureRow>& rows, const build::Surfaced& surfaced,
                   const design::FootDesign& foot) {
    const surface::TrimLine& trim = surfaced.trim;
    const design::Trim& asked = foot.trim;
    const double cover = foot.dress.cover_mm;
    const auto over = [&](const char* name, double wanted, double got) {
        rows.push_back(
            {name, mm(wanted) + (cover > 0.0 ? " + " + rounded(cover, 1) + " for the cover" : ""), mm(got)});
    };
    rows.push_back({"Arch captured by the cast", "", mm(surfaced.arch_captured_mm)});
    rows.push_back({"Arch delivered by the shell", "", mm(surfaced.arch_delivered_mm)});
    for (const surface::DressFigure& figure : surfaced.figures)
        rows.push_back({figure.title, "", "up to " + mm(figure.largest_mm)});
    over("Cup depth, medial", asked.cup_medial_mm, trim.cup_medial_mm);
    over("Cup depth, posterior", asked.cup_posterior_mm, trim.cup_posterior_mm);
    over("Cup depth, lateral", asked.cup_lateral_mm, trim.cup_lateral_mm);
    over("Medial flange at the arch", asked.medial_flange_mm, trim.arch_medial_mm);
    over("Lateral border at midfoot", asked.lateral_border_mm, trim.arch_lateral_mm);
    if (asked.lateral_flange.height_mm > 0.0)
        over("Lateral flange", asked.lateral_flange.height_mm, trim.lateral_flange_mm);
    if (asked.lateral_scallop.depth_mm > 0.0)
        rows.push_back(
            {"Scallop of the lateral edge", mm(asked.lateral_scallop.depth_mm), mm(trim.scallop_mm)});
    if (asked.first_ray_cutout.length_mm > 0.0)
        rows.push_back({"First-ray cut-out", mm(asked.first_ray_cutout.length_mm), mm(trim.cutout_mm)});
    for (const build::DistalReach& reach : surfaced.distal)
        rows.push_back({"Distal edge, " + std::string(foot::title(reach.head)), "",
                        mm(std::abs(reach.behind_mm)) + (reach.behind_mm < 0.0 ? " past it" : " behind it")});
}

}  // namespace

std::vector<FigureRow> figure_rows(const build::Device& device, const design::FootDesign& foot) {
    std::vector<FigureRow> rows;
    if (device.surfaced) arch_and_trim(rows, *device.surfaced, foot);
    if (device.shelled) {
        const auto [least, most] = device.shelled->wall->asked_range();
        rows.push_back({"Wall", mm(least, 2) + " to " + mm(most, 2),
                        device.proved ? mm(device.proved->walls.least_wall_mm, 2) + " to " +
                                            mm(device.proved->walls.most_mm, 2) + ", mean " +
                                            mm(device.proved->walls.mean_mm, 2)
                                      : std::string()});
        if (device.proved)
            rows.push_back({"Wall beside the rim, least", "", mm(device.proved->walls.rim_least_mm, 2)});
        for (const feature::Figure& f : device.shelled->feature_figures)
            rows.push_back({std::string(design::title_of(f.kind)) + " \"" + f.name + "\"",
                            mm(f.asked_mm, 2) + (feature::Feature::is_relief(f.kind) ? " deep" : " high"),
                            mm(f.measured_mm, 2)});
        const Vec3 size = device.made().mesh.box().size();
        rows.push_back(
            {"Shell, length x breadth x height", "",
             rounded(size.x(), 0) + " x " + rounded(size.y(), 0) + " x " + rounded(size.z(), 0) + " mm"});
        rows.push_back({"Material", device.shelled->material.name,
                        device.proved ? rounded(device.mass_g(), 0) + " g" : std::string()});
    }
    return rows;
}

namespace {

bool caution_of_order(const Check& check) {
    return check.verdict == Verdict::look && check.id.starts_with("order.");
}

}  // namespace

std::vector<Check> to_be_seen(const build::Device& device) {
    std::vector<Check> seen = device.open_stops();
    std::copy_if(device.checks.begin(), device.checks.end(), std::back_inserter(seen), caution_of_order);
    return seen;
}

std::vector<Check> other_looks(const build::Device& device) {
    std::vector<Check> looks;
    for (const Check& check : device.checks)
        if (check.verdict == Verdict::look && !caution_of_order(check)) looks.push_back(check);
    return looks;
}

std::vector<SignedFor> signed_for(const design::Job& job, const build::Device& device) {
    std::vector<SignedFor> all;
    for (const design::SignOff& one : job.foot(device.side)->sign_offs) {
        SignedFor signed_one{one, one.check, false};
        for (const Check& check : device.checks)
            if (check.id == one.check) signed_one.title = check.title;
        const design::SignOff* valid = design::valid_sign_off(job, device.side, one.check);
        signed_one.holds = valid != nullptr && valid->fingerprint == one.fingerprint;
        all.push_back(std::move(signed_one));
    }
    return all;
}

}  // namespace archwright::exporters::preview
