// What was found against what was drawn.
#pragma once

#include <vector>

#include "engine/mark/ink_mark.hpp"
#include "tests/mark/inked_foot.hpp"

namespace archwright::tests {

struct Score {
    int drawn = 0, found = 0, false_marks = 0;
    std::vector<double>
        line_mm;  ///< of each line and ring found: mean distance of its points to the drawn one
    std::vector<double> spot_mm;  ///< of each spot found: its centre to the drawn one
    std::vector<double> covered;  ///< of each line found: share of the drawn one near it
};

/// A line or ring counts as found when 80 % of it lies within 2.5 mm of found ones; a spot when a spot or an
/// area lies within its radius and 1.5 mm. A mark none of whose points is near anything drawn is false.
Score score(const std::vector<mark::InkMark>& found, const std::vector<Drawn>& drawn);

}  // namespace archwright::tests
