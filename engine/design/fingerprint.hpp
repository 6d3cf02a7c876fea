// What a sign-off or an approval is bound to.
#pragma once

#include <string>

#include "engine/base/side.hpp"
#include "engine/design/job.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// SHA-256 (64 hexadecimal digits) of everything in the job that decides this foot's device or what is asked
/// of it: case code, order, capture, side, cast (hash, unit, axes, inside-out), calipers, landmarks, marks,
/// balance, dressing, trim, wall, rim, material. Not in it: the day the device is due, marks that are
/// refused, or suggested with nothing lying on them, where the cast file lies, who stated side and unit and
/// on what evidence, which presets the values came from, revisions, sign-offs, approvals, and the other foot.
/// Values equal to their default do not enter, so that a parameter added by a later version leaves old
/// fingerprints as they are. Empty when the job has no such foot.
std::string fingerprint(const Job& job, Side side);

/// What the fingerprint is of, as a tree: every value, or only what differs from its default. An empty object
/// when the job has no such foot.
enum class Deciding { not_default, all };
Json decisions(const Job& job, Side side, Deciding what);

/// Whether the fingerprint is of the foot's design as it is: that of fingerprint(), or the one that was given
/// while the day it is due still had its part in it (what was approved then stays so while that day stands).
bool is_of(const Job& job, Side side, const std::string& known);

/// Sign-off for a check that still holds: same check, signed for the design as it is now. Null when none.
const SignOff* valid_sign_off(const Job& job, Side side, const std::string& check);

/// Approval of the newest revision that still holds. Null when none.
const Approval* valid_approval(const Job& job, Side side);

}  // namespace archwright::design
