// Paths of a cutter's tip, and the operations they make up. Frame of a set-up: x and y from the middle of the
// block, z = 0 on its upper face, cutter from +z. mm, mm/min, turns a minute.
#pragma once

#include <string>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/mill/cutter.hpp"

namespace archwright::mill {

/// A piece of cutting: the tip follows these points, one straight line after the other.
struct Cut {
    std::vector<Vec3> points;
    bool closed = false;  ///< the last point is the first again
};

/// One move from where the last one ended.
struct Move {
    Vec3 to = Vec3::Zero();
    bool rapid = false;
    double feed = 0.0;  ///< without meaning for a rapid
    int turn =
        0;  ///< 0: straight; 1: on an arc about `centre`, counter-clockwise seen from +z; -1: clockwise
    Vec2 centre = Vec2::Zero();  ///< of the arc, in plan; z changes evenly along it
};

/// What one cutter does without being changed.
struct Operation {
    std::string name;  ///< "roughing", ...
    Cutter cutter;
    double turns = 0.0;
    std::vector<Move> moves;  ///< the first one goes to a place on the clearance plane
};

}  // namespace archwright::mill
