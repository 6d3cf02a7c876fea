// What is cut into the foot side of a shell (reliefs) and raised on it (pads): one entry of the ordered list.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::feature {

/// Width and depth at one place along a groove: 0 at its first point, 1 at its last.
struct GrooveStation {
    double along = 0.0;
    double width_mm = 10.0, depth_mm = 2.0;

    bool operator==(const GrooveStation&) const = default;
};

/// Made as a body of its own instead of one solid with the shell; which one it is, its kind says: a cavity is
/// the seat of a plug, a pad, dome or bar is stuck on.
struct OwnPart {
    std::string material;       ///< key in assets/materials; empty: no part of its own
    double clearance_mm = 0.3;  ///< of a plug, between its side and the seat's
    double proud_mm = 0.0;      ///< of a plug: its top above the undisturbed foot side, over the seat's floor
    double glue_mm = 0.0;       ///< gap between the part and the shell it is stuck to, for the glue

    bool asked() const { return !material.empty(); }
    bool operator==(const OwnPart&) const = default;
};

/// One relief or pad. Lengths in mm along the surface, heights and depths along the dressed foot side's
/// normal.
struct Feature {
    enum class Kind {
        groove,           ///< relief along a line: flat bottom, flanks, fades at its ends
        cavity,           ///< relief under a spot: an ellipse, or a drawn closed curve
        pad,              ///< raised: an ellipse, or a drawn closed curve, with a flat top
        metatarsal_dome,  ///< raised behind the heads, placed by its leading edge
        metatarsal_bar,   ///< raised across behind the heads, placed by its leading edge
        aperture,         ///< a hole through the shell, with a rim: an ellipse, or a drawn closed curve
    };
    /// What the underside does.
    enum class Underside {
        follows,  ///< it follows the foot side: the wall is kept
        stays,    ///< it stays: a pad thickens the wall, a relief thins it down to `least_wall_mm`
    };

    std::string name;  ///< unique within the foot
    Kind kind = Kind::cavity;
    bool on = true;
    /// Where it is: the name of a mark or of a landmark; else `points`; else, for dome and bar, the heads.
    std::string anchor;
    std::vector<Vec2> points;  ///< plan: one for a spot, two or more along a groove, three or more of a curve
    double forward_mm = 0.0, medial_mm = 0.0;  ///< moves it from there, in plan
    double width_mm = 15.0;                    ///< across; of flanked shapes at half height
    double length_mm = 15.0;                   ///< along; of flanked shapes at half height
    double turn_deg = 0.0;                     ///< of an ellipse; positive: its front end turns to medial
    double depth_mm = 2.0;                     ///< of a relief
    double height_mm = 3.0;                    ///< of a pad
    double flank_mm = 5.0;                     ///< breadth of the flank, half of it on each side of the edge
    double fade_start_mm = 8.0, fade_end_mm = 8.0;  ///< of a groove: over which its depth comes and goes
    std::vector<GrooveStation> stations;            ///< replace width and depth of a groove along its line
    double behind_mm = 5.0;  ///< of dome and bar: leading edge behind the line of the heads; < 0: in front
    Underside underside = Underside::follows;
    std::optional<double> least_wall_mm;  ///< of a relief that thins: empty: the material's least wall
    OwnPart part;

    static bool is_relief(Kind kind) { return kind == Kind::groove || kind == Kind::cavity; }
    bool relief() const { return is_relief(kind); }
    bool raised() const { return !relief() && kind != Kind::aperture; }
    /// A cavity that a plug fills: the shell has the cavity.
    bool seat() const { return kind == Kind::cavity && part.asked(); }
    /// A pad, dome or bar that is stuck on: the shell is as if it were not there.
    bool stuck_on() const { return raised() && part.asked(); }
    bool operator==(const Feature&) const = default;
};

}  // namespace archwright::feature
