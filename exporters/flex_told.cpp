#include "exporters/flex_told.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::exporters {

namespace {

std::string percent(double share) {
    return (share < 0.0 ? "-" : "+") + rounded(std::abs(100.0 * share), 1) + " %";
}

/// " (13.9 to 16.6)" of a figure with a prediction interval.
std::string interval(double stiffness, const build::BenchWorth& worth) {
    if (!worth.share) return "";
    return " (" + flex::bench_figure(stiffness / (1.0 + *worth.share)) + " to " +
           flex::bench_figure(stiffness * (1.0 + *worth.share)) + ")";
}

}  // namespace

std::vector<std::string> flex_lines(const FlexLoad& load) {
    if (!load.result) return {std::string(flex::title(load.load)) + ": " + load.why_not};
    const flex::BenchResult& result = *load.result;
    std::vector<std::string> lines;
    const auto say = [&](std::string line) { lines.push_back(std::move(line)); };
    const flex::LoadUnits unit = flex::units(result.load_case);
    say(std::string(flex::title(result.load_case)) + ": " + flex::bench_figure(result.load) + " " +
        unit.load + " at " + rounded(result.load_at.x(), 0) + " forward, " +
        rounded(std::abs(result.load_at.y()), 0) + (result.load_at.y() < 0.0 ? " lateral" : " medial"));
    if (result.gives)
        say("  " + load.worth.words + ": " + flex::bench_figure(result.initial_stiffness) + " " +
            unit.stiffness + interval(result.initial_stiffness, load.worth) + ", to the whole load " +
            flex::bench_figure(result.stiffness) + " " + unit.stiffness +
            interval(result.stiffness, load.worth));
    else
        say("  " + load.worth.words + ": it gives by less than " + rounded(flex::least_deflection, 2) + " " +
            unit.deflection + ": what it stands on lies under the load, or the load is too small to tell");
    const bool far = result.deflections == flex::Deflections::large;
    say(std::string("  ") + (far ? "large" : "small") +
        " deflections are reckoned with: " + result.why_deflections);
    if (result.large && !far) say(std::string("  ") + flex::large_caution + ".");
    for (const flex::BenchSnap& snap : result.snaps)
        say("  it snaps through at " + flex::bench_figure(snap.load) + " " + unit.load + ": " +
            place(snap.at) + " " +
            (snap.jump_mm > 0.0 && !(snap.falls_to < snap.load)
                 ? "jumps by " + flex::bench_figure(snap.jump_mm) + " mm"
             : snap.jump_mm > 0.0
                 ? "jumps by " + flex::bench_figure(snap.jump_mm) + " mm, and bears " +
                       flex::bench_figure(snap.falls_to) + " " + unit.load + " at the least on the way"
                 : "gives way, and no shape was found in which it bears that again"));
    std::string curve;
    for (const flex::BenchPoint& point : result.curve)
        curve += (curve.empty() ? "" : ", ") + flex::bench_figure(point.load) + " " + unit.load + " " +
                 rounded(point.deflection, 2);
    say("  deflection, " + std::string(unit.deflection) +
        (result.preload > 0.0 ? " from where it has settled: " : ": ") + curve);
    std::string further;
    for (const flex::BenchPoint& point : result.further)
        further += (further.empty() ? "" : ", ") + flex::bench_figure(point.load) + " " + unit.load + " " +
                   rounded(point.deflection, 2);
    if (!further.empty()) say("  past that load: " + further);
    if (result.rests) say("  there the arch rests on the ground");
    if (result.preload > 0.0)
        say("  the ground gives at the heel " + flex::bench_figure(result.heel_n) + " N, midfoot " +
            flex::bench_figure(result.midfoot_n) + " N, distally " + flex::bench_figure(result.distal_n) +
            " N" + (result.midfoot_down ? "; the midfoot is down" : "") +
            (result.slides ? "; it slides" : ""));
    const auto stress = [&](const char* face, const flex::BenchStress& most) {
        return std::string(face) + " " + flex::bench_figure(most.mpa) + " MPa (" +
               rounded(100.0 * most.utilisation, 0) + " % of the strength) at " + place(most.at);
    };
    say("  greatest stress: " + stress("foot side", result.foot_side) + "; " +
        stress("underside", result.underside));
    std::string places, supports;
    for (const flex::BenchVariation& one : result.variations)
        (one.support ? supports : places) += ((one.support ? supports : places).empty() ? "" : ", ") +
                                             one.what + " " +
                                             (one.change ? percent(*one.change) : "not to be told");
    if (!places.empty()) say("  by small deflections, the load elsewhere: " + places);
    if (!supports.empty()) say("  by small deflections, another support: " + supports);
    for (const flex::BenchVariation& one : result.variations)
        if (!one.change) say("  " + one.what + ": " + one.why_not);
    return lines;
}

