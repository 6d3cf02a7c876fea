// Measurements of a standing foot, each with its uncertainty and definition.
#pragma once

#include <string>
#include <vector>

#include "engine/foot/stand.hpp"

namespace archwright::foot {

struct Measurement {
    std::string id;            ///< stable key, "foot_length", "forefoot_to_rearfoot", ...
    std::string title;         ///< the trade's words
    double value = 0.0;        ///< in `unit`
    double uncertainty = 0.0;  ///< 1.96 sd, same unit, first-order propagation of the landmarks' own
    std::string unit;          ///< "mm", "degrees", ""
    std::string definition;
    std::string source;  ///< which landmarks, set or suggested; or why it is an estimate
};

/// All measurements the landmarks allow; one that needs an absent landmark is left out.
std::vector<Measurement> measure(const Standing& standing);

/// The measurement with this id, or nullptr.
const Measurement* find(const std::vector<Measurement>& measurements, const std::string& id);

}  // namespace archwright::foot
