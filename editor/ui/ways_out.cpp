#include "editor/ui/ways_out.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

namespace {

const design::Parameter* parameter(const std::string& name) {
    for (const design::Parameter& p : design::foot_parameters())
        if (p.name == name) return &p;
    return nullptr;
}

/// The value moved by `by`, to the next whole step on the far side, within its range; nothing when that is no
/// change, or not as far as was needed.
std::optional<double> moved(const std::string& name, double value, double by) {
    const design::Parameter* p = parameter(name);
    if (p == nullptr || !(p->step > 0) || by == 0) return std::nullopt;
    const double steps = (value + by) / p->step;
    constexpr double hair = 1e-6;  // a sum of decimals that is whole but for rounding
    const double whole = (by > 0 ? std::ceil(steps - hair) : std::floor(steps + hair)) * p->step;
    if (whole < p->low - hair || whole > p->high + hair) return std::nullopt;
    return whole;
}

/// As a person would write it.
std::string plain(double value) {
    constexpr int decimals = 3;
    return exact(parse_number(rounded(value, decimals)).value_or(value));
}

const feature::Feature* find(const design::FootDesign& foot, const std::string& name) {
    for (const feature::Feature& one : foot.features)
        if (one.name == name) return &one;
    return nullptr;
}

std::string unit_words(const std::string& unit) {
    return unit == "mm" ? "millimetres" : unit == "cm" ? "centimetres" : unit == "in" ? "inches" : "metres";
}

void thicker(std::vector<WayOut>& ways, const design::FootDesign& foot, double by) {
    if (const auto wall = moved("wall.base_mm", foot.wall.base_mm, by))
        ways.push_back({"Base wall " + rounded(*wall, 1) + " mm", "set wall.base_mm " + plain(*wall)});
}

}  // namespace

std::vector<WayOut> ways_out(const Check& check, const design::FootDesign& foot, const build::Device* device,
                             const std::string& over) {
    std::vector<WayOut> ways;
    const double lacking = check.figure && check.limit ? *check.limit - *check.figure : 0;
    if (check.id == "wall.least" && lacking > 0) {
        const feature::Feature* relief = find(foot, over);
        if (relief != nullptr && relief->on && relief->relief())
            if (const auto depth = moved("features[].depth_mm", relief->depth_mm, -lacking))
                ways.push_back({"Depth " + rounded(*depth, 1) + " mm",
                                "set features[" + over + "].depth_mm " + plain(*depth)});
        thicker(ways, foot, lacking);
    } else if (check.id == "wall.rim" && lacking > 0) {
        thicker(ways, foot, lacking);
    } else if (check.id == "features.reach" && device != nullptr && device->shelled) {
        for (const feature::Figure& figure : device->shelled->feature_figures)
            if (figure.beyond_mm > 0 && find(foot, figure.name) != nullptr && ways.size() < 2)
                ways.push_back({"Switch off " + figure.name, "feature off " + figure.name});
    } else if (check.id == "balance.capture") {
        if (foot.balance.forefoot == foot::Balance::Forefoot::platform)
            ways.push_back({"Forefoot as it is", "set balance.forefoot as_it_is"});
        if (foot.balance.method != foot::Balance::Method::as_it_stands)
            ways.push_back({"Leave as cast", "set balance.method as_it_stands"});
    } else if (check.id == "lettering.wall" && lacking > 0) {
        if (const auto depth = moved("lettering.depth_mm", foot.lettering.depth_mm, -lacking))
            ways.push_back(
                {"Letters " + rounded(*depth, 2) + " mm deep", "set lettering.depth_mm " + plain(*depth)});
        ways.push_back({"Raised letters", "set lettering.style raised"});
    } else if ((check.id == "shoe.rim" || check.id == "shoe.footprint") && check.verdict == Verdict::look &&
               lacking < 0 && check.message.find("(forefoot, ") != std::string::npos) {
        // both borders near the distal edge come in by what is past the line
        if (const auto width = moved("trim.width_allowance_mm", foot.trim.width_allowance_mm, lacking))
            ways.push_back({"Borders in by " + rounded(foot.trim.width_allowance_mm - *width, 1) + " mm",
                            "set trim.width_allowance_mm " + plain(*width)});
    } else if (check.id == "order.insensate_edges" && check.limit) {
        const auto softer = [&](const std::string& words, const std::string& path, double blend) {
            if (blend < *check.limit)
                ways.push_back({words + " " + rounded(*check.limit, 0) + " mm",
                                "set " + path + " " + plain(*check.limit)});
        };
        if (foot.rim.kind == surface::Rim::Kind::square)
            ways.push_back({"Rounded rim", "set rim.kind rounded"});
        for (const design::WallRegion& region : foot.wall.regions)
            softer("Blend " + region.name, "wall.regions[" + region.name + "].blend_mm", region.blend_mm);
        if (foot.dress.medial_skive.depth_mm > 0)
            softer("Skive blend", "dress.medial_skive.blend_mm", foot.dress.medial_skive.blend_mm);
        if (foot.dress.lateral_skive.depth_mm > 0)
            softer("Lateral skive blend", "dress.lateral_skive.blend_mm", foot.dress.lateral_skive.blend_mm);
    } else if (check.id == "order.material") {
        ways.push_back({"Usual material", "reset material"});
    }
    if (ways.size() > 2) ways.resize(2);
    return ways;
}

std::vector<WayOut> ways_out(const Fault& fault, const design::FootDesign& foot, const std::string& by) {
    if (fault.kind != FaultKind::ask || by.empty()) return {};
    std::vector<WayOut> ways;
    const bool unit = fault.message.find("--unit") != std::string::npos;
    if (unit) {
        // the likeliest units of a file; the panel has all four
        for (const auto& [value, word] :
             {std::pair(LengthUnit::millimetre, "mm"), std::pair(LengthUnit::centimetre, "cm"),
              std::pair(LengthUnit::inch, "in")})
            if (fault.message.find("--unit " + std::string(word)) != std::string::npos ||
                (foot.cast.unit.by == design::StatedBy::person && foot.cast.unit.value == value))
                ways.push_back(
                    {"It is in " + unit_words(word), "state unit=" + std::string(word) + " by=" + by});
        if (ways.size() > 2) ways.resize(2);
        return ways;
    }
    ways.push_back({"Left", "state side=left by=" + by});
    ways.push_back({"Right", "state side=right by=" + by});
    return ways;
}

}  // namespace archwright::editor::ui
