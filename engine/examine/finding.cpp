#include "engine/examine/finding.hpp"

#include <cmath>
#include <utility>

namespace archwright::examine {

namespace {

double weight(const Finding& f) {
    constexpr double first = 100.0;  // what has no height; no fault is so high
    return f.advice == Finding::Advice::take_again ? first : f.confidence * std::abs(f.depth_mm);
}

}  // namespace

bool worse(const Finding& a, const Finding& b) {
    return std::pair(a.certainty, -weight(a)) < std::pair(b.certainty, -weight(b));
}

}  // namespace archwright::examine
