#include "exporters/calibration_told.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::exporters {

namespace {

using calibrate::Calibrated;
using calibrate::CalibratedOne;
using calibrate::CalibratedReading;
using calibrate::Estimate;

std::string signed_mm(double value, int decimals) {
    return (value < 0.0 ? "-" : "+") + rounded(std::abs(value), decimals);
}

std::string estimate_words(const Estimate& estimate, int decimals, const char* unit) {
    const std::string value = rounded(estimate.value, decimals) + unit;
    if (!estimate.free) return value + " (as stated)";
    return value + " (95 %: " + rounded(estimate.low, decimals) + " to " + rounded(estimate.high, decimals) +
           ")";
}

nlohmann::ordered_json estimate_json(const Estimate& estimate) {
    return {
        {"value", estimate.value}, {"low", estimate.low}, {"high", estimate.high}, {"found", estimate.free}};
}

std::string held_out_words(const CalibratedOne& one) {
    if (!one.held_out) return "not predicted from the others: " + one.not_held_out;
    return signed_mm(100.0 * one.held_out->share, 1) +
           " % against what the others predict (expected within " + rounded(100.0 * one.held_out->within, 1) +
           " %" + (one.held_out->inside ? ")" : ": NOT within)");
}

std::string left_words(const CalibratedOne& one, flex::LoadCase load) {
    std::string words;
    int run = 0;
    for (const CalibratedReading& reading : one.readings) {
        if (reading.load_case != load) continue;
        words += words.empty() ? "" : reading.run != run ? "; " : ", ";
        run = reading.run;
        words += flex::bench_figure(reading.load_n) + " N ";
        if (reading.left_out) {
            words += "left out";
            continue;
        }
        words += signed_mm(*reading.deflection_mm, 3);
        if (reading.slide_mm) words += "/" + signed_mm(*reading.slide_mm, 3);
        if (reading.far) words += " (far)";
    }
    return words;
}

}  // namespace

std::vector<std::string> calibration_lines(const calibrate::Measurements& measurements,
                                           const Calibrated& calibrated) {
    const calibrate::Fit& fit = calibrated.fit;
    std::vector<std::string> lines;
    const auto say = [&](std::string line) { lines.push_back(std::move(line)); };
    say(measurements.material + ": " + std::to_string(calibrated.devices.size()) + " devices of " +
        std::to_string(calibrated.walls) + " walls, " + std::to_string(calibrated.used) + " readings used, " +
        std::to_string(calibrated.left_out) + " left out");
    say("  modulus over the table's: " + estimate_words(fit.modulus_scale, 3, ""));
    say("    had the supports been known: " + rounded(fit.alone_low, 3) + " to " +
        rounded(fit.alone_high, 3));
    say("  a further device's stiffness: within " + rounded(100.0 * fit.prediction_share, 1) +
        " % of the prediction, 95 times of 100" +
        (calibrated.spread_known ? "" : ", if devices did not differ"));
    if (calibrated.spread_known)
        say("  from device to device: " + rounded(100.0 * fit.device_spread, 1) + " % (standard deviation)");
    say("  friction of the plate: " + estimate_words(fit.friction, 2, ""));
    say("  in-plane hold of the distal edge: " + estimate_words(fit.spring_n_mm, 1, " N/mm"));
    say("  the rig gives: " + rounded(1000.0 * fit.rig_mm_n, 2) + " mm a kN" +
        (fit.rig_mm_n2 != 0.0 ? ", bending by " + signed_mm(1e6 * fit.rig_mm_n2, 2) + " mm a kN squared"
                              : ""));
    say("  noise: deflections " + rounded(fit.noise_mm, 4) + " mm" +
        (calibrated.repeats_mm ? " (by repeats " + rounded(*calibrated.repeats_mm, 4) + ")" : ""));
    for (const CalibratedOne& one : calibrated.devices) {
        say("  " + one.code + ", wall " + rounded(one.wall_mm, 2) + " mm: its own modulus " +
            signed_mm(100.0 * (one.scale - 1.0), 1) + " %; " + held_out_words(one));
        for (const flex::LoadCase load : {flex::LoadCase::arch_press, flex::LoadCase::forefoot_lift})
            if (const std::string words = left_words(one, load); !words.empty())
                say("    " + std::string(flex::title(load)) +
                    ", measured less fitted, mm (deflection/slide): " + words);
    }
    for (const std::string& remark : calibrated.remarks) say("  look: " + remark);
    return lines;
}

nlohmann::ordered_json calibration_json(const calibrate::Measurements& measurements,
                                        const Calibrated& calibrated) {
    using Json = nlohmann::ordered_json;
    const calibrate::Fit& fit = calibrated.fit;
    const auto optional = [](const std::optional<double>& value) { return value ? Json(*value) : Json(); };
    Json devices = Json::array();
    for (const CalibratedOne& one : calibrated.devices) {
        Json device{{"code", one.code}, {"wall_mm", one.wall_mm}, {"scale", one.scale}};
        if (one.held_out)
            device["held_out"] = {{"percent", 100.0 * one.held_out->share},
                                  {"expected_percent", 100.0 * one.held_out->within},
                                  {"inside", one.held_out->inside}};
        else
            device["not_held_out"] = one.not_held_out;
        device["readings"] = Json::array();
        for (const CalibratedReading& reading : one.readings)
            device["readings"].push_back({{"row", reading.row},
                                          {"load_case", flex::key(reading.load_case)},
                                          {"run", reading.run},
                                          {"load_n", reading.load_n},
                                          {"left_out", reading.left_out},
                                          {"deflection_left_mm", optional(reading.deflection_mm)},
                                          {"slide_left_mm", optional(reading.slide_mm)},
                                          {"far", reading.far}});
        devices.push_back(std::move(device));
    }
    return {{"material", measurements.material},
            {"measurements_sha256", measurements.sha256},
            {"walls", calibrated.walls},
            {"readings_used", calibrated.used},
            {"readings_left_out", calibrated.left_out},
            {"modulus_scale", estimate_json(fit.modulus_scale)},
            {"modulus_scale_supports_known", {fit.alone_low, fit.alone_high}},
            {"told_apart", calibrated.told_apart},
            {"prediction_percent", 100.0 * fit.prediction_share},
            {"device_spread_percent", calibrated.spread_known ? Json(100.0 * fit.device_spread) : Json()},
            {"friction", estimate_json(fit.friction)},
            {"distal_spring_n_mm", estimate_json(fit.spring_n_mm)},
            {"rig_mm_n", fit.rig_mm_n},
            {"rig_mm_n2", fit.rig_mm_n2},
            {"noise_mm", fit.noise_mm},
            {"slide_noise_mm", fit.slide_noise_mm},
            {"repeats_mm", optional(calibrated.repeats_mm)},
            {"degrees_of_freedom", fit.freedom},
            {"devices", devices},
            {"remarks", calibrated.remarks}};
}

}  // namespace archwright::exporters
