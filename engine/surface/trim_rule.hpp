// Where the trim line should run, in plain numbers.
#pragma once

#include <optional>
#include <vector>

#include "engine/base/vec.hpp"

namespace archwright::surface {

/// A free control point: moves the trim line outward (up the wall, or wider) by `offset_mm` at its station,
/// and its neighbours smoothly with it. Station 0 is the back of the heel, 1 the distal end of that side.
struct TrimControl {
    double station = 0.5;
    bool medial = true;
    double offset_mm = 0.0;
};

/// First-ray cut-out: medial of its side the distal edge lies `length_mm` further back, so that the 1st ray
/// can come down. The corners of its side and the one at the medial border have `radius_mm`.
struct FirstRayCutout {
    double length_mm = 0.0;          ///< 0: none
    std::optional<double> width_mm;  ///< from the 1st head's border to the middle of the cut-out's side;
                                     ///< empty: to midway between the 1st and 2nd heads
    double radius_mm = 5.0;          ///< of its corners, in plan
};

/// Lateral flange: the lateral border is raised to `height_mm` between two stations, and comes back to the
/// rule smoothly within 0.15 beyond them.
struct LateralFlange {
    double height_mm = 0.0;        ///< above the lowest point of its section; 0: none
    double from = 0.4, to = 0.65;  ///< 0.4 to 0.85: clear of the heel cup and of the distal end
};

/// Scalloped lateral edge: a smooth bite, `depth_mm` inward along the surface at its middle.
struct LateralScallop {
    double depth_mm = 0.0;          ///< 0: none
    double length_mm = 50.0;        ///< along the axis, from nothing to nothing
    std::optional<double> station;  ///< of its middle; empty: at the 5th metatarsal base, else 0.62
};

/// The rule for the trim line. Design frame (+x to the toes, +y medial, +z up), mm. Heights at the heel are
/// cup depths, measured from the lowest point; further forward they stand above the lowest point of their own
/// section across the axis; between the two they are blended smoothly.
struct TrimRule {
    Vec3 heel_centre = Vec3::Zero();            ///< on the sole, middle of the heel's width
    Vec3 first_head = Vec3(185.0, 25.0, 0.0);   ///< 1st metatarsal head: the border point (or the plantar)
    Vec3 fifth_head = Vec3(160.0, -40.0, 0.0);  ///< 5th metatarsal head: the border point (or the plantar)
    double distal_first_mm = 8.0;               ///< distal edge this far behind the 1st head
    double distal_fifth_mm = 8.0;               ///< and behind the 5th
    double distal_bow_mm = 3.0;                 ///< forward bow of the distal edge at its middle
    double distal_height_mm = 3.0;              ///< height of both borders where they meet the distal edge
    double medial_flange_mm = 20.0;             ///< height at the arch (station 0.6)
    double lateral_border_mm = 9.0;             ///< height at midfoot (station 0.6)
    double cup_medial_mm = 14.0;                ///< at the heel centre's x
    double cup_posterior_mm = 14.0;             ///< on the axis, behind
    double cup_lateral_mm = 14.0;               ///< at the heel centre's x
    double heel_half_width_mm = 0.0;  ///< of the foot at the heel centre; 0: 0.36 of the heads' distance
    double width_allowance_mm = 0.0;  ///< + wider, - narrower at both borders near the distal edge
    double corner_radius_mm = 10.0;   ///< least radius of the distal corners
    FirstRayCutout first_ray_cutout;
    LateralFlange lateral_flange;
    LateralScallop lateral_scallop;
    std::vector<TrimControl> controls;
    /// Where the roof of the arch is higher than the rule, the line runs out under it to the border. false:
    /// it stops on the arch's inner flank, for casts that end too soon behind the border.
    bool out_under_roof = true;
    /// Height the cup depths are measured from: the lowest dressed point BEFORE any skive. Empty: the lowest
    /// point of the heel found on the surface itself.
    std::optional<double> cup_datum_z;
};

/// Station of the end of the heel's fan: 0 is the back of the heel, this the heel centre's x, 1 the distal
/// end.
inline constexpr double heel_station = 0.25;

/// Station at which the heights of the medial flange and the lateral border are asked.
inline constexpr double arch_station = 0.6;

/// Half the heel's width at the heel centre: as the rule says, else 0.36 of the heads' distance.
double heel_half_width(const TrimRule& rule);

/// The side of a first-ray cut-out in plan: from `from_y` medially the edge falls back, at `to_y` by the
/// whole length. Two arcs and, where the length asks for it, a straight piece at 72 degrees between them.
struct CutoutSide {
    double from_y = 0.0, to_y = 0.0;
    double back(double y) const;   ///< how far the edge lies back at y, mm
    double slope(double y) const;  ///< d back / d y

    double length = 0.0, radius = 0.0, turn = 0.0;  ///< turn: of each arc, radians
};
/// Nothing when the rule has no cut-out. Without a stated width its middle is 0.27 of the heads' breadth from
/// the 1st head's border.
std::optional<CutoutSide> cutout_side(const TrimRule& rule);

/// Station of the middle of the lateral scallop.
double scallop_station(const TrimRule& rule);

/// x of the distal edge at a given y: straight between the two distances behind the heads, with the bow, and
/// the first-ray cut-out. Beyond the heads it runs on along its tangents.
double distal_edge_x(const TrimRule& rule, double y);
/// d x / d y of the same.
double distal_edge_slope(const TrimRule& rule, double y);

/// Plan distance of the straight border line, from heel to head, from the axis at x.
double border_reach(const TrimRule& rule, double x, bool medial);

/// Least plan distance of the trim line from the axis (through heel centre and the middle of the heads) at x:
/// 0.8 of the way to the straight border line from heel to head. Keeps the line from climbing the inner flank
/// of a high arch, which can be as high as the rule and as steep as a wall.
double least_reach(const TrimRule& rule, double x, bool medial);
/// y of that axis.
double axis_y(const TrimRule& rule, double x);

/// Height of the rule at a station of a side, above the datum of `rule_datum`. C1 along the whole line.
double rule_height(const TrimRule& rule, double station, bool medial);

/// Which datum the height stands on: 0 = the section's lowest point, 1 = the heel's lowest (cup depth).
double cup_share(double station);

/// Station of a point of a side from its x (>= heel_station; below for x behind the heel centre).
double station_of_x(const TrimRule& rule, double x, bool medial);

/// Outward shift at a station from the controls, the width allowance and the lateral scallop: interpolates
/// the controls exactly by Wendland's C2 kernel of half-breadth 0.2.
class TrimShift {
  public:
    explicit TrimShift(const TrimRule& rule);
    double at(double station, bool medial) const;

  private:
    std::vector<double> place_, weight_;  ///< signed stations: + medial, - lateral
    double width_ = 0.0;
    double scallop_ = 0.0, scallop_at_ = 0.0, scallop_half_ = 1.0;  ///< depth mm; station, and half length
};

}  // namespace archwright::surface
