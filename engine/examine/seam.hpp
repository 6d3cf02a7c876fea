// The overlap seam: a step that runs across the whole sole.
#pragma once

#include <optional>

#include "engine/examine/anatomy.hpp"
#include "engine/examine/oriented.hpp"
#include "engine/examine/relief.hpp"

namespace archwright::examine {

struct SeamLine {
    std::vector<Vec2> nodes;  ///< (i, j), lateral to medial
    double answer = 0.0;      ///< the step filter's 25th percentile along it, mm
    double height = 0.0;      ///< mm, median; positive: the side of the toes stands further from the foot
    double height_sd = 0.0;
    double covered = 0.0;  ///< share of the breadth where the step shows
};

/// The best way from the lateral to the medial border along the step filter's answer (dynamic programming,
/// R. Bellman 1957), between 0.15 and 0.68 of the foot's length, and its height by parabolas from both sides.
/// Nothing when the answer along it is weaker than `least_mm`.
std::optional<SeamLine> find_seam(const Relief& relief, const Anatomy& anatomy, const Response& steps,
                                  double least_mm);

}  // namespace archwright::examine
