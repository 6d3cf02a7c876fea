// A statement against the clear evidence of the shape: what it takes to be believed all the same.
#pragma once

#include <string>

#include "engine/base/tolerances.hpp"

namespace archwright::build {

/// What stands in Statement::despite once a person has typed a side or a unit again after being told what the
/// shape says: the shape's word and the cast it was said of. It holds for that cast and that word alone.
inline std::string against(const std::string& cast_sha256, const std::string& shape_says) {
    constexpr std::size_t enough = 16;  // digits that tell casts apart
    return "cast " + cast_sha256.substr(0, enough) + " looks like " + shape_says;
}

/// Whether a foot of this length (mm) could be anybody's: outside it no typing makes a unit believable.
inline bool possible_length(double foot_length_mm) {
    return foot_length_mm >= tolerance::shortest_foot_mm && foot_length_mm <= tolerance::longest_foot_mm;
}

}  // namespace archwright::build