nlohmann::ordered_json flex_json(const FlexLoad& load) {
    if (!load.result)
        return {
            {"load_case", flex::key(load.load)}, {"caution", load.worth.words}, {"why_not", load.why_not}};
    const flex::BenchResult& result = *load.result;
    const flex::LoadUnits unit = flex::units(result.load_case);
    const auto stress = [](const flex::BenchStress& most) {
        return nlohmann::ordered_json{{"mpa", most.mpa},
                                      {"utilisation", most.utilisation},
                                      {"at_mm", {most.at.x(), most.at.y(), most.at.z()}}};
    };
    nlohmann::ordered_json curve = nlohmann::ordered_json::array();
    for (const flex::BenchPoint& point : result.curve)
        curve.push_back({{"load", point.load},
                         {"deflection", point.deflection},
                         {"distal_slide_mm", point.distal_slide_mm}});
    nlohmann::ordered_json further = nlohmann::ordered_json::array(), snaps = further;
    for (const flex::BenchPoint& point : result.further)
        further.push_back({{"load", point.load},
                           {"deflection", point.deflection},
                           {"distal_slide_mm", point.distal_slide_mm}});
    for (const flex::BenchSnap& snap : result.snaps)
        snaps.push_back({{"load", snap.load},
                         {"falls_to", snap.falls_to},
                         {"at_mm", {snap.at.x(), snap.at.y(), snap.at.z()}},
                         {"jump_mm", snap.jump_mm}});
    nlohmann::ordered_json variations = nlohmann::ordered_json::array();
    for (const flex::BenchVariation& one : result.variations) {
        nlohmann::ordered_json told{{"what", one.what}, {"of", one.support ? "support" : "place"}};
        told["change"] = one.change ? nlohmann::ordered_json(*one.change) : nlohmann::ordered_json();
        if (!one.change) told["why_not"] = one.why_not;
        variations.push_back(std::move(told));
    }
    nlohmann::ordered_json prediction;  // null: for comparison only
    if (load.worth.share && result.gives) {
        const double times = 1.0 + *load.worth.share;
        prediction = {
            {"interval_percent", 100.0 * *load.worth.share},
            {"initial_stiffness", {result.initial_stiffness / times, result.initial_stiffness * times}},
            {"stiffness", {result.stiffness / times, result.stiffness * times}}};
    }
    return {
        {"load_case", flex::key(result.load_case)},
        {"caution", load.worth.words},
        {"prediction", prediction},
        {"load", result.load},
        {"load_unit", unit.load},
        {"load_at_mm", {result.load_at.x(), result.load_at.y()}},
        {"preload", result.preload},
        {"deflection_unit", unit.deflection},
        {"settled", result.settled_mm},
        {"gives", result.gives},
        {"large_deflection", result.large},
        {"deflections", flex::key(result.deflections)},
        {"deflections_why", result.why_deflections},
        {"snaps", snaps},
        {"initial_stiffness",
         result.gives ? nlohmann::ordered_json(result.initial_stiffness) : nlohmann::ordered_json()},
        {"stiffness", result.gives ? nlohmann::ordered_json(result.stiffness) : nlohmann::ordered_json()},
        {"stiffness_unit", unit.stiffness},
        {"curve", curve},
        {"further", further},
        {"rests", result.rests},
        {"ground_n", {{"heel", result.heel_n}, {"midfoot", result.midfoot_n}, {"distal", result.distal_n}}},
        {"midfoot_down", result.midfoot_down},
        {"slides", result.slides},
        {"foot_side", stress(result.foot_side)},
        {"underside", stress(result.underside)},
        {"variations", variations}};
}

