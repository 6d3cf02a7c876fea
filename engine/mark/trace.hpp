// Ink becomes marks: regions of it, their centre lines, spots, and the areas they enclose.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mark/ground.hpp"
#include "engine/mark/ink_mark.hpp"

namespace archwright::mark {

/// A mark with kind, points, contrast, breadth, length and area; without guess, confidence and sentence.
struct Traced {
    InkMark mark;
    double strength = 0.0;   ///< mean along its ink, standard deviations of plaster
    double beside = 0.0;     ///< mean strength just outside its ink over that in it: 0 sharp, 1 a shade
    double to_rim_mm = 0.0;  ///< its nearest point to the cast's rim
};
/// Every region of ink becomes areas (what it encloses; a broad patch by its own outline), lines along the
/// longest ways through it, or a spot. Fault: cancelled.
Outcome<std::vector<Traced>> trace(const Skin& skin, const InkField& ink, Progress* progress);

}  // namespace archwright::mark
