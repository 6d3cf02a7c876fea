// A person states what a cast is, with the cast in hand: its shape's evidence goes on record.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/build/cast.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/foot/stand.hpp"

namespace archwright::build {

/// Puts the words on record for the foot that stands under `side`, with what the shape says to them; what was
/// suggested of landmarks is suggested again. Against the shape a value has to be typed twice: the first time
/// tells (CastAnswer::contradictions), the second is believed (Statement::despite). Faults: no code, the
/// other side is taken (usage); a cast that cannot stand where nothing contradicts; cancelled. The job may be
/// half changed on a fault: the caller works on a copy.
Outcome<design::CastAnswer> state_cast(design::Job& job, Side side, const design::CastWords& words,
                                       const CastFile& cast, Progress& progress);

/// Landmarks of the standing foot in the scan's own coordinates, as a job holds them.
foot::Landmarks scan_landmarks(const foot::Standing& standing);

}  // namespace archwright::build
