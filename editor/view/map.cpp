#include "editor/view/map.hpp"

#include <algorithm>
#include <cmath>

#include "editor/view/shown.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/picture/plan_print.hpp"

namespace archwright::editor::view {

using picture::ColourMap;
using picture::MapScale;

namespace {

struct Word {
    Map map;
    const char *word, *name;
};
constexpr Word words[] = {{Map::none, "none", "none"},
                          {Map::wall, "wall", "wall"},
                          {Map::height, "height", "height"},
                          {Map::deviation, "deviation", "to cast"},
                          {Map::slope, "slope", "slope"},
                          {Map::tool, "tool", "tool"},
                          {Map::ground, "ground", "ground"},
                          {Map::shoe, "shoe", "shoe"},
                          {Map::rigidity, "rigidity", "rigidity x"},
                          {Map::bending, "bending", "rigidity D"},
                          {Map::mass, "mass", "mass"},
                          {Map::deflection, "deflection", "deflection"},
                          {Map::stress, "stress", "stress"},
                          {Map::utilisation, "utilisation", "utilised"},
                          {Map::compare, "compare", "compared"}};

constexpr double steps[] = {1.0, 2.0, 2.5, 4.0, 5.0, 8.0};
constexpr double hair = 1e-6;  // of a step: rounding
/// A range of what follows the wall is at least this share of its greatest.
constexpr double least_share = 0.1;

int decimals_of(double step) {
    for (int n = 0; n < 4; ++n) {
        const double scaled = step * std::pow(10.0, n);
        if (std::abs(scaled - std::round(scaled)) < 1e-6) return n;
    }
    return 4;
}

/// The light end is where nothing is the matter: for values whose low ones matter the map is turned over.
const ColourMap& turned_over(const ColourMap& map) {
    static const ColourMap turned = [&] {
        std::array<std::uint32_t, 9> points{};
        for (std::size_t i = 0; i < 9; ++i) points[i] = map.at(1.0 - static_cast<double>(i) / 8.0).packed();
        return ColourMap(points);
    }();
    return turned;
}

}  // namespace

std::optional<picture::MapKind> kind_by_wall(Map map) {
    if (map == Map::rigidity) return picture::MapKind::rigidity;
    if (map == Map::bending) return picture::MapKind::bending;
    if (map == Map::mass) return picture::MapKind::mass;
    return std::nullopt;
}

Map map_of(std::string_view word) {
    for (const Word& w : words)
        if (w.word == word) return w.map;
    return Map::none;
}

const char* name_of(Map map) {
    for (const Word& w : words)
        if (w.map == map) return w.name;
    return "none";
}

MapScale six_figures(const ColourMap& map, double low, double high, double least, const char* title) {
    if (!std::isfinite(low) || !std::isfinite(high)) low = 0, high = least;
    if (high - low < least) {
        const double middle = 0.5 * (low + high);
        low = middle - 0.5 * least;
        high = middle + 0.5 * least;
    }
    for (double decade = std::pow(10.0, std::floor(std::log10((high - low) / 5.0)));; decade *= 10.0)
        for (const double step : steps) {
            const double tick = step * decade, from = tick * std::floor(low / tick + hair);
            if (from + 5.0 * tick >= high - hair * tick)
                return {&map, from, from + 5.0 * tick, tick, decimals_of(tick), title};
        }
}

MapScale five_figures(const ColourMap& map, double greatest, double least, const char* title) {
    const double limit = std::isfinite(greatest) ? std::max(greatest, least) : least;
    for (double decade = std::pow(10.0, std::floor(std::log10(limit / 2.0)));; decade *= 10.0)
        for (const double step : steps)
            if (2.0 * step * decade >= limit * (1.0 - hair)) {
                const double tick = step * decade;
                return {&map, -2.0 * tick, 2.0 * tick, tick, decimals_of(tick), title};
            }
}

MapScale steady(const MapScale& before, const MapScale& now) {
    const bool same_kind = before.map == now.map && before.title == now.title;
    const bool holds = before.low <= now.low + hair && before.high >= now.high - hair;
    return same_kind && holds && before.high - before.low < 3.0 * (now.high - now.low) ? before : now;
}

std::vector<double> figures_of(const MapScale& scale) {
    std::vector<double> all;
    for (double k = std::ceil(scale.low / scale.tick - hair);
         k * scale.tick <= scale.high + hair * scale.tick; k += 1.0)
        all.push_back(k * scale.tick);
    return all;
}

const char* title_of_comparison(model::CompareWith::What what) {
    using What = model::CompareWith::What;
    switch (what) {
        case What::cast:
            return "Shell from cast, mm";
        case What::other_foot:
            return "From other foot, mm";
        case What::proposal:
            return "Would change, mm";
        case What::none:
        case What::step:
        case What::file:
            break;
    }
    return "Changed, mm";
}

MapLook look_of(const Shown& shown, Map map, double tool_mm) {
    const picture::PictureInput& input = shown.subject().input();
    switch (map) {
        case Map::none:
            break;
        case Map::wall: {
            MapLook look{shown.wall_scale(), {}, false};
            // as the gate judges it (engine/build/prove_stage.cpp)
            if (input.minimum_wall_mm > 0.0) look.limit = input.minimum_wall_mm - tolerance::wall_mm;
            return look;
        }
        case Map::height:
            return {
                six_figures(ColourMap::height(), 0.0, picture::sole_height_mm, 1.0, "Height, mm"), {}, false};
        case Map::deviation: {
            const auto values = shown.values(map);
            return {five_figures(ColourMap::deviation(), values ? values->usual_greatest : 2.0, 0.5,
                                 "To cast, mm"),
                    {},
                    false};
        }
        case Map::slope:
            return {six_figures(ColourMap::utilisation(), 0.0, 50.0, 1.0, "Slope, degrees"), {}, false};
        case Map::tool:
            return {six_figures(turned_over(ColourMap::utilisation()), 0.0, 2.5 * tool_mm, 1.0,
                                "Ball radius, mm"),
                    tool_mm - tolerance::chord_mm, false};
        case Map::ground:
            return {six_figures(ColourMap::height(), 0.0, 25.0, 1.0, "Clear of ground, mm"), {}, false};
        case Map::shoe:
            return {six_figures(ColourMap::utilisation(), -20.0, 5.0, 1.0, "Past insole, mm"), 0.0, true};
        case Map::rigidity:
        case Map::bending:
        case Map::mass: {
            // over the range of the wall's own colours, and hatched where that is
            const MapScale walls = shown.wall_scale();
            const auto of = [&](double wall) {
                return picture::of_wall(input, *kind_by_wall(map), wall).value_or(wall);
            };
            const char* title = map == Map::rigidity  ? "Rigidity, x base"
                                : map == Map::bending ? "Rigidity, N mm"
                                                      : "Mass, g/cm\u00b2";
            const double low = of(std::max(walls.low, 0.0)), high = of(walls.high);
            MapLook look{six_figures(ColourMap::wall(), low, high, least_share * high, title), {}, false};
            if (input.minimum_wall_mm > 0.0) look.limit = of(input.minimum_wall_mm - tolerance::wall_mm);
            return look;
        }
        case Map::deflection:
        case Map::stress:
        case Map::utilisation: {
            const auto values = shown.values(map);
            const double most = values ? values->usual_greatest : 1.0;
            if (map == Map::deflection)
                return {six_figures(ColourMap::height(), 0.0, most, 0.05, "Moves, mm"), {}, false};
            if (map == Map::stress)
                return {six_figures(ColourMap::utilisation(), 0.0, most, 1.0, "Stress, MPa"), {}, false};
            return {six_figures(ColourMap::utilisation(), 0.0, most, 5.0, "Of strength, %"), 100.0, true};
        }
        case Map::compare: {
            const auto values = shown.values(map);
            const auto comparison = shown.comparison();
            MapLook look{five_figures(ColourMap::deviation(), values ? values->usual_greatest : 1.0, 0.1,
                                      title_of_comparison(comparison ? comparison->with.what
                                                                     : model::CompareWith::What::none)),
                         {},
                         true};
            if (values && values->alone) look.limit = 0.5 * no_counterpart;
            return look;
        }
    }
    return {{&ColourMap::wall(), 0.0, 1.0, 0.2, 1, ""}, {}, false};
}

}  // namespace archwright::editor::view
