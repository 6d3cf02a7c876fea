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
    std::vector<TrimControl> controls;
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

/// x of the distal edge at a given y: straight between the two distances behind the heads, with the bow.
/// Beyond the heads it runs on along its tangents.
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

/// Outward shift at a station from the controls and the width allowance: interpolates the controls exactly by
/// Wendland's C2 kernel of half-breadth 0.2.
class TrimShift {
  public:
    explicit TrimShift(const TrimRule& rule);
    double at(double station, bool medial) const;

  private:
    std::vector<double> place_, weight_;  ///< signed stations: + medial, - lateral
    double width_ = 0.0;
};

}  // namespace archwright::surface