Outcome<std::vector<FlexLoad>> on_bench(const design::Job& job, const build::Device& device,
                                        Progress& progress, bool variations) {
    flex::BenchSetting setting;
    setting.sensitivity = variations;
    flex::Bench bench(build::bench_subject(*device.surfaced, *device.shelled, job.order.body_mass_kg));
    std::vector<FlexLoad> all;
    for (const flex::LoadCase load : flex::all_load_cases) {
        auto result = bench.run(load, setting, &progress);
        if (!result && result.fault().kind == FaultKind::cancelled) return result.fault();
        FlexLoad told;
        if (result)
            told.result = std::move(*result);
        else
            told.why_not = result.fault().message;
        told.load = load;
        told.worth = build::bench_worth(*device.shelled, load);
        all.push_back(std::move(told));
    }
    return all;
}

std::string flex_about(const design::Job& job, const build::Device& device) {
    const design::Material& material = device.shelled->material;
    const flex::BenchSubject subject =
        build::bench_subject(*device.surfaced, *device.shelled, job.order.body_mass_kg);
    const std::string stuff =
        material.laminate
            ? std::to_string(material.laminate->plies.size()) + " plies, " +
                  rounded(subject.sheet->bending_modulus(), 0) + " MPa along the device in bending (" +
                  material.laminate->e1_mpa.source + ")"
            : (material.calibration ? rounded(subject.lamina.e1_mpa, 0) : exact(subject.lamina.e1_mpa)) +
                  " MPa (" + material.modulus_mpa.source + ")";
    const std::optional<design::Calibration>& scale = material.calibration;
    const std::string calibrated = scale ? ", times " + rounded(scale->modulus_scale, 3) +
                                               " by the laboratory's calibration of " + scale->date + " (" +
                                               scale->by + ") in it"
                                         : "";
    return material.name + ", " + stuff + calibrated + ", strength " + exact(subject.strength_mpa) +
           " MPa (" + material.strength_mpa.source + (material.laminate ? "; of plies nothing is said" : "") +
           "), body mass " + exact(subject.body_mass_kg) + " kg" +
           (job.order.body_mass_kg ? "" : " (assumed)");
}

nlohmann::ordered_json flex_about_json(const design::Job& job, const build::Device& device) {
    const design::Material& material = device.shelled->material;
    const flex::BenchSubject subject =
        build::bench_subject(*device.surfaced, *device.shelled, job.order.body_mass_kg);
    const auto value = [](double of, const std::string& source) {
        return nlohmann::ordered_json{{"value", of}, {"source", source}};
    };
    nlohmann::ordered_json about{{"key", material.key}, {"name", material.name}};
    if (material.laminate)
        about["bending_modulus_mpa"] =
            value(subject.sheet->bending_modulus(), material.laminate->e1_mpa.source);
    else
        about["modulus_mpa"] = value(subject.lamina.e1_mpa, material.modulus_mpa.source);
    if (material.calibration) {
        const design::Calibration& scale = *material.calibration;
        about["calibration"] = {{"modulus_scale", scale.modulus_scale},
                                {"scale_low", scale.scale_low},
                                {"scale_high", scale.scale_high},
                                {"interval_percent", scale.interval_percent},
                                {"devices", scale.devices},
                                {"loads", scale.loads},
                                {"date", scale.date},
                                {"by", scale.by},
                                {"measurements", scale.measurements}};
    }
    about["strength_mpa"] = value(subject.strength_mpa, material.strength_mpa.source);
    about["body_mass_kg"] =
        value(subject.body_mass_kg, job.order.body_mass_kg ? "the order" : "assumed, the order gives none");
    return about;
}

}  // namespace archwright::exporters
