// What a laboratory's mill has: machines, cutters, blocks, and how its materials are cut. Read from the
// assets; every figure of cutting carries its source.
#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "engine/design/asset_files.hpp"
#include "engine/design/material.hpp"
#include "engine/mill/plan.hpp"

namespace archwright::workshop {

/// A figure with where it comes from (design::Evidence by its letter).
struct Figure {
    double value = 0.0;
    std::string source;
    std::string mark = "M";
};

/// How a machine wants its programs.
struct Post {
    bool arcs = false;  ///< waterlines, contours and leads by G2 and G3, centres I J from the arc's beginning
    bool inch = false;  ///< words in inches (G20); else mm (G21)
    int decimals = 3;   ///< of coordinates
    bool numbers = true;
    int number_step = 10;
    int line_length = 120;                   ///< most characters of a line, comments too
    std::string retract = "G53 G0 Z0";       ///< to where cutters are changed; empty: nothing
    std::string tool_change = "T{tool} M6";  ///< {tool}: its number; ";" begins a new line
    std::string tool_length =
        "G43 H{tool}";  ///< before the first move in z; empty: the machine does it itself
};

struct Machine {
    std::string key, name;
    double travel_x_mm = 0, travel_y_mm = 0, travel_z_mm = 0;
    double above_block_mm = 0;  ///< of the travel in z, how much lies above the block's upper face
    double rapid_mm_min = 0, feed_most_mm_min = 0, acceleration_mm_s2 = 0;
    double turns_least = 0, turns_most = 0;
    Post post;
    std::string note;
};

struct CutterEntry {
    std::string key;
    mill::Cutter cutter;
    std::string note;
};

struct Block {
    std::string key, name, material;  ///< material: key of design::Materials
    double length_mm = 0, breadth_mm = 0, height_mm = 0;
    std::string note;
};

/// How one material is cut.
struct Cutting {
    std::string key;  ///< the material's
    Figure speed_m_min;
    Figure chip_6_mm, chip_12_mm;  ///< a flute and turn, of cutters of 6.35 and 12.7 mm; linear between
    Figure plunge_share;           ///< of the feed, straight down and on ramps
    Figure level_share;            ///< depth of a roughing level over the cutter's diameter
    Figure step_share;             ///< breadth of a roughing pass over it
    Figure drill_speed_m_min, drill_chip_mm;  ///< of drills: at the rim; a turn
    bool melts = false;                       ///< heat warning in headers and reports
    std::string note;
};

struct Workshop {
    std::map<std::string, Machine> machines;
    std::map<std::string, CutterEntry> cutters;
    std::map<std::string, Block> blocks;
    std::map<std::string, Cutting> cuttings;
};

/// Reads machines, cutters, blocks and cutting of an assets folder. A faulty file is a fault naming file and
/// key.
Outcome<Workshop> load_workshop(const std::filesystem::path& assets);

/// Key of the block of that material that has least in it; empty where there is none.
std::string smallest_block(const Workshop& workshop, const std::string& material);

/// The entry of that key. Fault (usage) names the nearest one and lists them.
template <class T>
Outcome<T> find(const std::map<std::string, T>& all, const std::string& key, const std::string& what) {
    return design::find_entry(all, "mill", what, key);
}

/// Turns, feed and plunge of a cutter in a material on a machine: n = 1000 v / (pi d), feed = n z f, each
/// within what the machine can; drills by figures of their own.
mill::Speeds speeds(const Cutting& cutting, const mill::Cutter& cutter, const Machine& machine);
/// What is to be told where the machine's least turns make a cutter faster at its rim than the table asks;
/// empty elsewhere.
std::string too_fast(const Cutting& cutting, const mill::Cutter& cutter, const Machine& machine);

}  // namespace archwright::workshop
