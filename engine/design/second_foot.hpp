// The other foot of a pair, made to the same order: from the beginning, or carried over later.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"

namespace archwright::design {

/// What of an order can be carried, by the keys of a job file: "balance", "dress", "trim", "wall",
/// "features", "posts", "rim", "material", "covers", "lettering".
const std::vector<std::string>& order_parts();
/// "trim,wall" as parts; empty: all of them. Fault (usage) names a word that is none, with the nearest.
Outcome<std::vector<std::string>> parse_order_parts(const std::string& words);

/// A place of the one cast, in its file's coordinates, as a place of the other's.
using PlaceOver = std::function<Vec3(const Vec3&)>;

/// Carries parts of one foot's order to the other, in place of what that has there. Never side, cast,
/// calipers, landmarks, repairs, answers, sign-offs or approvals: those belong to one foot. The design frame
/// makes both feet look like a right foot (engine/foot/frame.hpp), so angles keep their sign and plan
/// coordinates are copied as they are; on the finished devices they are mirror images. With all parts the
/// record of the presets they came from goes along.
///
/// A relief on a mark takes its mark along, where `place` tells how casts lie on one another: as a
/// suggestion that a person confirms, for whether the other foot has it there is not known. A mark of that
/// name that is there already stays as it is, so carrying to and fro changes nothing more. Without `place`
/// what lies on a mark is left out.
///
/// Returns in words what was drawn for the other foot's cast (zones, wall regions, trim controls, marks): it
/// lies where that foot had it, and a person has to look whether this foot has it there too.
std::vector<std::string> carry_order(const FootDesign& from, FootDesign& to,
                                     const std::vector<std::string>& parts, const PlaceOver& place);

/// All of it, for a second foot that begins so: what lies on a mark is left out.
std::vector<std::string> copy_order(const FootDesign& from, FootDesign& to);

}  // namespace archwright::design
