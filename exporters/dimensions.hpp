// The dimensions a device was designed with, from the parameter table.
#pragma once

#include <string>
#include <vector>

#include "engine/design/job.hpp"

namespace archwright::exporters {

/// One row: what the job says, in which unit, and whether a person changed it.
struct Dimension {
    std::string name;      ///< "trim.cup_posterior_mm"
    std::string value;     ///< as text, exact
    std::string unit;      ///< "mm", "" ...
    std::string standard;  ///< default as text; empty: none
    bool changed = false;  ///< differs from the default
    std::string help;
    std::string source;  ///< of the default or the range, with its mark
};

/// The scalars that decide one foot's device: calipers, balance, trim, wall, rim, material; absent optional
/// ones left out.
std::vector<Dimension> dimensions(const design::FootDesign& foot);
/// Order and capture of the case, absent and "unknown" ones left out.
std::vector<Dimension> order_and_capture(const design::Job& job);

}  // namespace archwright::exporters
