// Two devices compared, or one with its cast: their surfaces, and the figures that differ.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/compare/surface.hpp"

namespace archwright::compare {

/// One measured figure of two devices.
struct Figure {
    std::string key;                      ///< "mass", "trim.flange", "check.wall.least", stable
    std::string title, unit;              ///< the trade's words; "mm", "g", "degrees", ...
    std::optional<double> before, after;  ///< of a shape that has it
    std::optional<double> difference() const {
        return before && after ? std::optional(*after - *before) : std::nullopt;
    }
};

/// Both sides of one shell against another's, in the design frame: the ground, the heel centre and the axis
/// of the foot lie on one another, and a left foot is seen as a right one (engine/foot/frame.hpp). So a pair
/// is compared as mirror images about its sagittal planes.
struct Shells {
    Difference foot_side, underside;
};
/// Both have a shell. Fault (cancelled) alone.
Outcome<Shells> shells(const build::Device& now, const build::Device& other, Progress& progress);

/// The foot side against the cast it was made from: positive where material was added to the cast's shape
/// (into the foot), negative where the shell keeps off it: what balance's platform, dressing, fit, reliefs
/// and pads moved.
Outcome<Difference> against_cast(const build::Device& device, Progress& progress);

/// One cast against another's, positive where the first is larger.
Outcome<Difference> casts(const build::Received& now, const build::Received& other, Progress& progress);

/// Figures of both that differ by more than rounding: measurements of the cast, arch, trim line, each relief
/// and pad, mass, volume, and of every check that has a figure.
std::vector<Figure> figures_that_differ(const build::Device& before, const build::Device& after);

}  // namespace archwright::compare
