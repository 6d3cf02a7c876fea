// The maps that surfaces can show: what each means, how it is coloured, and from where on it is hatched.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "editor/model/comparison.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::editor::view {

class Shown;

enum class Map {
    none,
    wall,         ///< of the shell, mm
    height,       ///< over the ground, mm: cast and shell
    deviation,    ///< foot side against cast, mm, positive into the foot
    slope,        ///< of the foot side against the ground, degrees
    tool,         ///< radius of the largest ball that reaches a place of the foot side, mm
    ground,       ///< free height under the device, mm
    shoe,         ///< past the insole's edge less the clearance asked, mm, inside negative
    rigidity,     ///< bending rigidity over that of the base wall: (T / base)^3
    bending,      ///< bending rigidity D, N mm
    mass,         ///< g per cm2 of the surface
    deflection,   ///< how far it moves on the bench against the load, mm
    stress,       ///< von Mises on the face that is seen, MPa
    utilisation,  ///< that stress in % of the material's strength
    compare,      ///< from what the device is compared with (model::Comparison), mm
};

/// Maps of the virtual bench (model::Flexed).
constexpr bool of_flex(Map map) {
    return map == Map::deflection || map == Map::stress || map == Map::utilisation;
}
/// What a map that follows the wall shows, in the picture's words; nothing for the others.
std::optional<picture::MapKind> kind_by_wall(Map map);

/// By the word of the view's setting ("wall"); none for others.
Map map_of(std::string_view word);
/// The word of a choice: "to cast".
const char* name_of(Map map);

/// How a map is read: its range with round figures, and the limit beyond which it is hatched.
struct MapLook {
    picture::MapScale scale;
    std::optional<double> limit;
    bool above = false;  ///< hatched above the limit, not below

    bool beyond(double value) const { return limit && (above ? value > *limit : value < *limit); }
};

/// A range of five equal steps of 1, 2, 2.5, 4, 5 or 8 times a power of ten that covers low to high, from a
/// multiple of the step on: six round figures. Ranges narrower than `least` are widened round their middle.
picture::MapScale six_figures(const picture::ColourMap& map, double low, double high, double least,
                              const char* title);
/// Symmetric about zero, with zero among its five figures.
picture::MapScale five_figures(const picture::ColourMap& map, double greatest, double least,
                               const char* title);
/// The range that was shown stays while it holds the new one and is not three times as wide.
picture::MapScale steady(const picture::MapScale& before, const picture::MapScale& now);
/// The figures of a scale, rising.
std::vector<double> figures_of(const picture::MapScale& scale);

/// Stands for a value where there is none: beyond every scale, and hatched.
inline constexpr double no_counterpart = 1e6;

/// The title of its scale: what a comparison's values mean.
const char* title_of_comparison(model::CompareWith::What what);

/// The look of a map of this device. `tool_mm`: radius of the tool it is to be cut with.
MapLook look_of(const Shown& shown, Map map, double tool_mm);

}  // namespace archwright::editor::view
