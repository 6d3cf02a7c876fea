// A block in a mill: what is to stay in it, where it stands, which way it lies.
#pragma once

#include "engine/base/progress.hpp"
#include "engine/mill/areas.hpp"
#include "engine/mill/path.hpp"

namespace archwright::mill {

/// A bridge that holds a device in its block, cut off by hand afterwards. Block frame (origin in the block's
/// middle).
struct Tab {
    Vec3 root = Vec3::Zero();      ///< on the rim, half the rim's way up
    Vec2 outward = Vec2::UnitY();  ///< unit
    double width_mm = 4.0, thickness_mm = 1.5;
    int device = 0;  ///< which of the nested ones
};

/// What the tabs are asked to be.
struct TabSetting {
    double width_mm = 4.0, thickness_mm = 1.5;
    /// Share of each device's length from its heel end, one tab on either border at each.
    std::vector<double> at{0.35, 0.68};
    /// Heel and distal end are left alone (at within 0.2..0.85) unless this says otherwise: the foot is
    /// there.
    bool anywhere = false;
};

/// How the block is turned between its two set-ups.
enum class Flip { about_x, about_y };

/// Devices in one block, block frame: origin in the block's middle, x along it, foot sides up.
struct Nest {
    std::vector<TriangleMesh> devices;
    Vec3 block = Vec3::Zero();  ///< its size, mm
    std::vector<Tab> tabs;
    Flip flip = Flip::about_x;
    double channel_mm = 13.0;  ///< clear breadth round each device
    Area outline;              ///< shadow of the devices, plan
    /// Holes for pins on the line the block is turned about, drilled from the face that is up in set-up 0 and
    /// lies on the table in set-up 1. Block frame.
    std::vector<Vec2> pins;

    /// Everything that must stay, devices and tabs, as it lies in a set-up (0: foot side up, 1: turned over).
    TriangleMesh keep(int side) const;
    /// A place of the block as it lies in a set-up, and a direction.
    Vec3 in_set_up(int side, const Vec3& p) const;
    Vec3 turned(int side, const Vec3& d) const;
    Area outline_in(int side) const;
    /// Least and greatest z of the devices in a set-up.
    double low(int side) const;
    double high(int side) const;
};

/// What a nest is made by.
struct NestSetting {
    Vec3 block = Vec3(300, 130, 40);
    Flip flip = Flip::about_x;
    double channel_mm = 13.0;
    double margin_mm = 6.0;  ///< of block left standing round the channels, for clamps and pins
    double skin_mm = 2.0;    ///< of block above and below a device at least
    double gap_mm = 4.0;     ///< of block between the channels of a nested pair
    TabSetting tabs;
};

/// Puts two pins for holes of this diameter on the axis of the nest's flip, between the channels and the
/// block's ends, at whole millimetres; the one on the negative side stands nearer the middle, so that a block
/// that is turned any other way does not go on. Fault (usage) where less than 2 mm of block would stay on
/// either side of a hole, or the two could not stand unequally.
Outcome<Done> place_pins(Nest& nest, double diameter_mm);

/// Lays one device, or a pair side by side, in the middle of a block; tabs are put on. The meshes are turned
/// as they are to lie. Faults (usage): the block is too small (saying by how much), a tab has no place.
Outcome<Nest> lay(std::vector<TriangleMesh> devices, const NestSetting& setting);

}  // namespace archwright::mill
