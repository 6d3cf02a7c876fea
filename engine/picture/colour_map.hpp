// Colour maps with perceptually even steps, readable with any colour vision.
#pragma once

#include <array>

#include "engine/picture/colour.hpp"

namespace archwright::picture {

/// Nine control points, evenly spaced in OKLab, interpolated there to 256 steps.
class ColourMap {
  public:
    explicit ColourMap(const std::array<std::uint32_t, 9>& control_points);

    static const ColourMap& wall();         ///< thin to thick, pale to dark; also rigidity
    static const ColourMap& height();       ///< above the ground, dark to pale
    static const ColourMap& deviation();    ///< less, zero, more: limits must be symmetric
    static const ColourMap& utilisation();  ///< also slope

    /// Colour at t, held within 0..1.
    const Colour& at(double t) const;
    const std::array<Colour, 256>& steps() const { return steps_; }

  private:
    std::array<Colour, 256> steps_;
};

/// A map with its range: what a legend shows and a view paints.
struct MapScale {
    const ColourMap* map = nullptr;
    double low = 0.0, high = 1.0;
    double tick = 0.2;  ///< distance of the legend's figures; they stand on multiples of it
    int decimals = 1;
    const char* title = "";  ///< with the unit, for example "Wall, mm"

    Colour colour(double value) const { return map->at((value - low) / (high - low)); }
};

/// Round limits round [low, high]: multiples of a 1-2-5 tick that gives four to eight figures. Degenerate
/// ranges are widened to one tick on either side.
MapScale round_scale(const ColourMap& map, double low, double high, const char* title);
/// The same, symmetric about zero.
MapScale round_symmetric_scale(const ColourMap& map, double greatest, const char* title);

}  // namespace archwright::picture
