// A foot of a job begun from a cast: what the cast seems to be is proposed, what a person says is on record.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/design/job.hpp"

namespace archwright::build {

/// What is said of a cast when a job is begun from it.
struct FirstWords {
    std::optional<Side> side;
    std::optional<LengthUnit> unit;
    std::string by;           ///< code of the person who says so; needed with either
    bool same_order = false;  ///< starts from the order of the job's other foot
};

struct StartedFoot {
    Side side = Side::right;
    LengthUnit unit = LengthUnit::millimetre;
    Received received;               ///< the first look
    std::vector<std::string> drawn;  ///< what had been drawn for the other foot's cast (design::copy_order)
};

/// Adds the foot to the job, its cast named `path`. Faults (usage): a foot of that side is there, a side or
/// unit without a code, no other foot to take the order from; those of first_look. Nothing changes then.
Outcome<StartedFoot> start_foot(design::Job& job, const std::shared_ptr<const CastFile>& cast,
                                const std::string& path, const FirstWords& words, Progress& progress);

/// How a cast is named in a job. Fault (usage) when it lies outside the job's folder and may not.
Outcome<std::string> name_beside(const std::filesystem::path& cast, const std::filesystem::path& job,
                                 bool allow_outside);

/// A file name's stem as a case code: letters, digits and dashes, without a side at its end.
std::string case_code_from(const std::filesystem::path& job);

}  // namespace archwright::build
