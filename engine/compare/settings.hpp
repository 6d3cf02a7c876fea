// Two orders compared: the settings that differ, by their names.
#pragma once

#include <string>
#include <vector>

#include "engine/design/decisions.hpp"

namespace archwright::compare {

using Setting = design::Setting;

/// Settings of one foot that differ, in the order of a job file. Entries of a list that have names are
/// compared by name, one by one (an entry that one of them lacks is one setting; order alone is another,
/// named by the list); other entries by their places. What is on record (statements of the cast, presets,
/// answers, sign-offs, approvals) is no setting, and neither are landmarks and marks, which lie on one cast.
std::vector<Setting> settings_that_differ(const design::FootDesign& before, const design::FootDesign& after);
/// The same with what the case says of order and capture.
std::vector<Setting> settings_that_differ(const design::Job& before, const design::Job& after, Side side);

}  // namespace archwright::compare
