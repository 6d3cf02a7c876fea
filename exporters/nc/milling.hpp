// One job's devices milled: laid in a block, planned, written, read back, simulated, judged.
#pragma once

#include <filesystem>
#include <memory>

#include "engine/base/side.hpp"
#include "engine/mill/lay.hpp"
#include "engine/mill/plan.hpp"
#include "engine/mill/simulate.hpp"
#include "exporters/nc/program.hpp"

namespace archwright::exporters::nc {

/// What is asked for.
struct MillingSetting {
    workshop::Machine machine;
    workshop::Block block;
    workshop::Cutting cutting;
    mill::Cutter rough, finish;
    std::optional<mill::Cutter> detail;  ///< for what the finishing cutter leaves
    std::optional<mill::Cutter> drill;   ///< of the pin holes; none: they are made beforehand
    double pin_depth_mm = 10.0;
    mill::Flip flip = mill::Flip::about_x;
    bool pins = true;  ///< datum: pins on the axis of the flip; else the block's edges
    mill::TabSetting tabs;
    double scallop_mm = 0.02, stock_mm = 0.5, tilt_most_deg = 0.0, simulate_step_mm = 0.2;
    mill::Direction direction = mill::Direction::climb;
    bool one_way = false;
};

/// A device as it comes from the build: mesh in its own coordinates, outward.
struct MilledDevice {
    std::string name;  ///< case, revision
    Side side = Side::right;
    TriangleMesh mesh;
    std::string design{};  ///< fingerprint of the job's design (design::fingerprint); empty: not told
};

/// What a set-up's program was found to do.
struct ProvedSide {
    int side = 0;      ///< 0: foot side up; 1: turned over
    std::string text;  ///< the program
    std::size_t lines = 0;
    double floor_mm = 0.0, step_mm = 0.0;
    mill::Simulated simulated;        ///< of the text, read back
    std::vector<mill::Cutter> tools;  ///< by the program's numbers, from 1
    std::vector<std::string> cutters, speeds;
};

struct Milling {
    std::string pair;  ///< what ties both programs (pair_of): stands in their heads
    std::array<ProvedSide, 2> sides;
    mill::Nest nest;
    mill::Tilt tilt;
    double gouge_mm = 0.0;  ///< deepest along the normal, of all needles
    Vec3 gouge_where = Vec3::Zero();
    /// Most left over beyond what no place of the cutter reaches, square to the surface or, where the cutter
    /// must leave something, to its end there; tabs apart.
    double left_mm = 0.0;
    Vec3 left_where = Vec3::Zero();
    std::size_t needles = 0, tabs_apart = 0;
    double unreached_area_mm2 = 0.0;  ///< surface on which the cutters must leave more than 0.05 mm
    double unreached_most_mm = 0.0;   ///< the most of it, up to 1 mm along the normal
    Vec3 unreached_where = Vec3::Zero();
    double concave_mm = 0.0;  ///< least concave radius of the surface that looks up or down
    Vec3 concave_where = Vec3::Zero();
    double undercut_mm2 = 0.0;
    std::vector<std::string> stops;     ///< why the programs are not written; empty: they may be
    std::vector<std::string> warnings;  ///< what a person should know
};

/// Gouges up to this are the control's last digits and the paths' chords.
inline constexpr double gouge_limit_mm = 0.02;
/// Left over beyond the cusps and what cannot be reached.
inline constexpr double leftover_limit_mm = 0.05;

/// Faults as mill::lay and mill::plan_side; what the simulation finds against the programs stands in `stops`.
Outcome<Milling> mill_devices(const std::vector<MilledDevice>& devices, const MillingSetting& setting,
                              Progress* progress);

/// Places of a nest's surface with their outward normals, as needles in the frame of set-up 0; those within
/// reach of a tab's root are left out and counted. The last `on_tabs` stand on the tabs themselves: what
/// holds a device may not be cut either, but what is left beside it does no harm.
std::vector<mill::Needle> needles_of(const mill::Nest& nest, std::size_t& tabs_apart, std::size_t& on_tabs);
/// Carries needles from set-up 0 to set-up 1.
void turn_needles(std::vector<mill::Needle>& needles, const mill::Nest& nest);

/// What the machine can do with these cutters in its holder (tool numbers from 1): its travel in z is that of
/// the longest one's tip, `above_block_mm` of it above the block.
mill::MachineLimits limits_of(const workshop::Machine& machine, const std::vector<mill::Cutter>& cutters);

}  // namespace archwright::exporters::nc
