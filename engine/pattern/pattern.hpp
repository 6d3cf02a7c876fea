// 1:1 outlines of what is cut from sheet and goes with a shell: covers, underlays, extensions.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/build/device.hpp"
#include "engine/design/job.hpp"
#include "engine/pattern/region.hpp"

namespace archwright::pattern {

/// A mark that is drawn, not cut.
struct Spot {
    std::string word;  ///< "heel centre", "1st head", ...
    Vec2 at;
};

/// One part of one device. Design frame in plan (+x to the toes, +y medial, mm) as it lies flat, foot side
/// up.
struct Pattern {
    std::string case_code, revision;
    std::string date;  ///< of the revision, or empty
    Side side = Side::right;
    design::Cover cover;  ///< what was asked
    Ring cut;             ///< counter-clockwise
    Ring shell_edge;      ///< the shell's trim line, laid flat
    Ring axis;  ///< the heel-toe axis, laid flat: an open line from behind the heel to beyond the toes
    std::vector<Spot> spots;                       ///< heel centre and metatarsal heads
    double stretch_low = 1.0, stretch_high = 1.0;  ///< of the shell's foot side over the flat
    double area_mm2 = 0.0, perimeter_mm = 0.0;
};

/// All patterns of a device, and what was found about them.
struct PatternSet {
    std::vector<Pattern> patterns;  ///< in the order's order
    std::vector<Check> checks;      ///< "pattern.stretch", "pattern.join", "pattern.room"; never stops
};

/// Draws every cover of the foot's order. The part on the shell is the foot side inside the trim line laid
/// flat (LaidFlat); in front of it the foot's plan (in_front); joined, then moved by the margin. An extension
/// is what of that lies in front of the distal edge less the overlap. Faults (stage "pattern") name the
/// entry: as LaidFlat::of and in_front; a free outline that crosses itself (usage); a margin that leaves
/// nothing.
Outcome<PatternSet> draw_patterns(const build::Device& device, const design::FootDesign& foot,
                                  const std::string& revision_date);

/// The edge of a cover without a drawn outline as one that is drawn: few points of the plan, whose pattern is
/// the cover's own within some tenths of a millimetre. Faults: those of draw_patterns for it; usage where a
/// place of its edge has none in plan.
Outcome<std::vector<Vec2>> edge_in_plan(const build::Device& device, const design::FootDesign& foot,
                                        const design::Cover& cover, std::size_t most_points);

/// As it lies on a table, foot side up, toes away from the eye (x to the right, y up, mm): the mirror out
/// (foot::to_export), then a quarter turn.
Ring as_seen(const Ring& ring, Side side);
Vec2 as_seen(const Vec2& point, Side side);

}  // namespace archwright::pattern
