#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "engine/base/text.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/flex/bed_file.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

std::string percent(double share) {
    return (share < 0.0 ? "-" : "+") + rounded(std::abs(100.0 * share), 1) + " %";
}

void tell(Console& console, const flex::BenchResult& result) {
    const flex::LoadUnits unit = flex::units(result.load_case);
    console.say(std::string("  ") + flex::title(result.load_case) + ": " + flex::bench_figure(result.load) +
                " " + unit.load + " at " + rounded(result.load_at.x(), 0) + " forward, " +
                rounded(std::abs(result.load_at.y()), 0) +
                (result.load_at.y() < 0.0 ? " lateral" : " medial"));
    if (result.gives)
        console.say("    " + std::string(flex::bench_caution) + ": " +
                    flex::bench_figure(result.initial_stiffness) + " " + unit.stiffness +
                    ", to the whole load " + flex::bench_figure(result.stiffness) + " " + unit.stiffness);
    else
        console.say("    " + std::string(flex::bench_caution) + ": it does not give (less than " +
                    rounded(flex::least_deflection, 2) + " " + unit.deflection +
                    "): what it stands on lies under the load");
    std::string curve;
    for (const flex::BenchPoint& point : result.curve)
        curve += (curve.empty() ? "" : ", ") + flex::bench_figure(point.load) + " " + unit.load + " " +
                 rounded(point.deflection, 2);
    console.say("    deflection, " + std::string(unit.deflection) +
                (result.preload > 0.0 ? " from where it has settled: " : ": ") + curve);
    if (result.preload > 0.0)
        console.say("    the ground gives at the heel " + flex::bench_figure(result.heel_n) + " N, midfoot " +
                    flex::bench_figure(result.midfoot_n) + " N, distally " +
                    flex::bench_figure(result.distal_n) + " N" +
                    (result.midfoot_down ? "; the midfoot is down" : "") +
                    (result.slides ? "; it slides" : ""));
    const auto stress = [&](const char* face, const flex::BenchStress& most) {
        return std::string(face) + " " + flex::bench_figure(most.mpa) + " MPa (" +
               rounded(100.0 * most.utilisation, 0) + " % of the strength) at " + place(most.at);
    };
    console.say("    greatest stress: " + stress("foot side", result.foot_side) + "; " +
                stress("underside", result.underside));
    std::string places, supports;
    for (const flex::BenchVariation& one : result.variations)
        (one.support ? supports : places) += ((one.support ? supports : places).empty() ? "" : ", ") +
                                             one.what + " " +
                                             (one.change ? percent(*one.change) : "not to be told");
    if (!places.empty()) console.say("    the load elsewhere: " + places);
    if (!supports.empty()) console.say("    another support: " + supports);
    for (const flex::BenchVariation& one : result.variations)
        if (!one.change) console.say("    " + one.what + ": " + one.why_not);
}

nlohmann::ordered_json json_of(const flex::BenchResult& result, Side side) {
    const flex::LoadUnits unit = flex::units(result.load_case);
    const auto stress = [](const flex::BenchStress& most) {
        return nlohmann::ordered_json{{"mpa", most.mpa},
                                      {"utilisation", most.utilisation},
                                      {"at_mm", {most.at.x(), most.at.y(), most.at.z()}}};
    };
    nlohmann::ordered_json curve = nlohmann::ordered_json::array();
    for (const flex::BenchPoint& point : result.curve)
        curve.push_back({{"load", point.load}, {"deflection", point.deflection}});
    nlohmann::ordered_json variations = nlohmann::ordered_json::array();
    for (const flex::BenchVariation& one : result.variations) {
        nlohmann::ordered_json told{{"what", one.what}, {"of", one.support ? "support" : "place"}};
        told["change"] = one.change ? nlohmann::ordered_json(*one.change) : nlohmann::ordered_json();
        if (!one.change) told["why_not"] = one.why_not;
        variations.push_back(std::move(told));
    }
    return {
        {"side", word(side)},
        {"load_case", flex::key(result.load_case)},
        {"caution", flex::bench_caution},
        {"load", result.load},
        {"load_unit", unit.load},
        {"load_at_mm", {result.load_at.x(), result.load_at.y()}},
        {"preload", result.preload},
        {"deflection_unit", unit.deflection},
        {"settled", result.settled_mm},
        {"initial_stiffness", result.initial_stiffness},
        {"stiffness", result.stiffness},
        {"stiffness_unit", unit.stiffness},
        {"curve", curve},
        {"ground_n", {{"heel", result.heel_n}, {"midfoot", result.midfoot_n}, {"distal", result.distal_n}}},
        {"midfoot_down", result.midfoot_down},
        {"slides", result.slides},
        {"foot_side", stress(result.foot_side)},
        {"underside", stress(result.underside)},
        {"variations", variations}};
}

}  // namespace

Exit run_flex(Console& console, const FlexOptions& options) {
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    const auto workbench = open_bench(options.job, options.reading);
    if (!workbench) return console.fail(workbench.fault());
    if (options.load_n && options.load_case == "all")
        return console.fail(
            {FaultKind::usage, "flex", "--force belongs to one load: name it with --load.", {}});

    flex::BenchSupport support{options.friction, options.distal_spring_n_mm, options.bed_n_mm3, {}};
    if (!options.bed_shape.empty()) {
        auto shape = flex::read_bed_shape(options.bed_shape);
        if (!shape) return console.fail(shape.fault());
        if (shape->empty())
            return console.fail(
                {FaultKind::input, "flex", options.bed_shape.string() + " has no points.", {}});
        support.bed_shape = std::move(*shape);
    }
    if (const auto good = flex::check_support(support); !good) return console.fail(good.fault());

    nlohmann::ordered_json results = nlohmann::ordered_json::array();
    for (const Side side : *feet) {
        const auto device = (*workbench)->shape(*job, side, console.progress());
        if (!device) return console.fail(with_order(device.fault(), *job, *feet, **workbench));
        flex::Bench bench(build::bench_subject(*device->surfaced, *device->shelled, job->order.body_mass_kg));
        const flex::BenchSubject& subject = bench.subject();
        const design::Material& material = device->shelled->material;
        const std::string stuff =
            material.laminate
                ? std::to_string(material.laminate->plies.size()) + " plies, " +
                      rounded(subject.sheet->bending_modulus(), 0) + " MPa along the device in bending (" +
                      material.laminate->e1_mpa.source + ")"
                : exact(subject.lamina.e1_mpa) + " MPa (" + material.modulus_mpa.source + ")";
        console.say(std::string(word(side)) + " foot, " + material.name + ", " + stuff + ", strength " +
                    exact(subject.strength_mpa) + " MPa (" + material.strength_mpa.source +
                    (material.laminate ? "; of plies nothing is said" : "") + "), body mass " +
                    exact(subject.body_mass_kg) + " kg" + (job->order.body_mass_kg ? "" : " (assumed)"));
        flex::BenchSetting setting;
        setting.element_mm = options.element_mm;
        setting.support = support;
        setting.load = options.load_n;
        setting.sensitivity = !options.quick;
        for (const flex::LoadCase load : flex::all_load_cases) {
            if (options.load_case != "all" && options.load_case != flex::key(load)) continue;
            const auto result = bench.run(load, setting, &console.progress());
            if (!result) return console.fail(result.fault());
            tell(console, *result);
            results.push_back(json_of(*result, side));
        }
    }
    if (console.json())
        console.print(nlohmann::ordered_json{{"ok", true}, {"results", results}}.dump(2) + "\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
