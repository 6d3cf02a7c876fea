// What a person says to a finding of the examination, on record beside the cast.
#pragma once

#include "engine/design/job.hpp"

namespace archwright::design {

/// A finding moves a little when a cast is repaired or examined by a newer version (our choice): an answer of
/// the same kind within this of a place is about it, mm.
inline constexpr double answer_reach_mm = 6.0;

/// Takes back every answer about this kind of finding within `reach_mm` of the place (the cast file's own
/// coordinates); how many.
std::size_t forget_answers(FootDesign& foot, examine::Finding::Kind what, const Vec3& place, double reach_mm);

/// Puts an answer on record; older ones about the same give way.
void put_answer(FootDesign& foot, Answer answer, double reach_mm);

}  // namespace archwright::design
