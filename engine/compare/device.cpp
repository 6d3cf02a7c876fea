#include "engine/compare/device.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace archwright::compare {

namespace {

/// Relative: sums in another order differ so.
constexpr double same_figure = 1e-9;

struct Measured {
    std::string key, title, unit;
    double value = 0.0;
};

std::vector<Measured> figures_of(const build::Device& device) {
    std::vector<Measured> all;
    const auto add = [&](std::string key, std::string title, std::string unit, double value) {
        if (std::isfinite(value)) all.push_back({std::move(key), std::move(title), std::move(unit), value});
    };
    if (device.proved) {
        add("mass", "Mass", "g", device.mass_g());
        add("volume", "Volume", "cm\u00b3", device.proved->volume_mm3 / 1000.0);
        add("wall.least", "Least wall", "mm", device.proved->walls.least_wall_mm);
    }
    if (device.surfaced) {
        const surface::TrimLine& trim = device.surfaced->trim;
        add("arch.captured", "Arch as captured", "mm", device.surfaced->arch_captured_mm);
        add("arch.delivered", "Arch as delivered", "mm", device.surfaced->arch_delivered_mm);
        add("trim.cup_medial", "Cup medial", "mm", trim.cup_medial_mm);
        add("trim.cup_posterior", "Cup posterior", "mm", trim.cup_posterior_mm);
        add("trim.cup_lateral", "Cup lateral", "mm", trim.cup_lateral_mm);
        add("trim.flange", "Medial flange", "mm", trim.flange_mm);
        add("trim.length", "Length of the trim line", "mm", trim.length_mm);
        for (const surface::DressFigure& figure : device.surfaced->figures)
            add("dress." + figure.id, figure.title, "mm", figure.largest_mm);
    }
    if (device.shelled)
        for (const feature::Figure& figure : device.shelled->feature_figures)
            add("feature." + figure.name, figure.name, "mm", figure.measured_mm);
    if (device.received)
        for (const foot::Measurement& m : device.received->measurements)
            add("foot." + m.id, m.title, m.unit, m.value);
    // what a check measured; one name may be there more than once
    std::map<std::string, int> times;
    for (const Check& check : device.checks) {
        if (!check.figure || check.unit.empty()) continue;
        // what proves mesh and solid is our own affair
        if (check.id.starts_with("mesh.") || check.id.starts_with("solid.")) continue;
        const int n = ++times[check.id];
        add("check." + check.id + (n > 1 ? "." + std::to_string(n) : ""), check.title, check.unit,
            *check.figure);
    }
    return all;
}

}  // namespace

Outcome<Shells> shells(const build::Device& now, const build::Device& other, Progress& progress) {
    Shells out;
    const surface::Shell &mine = now.shelled->shell, &theirs = other.shelled->shell;
    {
        const Progress::Stretch stretch(progress, "Comparing foot sides", 0.0, 0.5);
        auto side =
            difference(foot_side(mine, now.made()), Reference::foot_side(theirs, other.made()), progress);
        if (!side) return side.fault();
        out.foot_side = std::move(*side);
    }
    const Progress::Stretch stretch(progress, "Comparing undersides", 0.5, 1.0);
    auto under =
        difference(underside(mine, now.made()), Reference::underside(theirs, other.made()), progress);
    if (!under) return under.fault();
    out.underside = std::move(*under);
    return out;
}

Outcome<Difference> against_cast(const build::Device& device, Progress& progress) {
    const Progress::Stretch stretch(progress, "Comparing with the cast", 0.0, 1.0);
    return difference(foot_side(device.shelled->shell, device.made()),
                      Reference(device.received->standing.mesh, true), progress);
}

Outcome<Difference> casts(const build::Received& now, const build::Received& other, Progress& progress) {
    const Progress::Stretch stretch(progress, "Comparing casts", 0.0, 1.0);
    return difference(sheet_of(now.standing.mesh), Reference(other.standing.mesh), progress);
}

std::vector<Figure> figures_that_differ(const build::Device& before, const build::Device& after) {
    const std::vector<Measured> one = figures_of(before), two = figures_of(after);
    std::vector<Figure> out;
    const auto find = [](const std::vector<Measured>& all, const std::string& key) -> const Measured* {
        for (const Measured& m : all)
            if (m.key == key) return &m;
        return nullptr;
    };
    for (const Measured& m : one) {
        const Measured* now = find(two, m.key);
        if (now != nullptr &&
            std::abs(now->value - m.value) <= same_figure * std::max(1.0, std::abs(m.value)))
            continue;
        out.push_back({m.key, m.title, m.unit, m.value,
                       now == nullptr ? std::nullopt : std::optional<double>(now->value)});
    }
    for (const Measured& m : two)
        if (find(one, m.key) == nullptr) out.push_back({m.key, m.title, m.unit, std::nullopt, m.value});
    return out;
}

}  // namespace archwright::compare
