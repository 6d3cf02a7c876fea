// The mould of a built device, and what a formed sheet makes of its order.
#pragma once

#include "engine/build/device.hpp"
#include "engine/mould/mould.hpp"
#include "engine/mould/thinning.hpp"

namespace archwright::mould {

struct DeviceMould {
    Mould mould;
    MouldSetting setting;  ///< with the device's marks and letters
    double sheet_mm = 0.0;
    Thinning thinning;
    /// Wall the order asks for between the borders, mm; equal where it is one.
    double least_asked_mm = 0.0, most_asked_mm = 0.0;
    std::vector<Check> checks;  ///< "mould.draft", "mould.undercut", "mould.wall", "mould.thinning", ...
};

/// Makes it: heel bisection, axis and medial side marked, side letter, case and revision engraved.
/// `sheet_mm`: of the sheet; 0: the order's base wall. Faults of make_mould; a sheet beyond 0.5 to 12 mm
/// (usage).
Outcome<DeviceMould> mould_of(const build::Device& device, MouldSetting setting, double sheet_mm = 0.0);

/// What stands wherever shrinkage is entered or told.
inline constexpr const char* shrinkage_words =
    "Shrinkage is the laboratory's own figure, measured on formed shells against their moulds. The published "
    "moulding shrinkage of polypropylene, 1 to 2.5 %, is of injected parts and an upper bound: a sheet held "
    "by "
    "its mould while it cools shrinks less. Without a figure of your own, leave it at 0.";

}  // namespace archwright::mould
