#include "engine/ask/walls.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/wall_map.hpp"

namespace archwright::ask {

namespace {

using Kind = design::WallZone::Kind;

Fault wrong_wall(std::string message) {
    return Fault{FaultKind::usage, "ask", std::move(message), std::nullopt};
}

double thousandth(double value) {
    return std::round(1000.0 * value) / 1000.0;
}

/// "wall.regions[arch].wall_mm" and "wall.regions[arch]" as "arch"; "wall.base_mm" as "base", ...
struct Named {
    std::string word;
    bool region = false;  ///< named in its list
    std::optional<std::size_t> station;
};
Named named(std::string word) {
    const auto inside = [&](const std::string& list) -> std::optional<std::string> {
        if (!word.starts_with(list + "[")) return std::nullopt;
        const std::size_t end = word.find(']');
        if (end == std::string::npos) return std::nullopt;
        return word.substr(list.size() + 1, end - list.size() - 1);
    };
    if (word.starts_with("wall.")) word = word.substr(5);
    if (const auto region = inside("regions")) return {*region, true, std::nullopt};
    if (const auto station = inside("stations")) {
        std::size_t at = 0;
        bool digits = !station->empty() && station->size() < 4;
        for (const char c : *station) {
            digits = digits && c >= '0' && c <= '9';
            at = 10 * at + static_cast<std::size_t>(c - '0');
        }
        if (digits) return {word, false, at};
    }
    if (word == "base_mm") word = "base";
    return {word, false, std::nullopt};
}

const design::WallZone* zone_of(const design::Wall& wall, const AskedWall& asked) {
    switch (asked.where) {
        case AskedWall::Where::medial_column:
            return &wall.medial_column;
        case AskedWall::Where::lateral_column:
            return &wall.lateral_column;
        case AskedWall::Where::region:
            return &wall.regions[asked.index];
        default:
            return nullptr;
    }
}

double value_of(const design::Wall& wall, const AskedWall& asked) {
    if (asked.where == AskedWall::Where::base) return wall.base_mm;
    if (asked.where == AskedWall::Where::station) return wall.stations[asked.index].wall_mm;
    const design::WallZone& zone = *zone_of(wall, asked);
    return zone.kind == Kind::wall    ? zone.wall_mm
           : zone.kind == Kind::scale ? zone.scale
                                      : design::wall_of_rigidity(wall.base_mm, zone.rigidity);
}

std::vector<AskedWall> all_walls(const design::Wall& wall) {
    std::vector<AskedWall> all;
    AskedWall one;
    one.name = "base";
    all.push_back(one);
    one.where = AskedWall::Where::station;
    for (one.index = 0; one.index < wall.stations.size(); ++one.index) {
        one.name = "station " + std::to_string(one.index) + " at " +
                   rounded(100.0 * wall.stations[one.index].along, 0) + " %";
        all.push_back(one);
    }
    const auto add = [&](AskedWall::Where where, std::size_t index, const std::string& name,
                         const design::WallZone& zone) {
        AskedWall zoned;
        zoned.where = where;
        zoned.index = index;
        zoned.name = name;
        zoned.kind = zone.kind;
        all.push_back(zoned);
    };
    if (wall.medial_column.on) add(AskedWall::Where::medial_column, 0, "medial column", wall.medial_column);
    if (wall.lateral_column.on)
        add(AskedWall::Where::lateral_column, 0, "lateral column", wall.lateral_column);
    for (std::size_t i = 0; i < wall.regions.size(); ++i) {
        add(AskedWall::Where::region, i, "region " + wall.regions[i].name, wall.regions[i]);
        all.back().name_in_list = wall.regions[i].name;
    }
    for (AskedWall& asked : all) asked.now = value_of(wall, asked);
    return all;
}

bool means(const Named& choice, const AskedWall& asked) {
    switch (asked.where) {
        case AskedWall::Where::base:
            return !choice.region && choice.word == "base";
        case AskedWall::Where::station:
            return !choice.region &&
                   (choice.station ? *choice.station == asked.index : choice.word == "stations");
        case AskedWall::Where::medial_column:
            return !choice.region && choice.word == "medial_column";
        case AskedWall::Where::lateral_column:
            return !choice.region && choice.word == "lateral_column";
        case AskedWall::Where::region:
            return choice.word == asked.name_in_list &&
                   (choice.region || (choice.word != "base" && choice.word != "stations" &&
                                      choice.word != "medial_column" && choice.word != "lateral_column"));
    }
    return false;
}

bool any_rigidity(const design::Wall& wall) {
    const auto is = [](const design::WallZone& zone) { return zone.kind == Kind::rigidity; };
    return (wall.medial_column.on && is(wall.medial_column)) ||
           (wall.lateral_column.on && is(wall.lateral_column)) ||
           std::any_of(wall.regions.begin(), wall.regions.end(), is);
}

}  // namespace

std::string AskedWall::parameter() const {
    const std::string key = kind == Kind::wall ? ".wall_mm" : kind == Kind::scale ? ".scale" : ".rigidity";
    switch (where) {
        case Where::base:
            return "wall.base_mm";
        case Where::station:
            return "wall.stations[" + std::to_string(index) + "].wall_mm";
        case Where::medial_column:
            return "wall.medial_column" + key;
        case Where::lateral_column:
            return "wall.lateral_column" + key;
        case Where::region:
            return "wall.regions[" + name_in_list + "]" + key;
    }
    return {};
}

std::vector<std::string> walls_of(const design::Wall& wall) {
    std::vector<std::string> names;
    for (const AskedWall& asked : all_walls(wall)) switch (asked.where) {
            case AskedWall::Where::base:
                if (wall.stations.empty() || any_rigidity(wall)) names.emplace_back("base");
                break;
            case AskedWall::Where::station:
                if (asked.index == 0) names.emplace_back("stations");
                break;
            case AskedWall::Where::medial_column:
                names.emplace_back("medial_column");
                break;
            case AskedWall::Where::lateral_column:
                names.emplace_back("lateral_column");
                break;
            case AskedWall::Where::region:
                names.push_back(asked.name_in_list);
                break;
        }
    return names;
}

Outcome<std::vector<AskedWall>> asked_walls(const Question& question, const design::Wall& wall,
                                            const design::Material& material) {
    std::vector<AskedWall> chosen;
    const std::vector<AskedWall> all = all_walls(wall);
    double thinnest = wall.base_mm, thickest = wall.base_mm;
    if (!wall.stations.empty()) thinnest = thickest = wall.stations.front().wall_mm;
    for (const design::WallStation& station : wall.stations) {
        thinnest = std::min(thinnest, station.wall_mm);
        thickest = std::max(thickest, station.wall_mm);
    }
    for (const WallChoice& choice : question.walls) {
        const Named meant = named(choice.wall);
        bool any = false;
        for (AskedWall asked : all) {
            if (!means(meant, asked)) continue;
            any = true;
            if (std::any_of(chosen.begin(), chosen.end(), [&](const AskedWall& other) {
                    return other.where == asked.where && other.index == asked.index;
                }))
                return wrong_wall("The wall \"" + asked.name + "\" is named twice.");
            if (asked.where == AskedWall::Where::base && !wall.stations.empty() && !any_rigidity(wall))
                return wrong_wall(
                    "The base changes nothing here: stations stand in its place. Ask the stations.");
            const double least =
                choice.least_mm.value_or(question.least_mm.value_or(material.wall_min_mm.value));
            const double most =
                choice.most_mm.value_or(question.most_mm.value_or(material.wall_max_mm.value));
            design::Range may = design::wall_range;
            asked.low = least;
            asked.high = most;
            if (asked.kind == Kind::scale) {
                may = design::wall_scale_range;
                asked.low = least / thinnest;
                asked.high = most / thickest;
            } else if (asked.kind == Kind::rigidity) {
                may.low = design::wall_of_rigidity(wall.base_mm, design::rigidity_range.low);
                may.high = design::wall_of_rigidity(wall.base_mm, design::rigidity_range.high);
                may.low = std::max(may.low, material.wall_min_mm.value);
                may.high = std::min(may.high, material.wall_max_mm.value);
            }
            asked.low = std::max(asked.low, may.low);
            asked.high = std::min(asked.high, may.high);
            if (!std::isfinite(least) || !std::isfinite(most) || !(asked.low < asked.high))
                return wrong_wall("Limits of " + exact(least) + " to " + exact(most) +
                                  " mm leave nothing to change of the wall \"" + asked.name +
                                  "\": give it a range.");
            chosen.push_back(std::move(asked));
        }
        if (!any) {
            std::string there;
            for (const std::string& name : walls_of(wall)) there += (there.empty() ? "" : ", ") + name;
            return wrong_wall("There is no wall \"" + choice.wall + "\" in this design; there are: " + there +
                              ".");
        }
    }
    if (chosen.empty())
        return wrong_wall("Say which walls may change: the base, stations, columns or regions.");
    if (chosen.size() > most_asked_walls)
        return wrong_wall(std::to_string(chosen.size()) + " walls are too many to ask of at once; at most " +
                          std::to_string(most_asked_walls) + ".");
    // rigidities are relative to the base: it goes first
    std::stable_sort(chosen.begin(), chosen.end(),
                     [](const AskedWall& a, const AskedWall& b) { return a.where < b.where; });
    return chosen;
}

design::Wall with_values(const design::Wall& wall, const std::vector<AskedWall>& asked,
                         const std::vector<double>& values) {
    design::Wall changed = wall;
    for (std::size_t i = 0; i < asked.size(); ++i)
        if (asked[i].where == AskedWall::Where::base) changed.base_mm = values[i];
    const auto put = [&](design::WallZone& zone, double value) {
        if (zone.kind == Kind::wall) zone.wall_mm = value;
        if (zone.kind == Kind::scale) zone.scale = value;
        if (zone.kind == Kind::rigidity)
            zone.rigidity = std::clamp(design::rigidity_of_wall(changed.base_mm, value),
                                       design::rigidity_range.low, design::rigidity_range.high);
    };
    for (std::size_t i = 0; i < asked.size(); ++i) switch (asked[i].where) {
            case AskedWall::Where::base:
                break;
            case AskedWall::Where::station:
                changed.stations[asked[i].index].wall_mm = values[i];
                break;
            case AskedWall::Where::medial_column:
                put(changed.medial_column, values[i]);
                break;
            case AskedWall::Where::lateral_column:
                put(changed.lateral_column, values[i]);
                break;
            case AskedWall::Where::region:
                put(changed.regions[asked[i].index], values[i]);
                break;
        }
    return changed;
}

std::vector<double> as_written(const std::vector<AskedWall>& asked, std::vector<double> values) {
    for (std::size_t i = 0; i < asked.size(); ++i)
        values[i] = std::clamp(thousandth(values[i]), asked[i].low, asked[i].high);
    return values;
}

design::Wall written_wall(const design::Wall& wall, const std::vector<AskedWall>& asked,
                          const std::vector<double>& values) {
    design::Wall written = with_values(wall, asked, values);
    const auto round = [](design::WallZone& zone) {
        if (zone.kind == Kind::rigidity) zone.rigidity = std::round(1e4 * zone.rigidity) / 1e4;
    };
    for (const AskedWall& one : asked) {
        if (one.where == AskedWall::Where::medial_column) round(written.medial_column);
        if (one.where == AskedWall::Where::lateral_column) round(written.lateral_column);
        if (one.where == AskedWall::Where::region) round(written.regions[one.index]);
    }
    return written;
}

std::vector<std::pair<std::string, std::string>> settings(const design::Wall& wall,
                                                          const std::vector<AskedWall>& asked) {
    std::vector<std::pair<std::string, std::string>> all;
    for (const AskedWall& one : asked) {
        const design::WallZone* zone = zone_of(wall, one);
        const double value = zone != nullptr && zone->kind == Kind::rigidity ? zone->rigidity
                             : zone != nullptr && zone->kind == Kind::scale  ? zone->scale
                                                                             : value_of(wall, one);
        all.emplace_back(one.parameter(), exact(value));
    }
    return all;
}

}  // namespace archwright::ask
