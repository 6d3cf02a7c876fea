// What the program proposes and what a person stated.
#pragma once

#include <optional>
#include <string>

#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/base/vec.hpp"

namespace archwright::scan {

/// A value found from the shape alone, with its evidence. `clear` is true only when the evidence agrees by
/// the margin named in engine/base/tolerances.hpp; a proposal that is not clear is never used silently.
template <class T>
struct Proposal {
    T value{};
    double confidence = 0.0;  ///< 0..1
    bool clear = false;
    std::string reason;  ///< one sentence with figures
};

/// What a person stated. It wins over every proposal; a disagreement is a check.
struct Stated {
    std::optional<LengthUnit> unit;
    std::optional<Side> side;
    std::optional<Vec3> up;    ///< file coordinates, any length
    std::optional<Vec3> toes;  ///< heel to toes, file coordinates, any length
    std::optional<bool> inside_out;
};

}  // namespace archwright::scan
