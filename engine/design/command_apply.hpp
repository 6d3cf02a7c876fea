// What the commands of jobs do (engine/design/command_table.hpp names them).
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/design/command.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"
#include "engine/design/preset.hpp"
#include "engine/design/second_foot.hpp"

namespace archwright::design {

/// What a person states of a cast.
struct CastWords {
    std::optional<Side> side;
    std::optional<LengthUnit> unit;
    std::optional<Vec3> up, toes;  ///< unit vectors, cast file
    std::optional<bool> inside_out;
    std::string by;
};

/// A statement on record, and what the cast's shape says to it.
struct CastAnswer {
    Side foot = Side::right;            ///< the key the foot stands under now
    std::vector<std::string> told;      ///< with the evidence, a line each
    std::vector<Check> contradictions;  ///< the shape says otherwise: nothing can be made yet
};

/// What commands ask beyond the job. Whoever applies them gives what is at hand; a command that needs what is
/// not there is refused.
struct Surroundings {
    std::optional<Side> foot;              ///< the one meant where a command names none
    const Materials* materials = nullptr;  ///< null: names of materials are not checked
    bool every_rule = true;                ///< check what no single key shows after each command, not later
    std::function<Outcome<Preset>(const std::string&)> preset;  ///< null: those that come with the program
    /// Puts the words on record in the job, with the evidence of the cast (engine/build/state_cast.hpp).
    std::function<Outcome<CastAnswer>(Job&, Side, const CastWords&)> cast;
    /// How places of this foot's cast lie on the other foot's (engine/build/carried_place.hpp); null, or an
    /// empty one: not known.
    std::function<Outcome<PlaceOver>(const Job&, Side from)> place_over;
    /// Stops of the device of this very design that no valid sign-off covers.
    std::function<Outcome<std::vector<Check>>(const Job&, Side)> open_stops;
};

/// What a command did.
struct Applied {
    std::string label;                  ///< of the undo step
    std::vector<std::string> told;      ///< for the person who gave it, a line each
    std::optional<Side> foot;           ///< the foot it worked on
    std::vector<PresetChange> changes;  ///< of `apply`
    /// It is on record and contradicts the shape: what was told, and what to do (FaultKind::ask).
    std::optional<Fault> objection;
};

/// Does it, wholly or not at all: on a fault the job is as it was. Faults say what and what to do; most are
/// FaultKind::usage.
Outcome<Applied> apply(const Command& command, Job& job, const Surroundings& around = {});

/// The only foot of the job, or the one named. Fault (usage) when a person has to choose.
Outcome<Side> choose_foot(const Job& job, const std::optional<Side>& named);

/// A file (its name ends in ".json" or has a folder), or the code of a preset that comes with the program.
Outcome<Preset> find_preset(const std::string& word);

}  // namespace archwright::design
