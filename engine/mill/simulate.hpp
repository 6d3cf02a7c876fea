// A program of moves cut from a block: what is left, what was hit, how long it takes.
#pragma once

#include "engine/base/progress.hpp"
#include "engine/mill/set_up.hpp"

namespace archwright::mill {

/// What the machine can do, as far as moves are concerned.
struct MachineLimits {
    Vec3 travel_low = Vec3(-1e9, -1e9, -1e9);  ///< of the tip in the frame of the set-up
    Vec3 travel_high = Vec3(1e9, 1e9, 1e9);
    /// The cutter whose tip these limits are of, by how far it stands out of its holder: one that is shorter
    /// by some mm comes that much less deep, and goes up so much higher. 0: the same for every cutter.
    double longest_mm = 0.0;
    double rapid_mm_min = 5000.0;
    double feed_most_mm_min = 5000.0;
    double acceleration_mm_s2 = 300.0;
};

/// What went wrong in a program, worst first within a kind.
struct Trouble {
    enum class Kind {
        rapid_in_stock,
        holder_in_stock,
        shank_in_stock,
        outside_travel,
        into_the_bed,
        drill_sideways
    };
    Kind kind = Kind::rapid_in_stock;
    std::size_t operation = 0, move = 0;  ///< the first such move
    std::size_t count = 0;                ///< of moves
    double depth_mm = 0.0;                ///< of the worst
    Vec3 where = Vec3::Zero();            ///< end of the first such move
};
const char* words(Trouble::Kind kind);

/// The state of a block's two faces and of the needles on what is to stay.
struct Simulated {
    std::vector<Trouble> troubles;
    double seconds = 0.0;
    double cut_mm3 = 0.0;                  ///< off the upper face's columns
    double feed_mm = 0.0, rapid_mm = 0.0;  ///< ways
    std::size_t moves = 0;
    HeightGrid top;  ///< upper face after it; no_height where a column is cut through to the lower face
};

/// Cuts the moves of a set-up's program (arcs as chords within 0.0005 mm of them) from the whole block,
/// standing upper face z = 0, on columns of `step` with exact hits (a tri-dexel's z family; a three-axis cut
/// never leaves two pieces in one column), and from needles along the normals of the surface, which take the
/// place of its x and y families: what they tell is measured where the surface is, along its own normal.
/// Needles are in the frame of the set-up and keep what earlier set-ups did to them.
/// `below`: the block's lower face, of the same columns (lower_face); none: the whole block stands. A shank,
/// thicker than its cutter or not, may come against nothing that stands above the flutes.
/// Faults: grid_over's; another block's lower face (internal); cancelled, at once also while moves are cut.
Outcome<Simulated> simulate(const std::vector<Operation>& operations, const Vec3& block, double step,
                            const MachineLimits& machine, std::vector<Needle>& needles, Progress* progress,
                            const HeightGrid* below = nullptr);

/// What set-up 0 left of the block's columns (its Simulated::top), as the lower face of set-up 1: over each
/// column the least height at which something may stand. Columns need not lie over one another: of those
/// beside it the one that reaches lowest counts.
HeightGrid lower_face(const HeightGrid& top_before, const Nest& nest);

/// Seconds a program takes where every move starts and ends as fast as its bend to the next one and
/// the acceleration let it (bends are passed within 0.01 mm; round an arc no faster than the acceleration
/// bends the way).
double duration(const std::vector<Operation>& operations, const MachineLimits& machine);

}  // namespace archwright::mill
