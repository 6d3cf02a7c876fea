// Rotating cutters, seen along their axis: what they sweep, and what holds them.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/outcome.hpp"

namespace archwright::mill {

/// A cutter of three-axis work. Its end is a torus with a flat in its middle (ball, bull and flat nose are
/// one family: corner radius = radius, between, 0), a cylinder above it. The tip is the lowest point on its
/// axis. All lengths mm.
struct Cutter {
    std::string name;
    double diameter = 6.0;
    double corner_radius = 3.0;  ///< 0: flat nose; half the diameter: ball nose
    double flute_length = 22.0;  ///< from the tip: above it nothing cuts
    double shank_diameter = 6.0;
    double stick_out = 40.0;  ///< from the tip to the face of the holder
    double holder_diameter = 30.0;
    int flutes = 2;
    double point_deg =
        0.0;  ///< of a drill: the whole angle of its point; 0: no drill. It only goes straight down

    bool drill() const { return point_deg > 0.0; }
    double radius() const { return 0.5 * diameter; }
    /// Radius of the flat in the middle of its end.
    double flat_radius() const { return radius() - corner_radius; }
    bool ball() const { return corner_radius == radius(); }
    bool flat() const { return corner_radius == 0.0; }

    /// How far above the tip the cutter's end lies at this distance from its axis, 0..radius().
    double rise(double from_axis) const {
        if (drill()) return from_axis / std::tan(0.5 * point_deg * 0.017453292519943295);
        const double beyond = from_axis - flat_radius();
        if (beyond <= 0.0 || flat()) return 0.0;
        return corner_radius - std::sqrt(std::max(0.0, (corner_radius - beyond) * (corner_radius + beyond)));
    }
};

/// "ball 6 mm", "flat 12 mm", "bull 10 mm r 2", "drill 6 mm, point 118 degrees".
std::string title(const Cutter& cutter);

/// The cutter that leaves `stock_mm` on everything this one would cut: its shape grown by as much all round
/// (shrunk when negative).
/// Its tip is that much lower than this one's in the same place: this one's tip is the grown one's +
/// stock_mm.
Cutter grown(const Cutter& cutter, double stock_mm);

/// Fault (input) naming the figure that cannot be.
Outcome<Done> check(const Cutter& cutter);

/// Height of the cusp between two parallel passes of a round end of radius r on a plane, `step` apart along
/// the surface: h = r - sqrt(r^2 - step^2 / 4). mm.
inline double scallop(double r, double step) {
    return step >= 2.0 * r ? r : r - std::sqrt(r * r - 0.25 * step * step);
}
/// The inverse: s = 2 sqrt(2 r h - h^2). mm.
inline double step_over(double r, double height) {
    return 2.0 * std::sqrt(std::max(0.0, height * (2.0 * r - height)));
}

}  // namespace archwright::mill
