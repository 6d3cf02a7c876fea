// Where letters lie on the underside of a shell, and how much room they have there.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/lettering/layout.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::lettering {

/// Lays the layout's flat mm on the underside's (u,v): true to length and angle at the layout's middle, and
/// nearly so around it, as (u,v) are (the carpet is flattened with little stretch).
struct Chart {
    Vec2 origin = Vec2::Zero();  ///< (u,v) of the layout's (0, 0)
    Eigen::Matrix2d turn = Eigen::Matrix2d::Identity();

    Vec2 uv(const Vec2& flat) const { return origin + turn * flat; }
    Vec2 flat(const Vec2& uv) const { return turn.inverse() * (uv - origin); }
};

/// The chart with its middle at `uv`. The lines run along the design frame's x, their end turned towards +y
/// by `turn_deg`; their top is where a reader who looks at the outside of the finished device has it:
/// `mirrored` says that the design is the mirror image of that device (a left foot).
Chart chart_at(const surface::SplineSurface& underside, const Vec2& uv, double turn_deg, bool mirrored);

/// Room of a layout at its place.
struct Room {
    /// Least distance in space between a stroke's border and the trim line's, an aperture's or a post's edge
    /// on the underside, mm; negative where a letter leaves the underside, or crosses one of them.
    double clearance_mm = 0.0;
    std::string from;              ///< what is nearest: "the trim line", "post \"...\"", ...
    char letter = ' ';             ///< the letter nearest to it
    Vec3 where = Vec3::Zero();     ///< of that letter, design frame
    double least_cosine = 1.0;     ///< least normal . z of the underside at a letter
    Vec3 steepest = Vec3::Zero();  ///< where
};
Room room_at(const surface::Shell& shell, const surface::ShellMesh& mesh, const Chart& chart,
             const Layout& layout, const Style& style);

/// What of a place is given, in plan (design frame, mm).
struct Wanted {
    std::optional<double> x, y;
    double turn_deg = 0.0;
    bool mirrored = false;
};

/// A place over (x, y) of the plan; nothing where the underside has none there that faces down.
std::optional<Chart> chart_over(const surface::SplineSurface& underside, const Vec2& plan,
                                const Wanted& wanted);

/// The place with the most room for the layout's box, up to `enough_mm`, and the least bend under it (20
/// degrees for a millimetre). Searched over the plan in steps of 3 mm, along what `wanted` leaves open.
/// Nothing where the box nowhere keeps tolerance::lettering_rim_mm away from every edge, on an underside no
/// steeper than tolerance::lettering_steep_cosine.
std::optional<Chart> find_place(const surface::Shell& shell, const Layout& layout, const Wanted& wanted,
                                double enough_mm = 4.0);

}  // namespace archwright::lettering
