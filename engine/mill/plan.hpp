// Tool paths of one set-up: roughing in levels, parallel lines, waterlines, contours.
#pragma once

#include <optional>

#include "engine/mill/set_up.hpp"

namespace archwright::mill {

enum class Direction { climb, conventional };

/// Speeds of one cutter in one material.
struct Speeds {
    double turns = 12000.0;  ///< a minute
    double feed = 2000.0;    ///< mm/min
    double plunge = 600.0;   ///< mm/min, straight down or on a ramp
};

struct PlanSetting {
    Cutter rough, finish;
    Speeds rough_speeds, finish_speeds;
    std::optional<Cutter> detail;  ///< a finer ball or bull nose, for what the finishing one leaves (letters)
    Speeds detail_speeds;
    std::optional<Cutter> drill;  ///< for the nest's pins, in set-up 0, after all else
    Speeds drill_speeds;
    double pin_depth_mm = 10.0;
    double peck_mm = 3.0;       ///< drilled at a time
    double level_mm = 4.0;      ///< depth of one roughing level
    double step_share = 0.45;   ///< breadth of one roughing pass over the cutter's diameter
    double stock_mm = 0.5;      ///< roughing leaves it
    double scallop_mm = 0.02;   ///< height of the cusps that parallel lines leave
    double ramp_deg = 3.0;      ///< of entries
    double clearance_mm = 5.0;  ///< rapids go this far above the block
    double steep_deg = 45.0;    ///< waterlines beyond
    double chord_mm = 0.004;    ///< paths run within it of where the cutter touches
    double arcs_within_mm =
        0.0;                  ///< waterlines, contours and their leads on arcs that near; 0: straight moves
    double overlap_mm = 0.5;  ///< how far the channel of side 0 goes below the devices
    Direction direction = Direction::climb;
    bool one_way = false;  ///< parallel lines all run so that they cut in `direction`; else to and fro
};

struct SidePlan {
    int side = 0;
    std::vector<Operation> operations;
    double floor_mm = 0.0;    ///< lowest tip
    double step_mm = 0.0;     ///< between parallel lines, in plan
    double longest_mm = 0.0;  ///< deepest place of a tip below the block's face
};

/// Plans one side. Every place of the tip is let down on the mesh (DropGrid), and lines between places follow
/// it within `chord_mm`: nothing is cut into by more. Faults (usage): a cutter too short for the depth, a
/// channel too narrow for it, figures that cannot be; cancelled.
Outcome<SidePlan> plan_side(const Nest& nest, int side, const PlanSetting& setting, Progress* progress);

/// Breadth of the channel these cutters need.
double channel_for(const PlanSetting& setting);

/// Lowest place of a tip in this set-up.
double floor_of(const Nest& nest, int side, const PlanSetting& setting);

}  // namespace archwright::mill
