// What only a person may do to a job: state a side or a unit, sign a check, approve a revision.
#pragma once

#include <string>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/design/job.hpp"

namespace archwright::design {

/// A person states the side of the foot that stands under `key`. When it is the other one, the foot moves to
/// the other key; that key must be free. The evidence shown stays on record.
Outcome<Done> state_side(Job& job, Side key, Side stated, const std::string& by);

/// A person states the unit of the cast file.
Outcome<Done> state_unit(Job& job, Side key, LengthUnit stated, const std::string& by);

/// A person signs one check. Refused: checks that may never be signed (`never_signed`), an empty reason, a
/// code that is no code, a second person who is the first. An older sign-off of the same check is replaced.
/// Bound to the design as it stands now.
Outcome<Done> sign(Job& job, Side key, const std::string& check, const std::string& by,
                   const std::string& reason, const std::string& second = "");

/// A person approves the newest revision as it stands now. `date` is YYYY-MM-DD.
Outcome<Done> approve(Job& job, Side key, const std::string& by, const std::string& date);

/// Why this check can never be signed off, or empty when it can: side and unit are only stated; a changed
/// cast, self-intersection, the minimum wall and an open solid are only mended.
std::string never_signed(const std::string& check);

}  // namespace archwright::design
