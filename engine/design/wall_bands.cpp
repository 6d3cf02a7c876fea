#include "engine/design/wall_bands.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/json.hpp"
#include "engine/design/wall_map.hpp"

namespace archwright::design {

namespace {

constexpr const char* bands_command = "wall bands";
constexpr double default_band_blend = 0.16;  // a quarter of a third on either side: bands keep their plateau
constexpr std::size_t most_bands = 50;       // as many stations as a wall may have

Fault wrong_bands(std::string message) {
    return Fault{FaultKind::usage, bands_command, std::move(message), {}};
}

Outcome<std::vector<RigidityStation>> listed_bands(const std::string& text) {
    const auto list = parse_json(text, "stations");
    if (!list) return list.fault();
    if (list->kind != Json::Kind::list || list->items.empty() || list->items.size() > most_bands)
        return wrong_bands("stations: write [[along, rigidity], ...], one to " + std::to_string(most_bands) +
                           " of them, for example [[0, 2], [0.6, 2], [1, 0.5]]");
    std::vector<RigidityStation> bands;
    for (const Json& item : list->items) {
        const std::string here = "stations[" + std::to_string(bands.size()) + "]";
        if (item.kind != Json::Kind::list || item.items.size() != 2 ||
            item.items[0].kind != Json::Kind::number || item.items[1].kind != Json::Kind::number)
            return wrong_bands(here + " is no pair [along, rigidity] of numbers");
        const RigidityStation band{item.items[0].number, item.items[1].number};
        if (!(band.along >= 0 && band.along <= 1))
            return wrong_bands(here + " lies at " + exact(band.along) + ": 0 is the rear edge, 1 the distal");
        if (!(band.rigidity >= rigidity_range.low && band.rigidity <= rigidity_range.high))
            return wrong_bands(here + " asks for a rigidity of " + exact(band.rigidity) +
                               ": it must lie between " + exact(rigidity_range.low) + " and " +
                               exact(rigidity_range.high));
        if (!bands.empty() && !(bands.back().along < band.along))
            return wrong_bands(here + " does not lie further along than the one before: write them in order");
        bands.push_back(band);
    }
    return bands;
}

}  // namespace

Outcome<std::vector<RigidityStation>> rigidity_bands(const Command& command) {
    const auto number = [&](const char* name, double otherwise) {
        const std::string* text = command.find(name);
        return text ? *parse_number(*text) : otherwise;  // checked by the table
    };
    const bool by_band = command.find("heel") || command.find("midfoot") || command.find("forefoot");
    if (const std::string* text = command.find("stations")) {
        if (by_band || command.find("blend"))
            return wrong_bands("Say either heel, midfoot and forefoot, or stations: not both.");
        return listed_bands(*text);
    }
    if (!by_band)
        return wrong_bands(
            "Say how rigid: heel, midfoot or forefoot as multiples of the base's rigidity, for example "
            "wall bands heel=1.5 midfoot=2 forefoot=0.5");
    const double heel = number("heel", 1), midfoot = number("midfoot", 1), forefoot = number("forefoot", 1);
    const double half = 0.5 * number("blend", default_band_blend);
    return std::vector<RigidityStation>{{0, heel},
                                        {1.0 / 3.0 - half, heel},
                                        {1.0 / 3.0 + half, midfoot},
                                        {2.0 / 3.0 - half, midfoot},
                                        {2.0 / 3.0 + half, forefoot},
                                        {1, forefoot}};
}

Outcome<std::vector<std::string>> lay_bands(const std::vector<RigidityStation>& bands,
                                            const Material* material, Wall& wall) {
    const WallLimits limits = material ? WallLimits::of(*material) : WallLimits{};
    std::vector<WallStation> stations;
    std::vector<std::string> told;
    for (const RigidityStation& band : bands) {
        const double needs = wall_of_rigidity(wall.base_mm, band.rigidity);
        const double gets = std::clamp(needs, limits.low_mm, limits.high_mm);
        const double written = std::round(1000 * gets) / 1000;
        if (!(written >= wall_range.low && written <= wall_range.high))
            return wrong_bands("A rigidity of " + exact(band.rigidity) + " x the base's " +
                               exact(wall.base_mm) + " mm needs " + rounded(needs, 2) + " mm; a wall is " +
                               exact(wall_range.low) + " to " + exact(wall_range.high) +
                               " mm. Nothing was changed.");
        stations.push_back({std::round(1000 * band.along) / 1000, written});
        std::string line = "  at " + rounded(100 * band.along, 0) + " % of the length " + exact(written) +
                           " mm, " + exact(band.rigidity) + " x the base's rigidity";
        if (gets != needs)
            line += " was asked and needs " + rounded(needs, 2) + " mm: " + material->name +
                    (needs < gets ? " begins at " : " ends at ") + exact(gets) + " mm, which gives " +
                    rounded(rigidity_of_wall(wall.base_mm, gets), 2) + " x";
        told.push_back(std::move(line));
    }
    for (std::size_t i = 1; i < stations.size(); ++i)
        if (!(stations[i - 1].along < stations[i].along))
            return wrong_bands("Two stations lie within 0.001 of the length: move them apart.");
    wall.stations = std::move(stations);
    told.insert(told.begin(), std::to_string(bands.size()) + " stations of wall from heel to toes, base " +
                                  exact(wall.base_mm) + " mm (for comparison of designs only):");
    return told;
}

}  // namespace archwright::design
