// Names of parameters that reach into lists: "features[fascia].depth_mm", "wall.stations[2].wall_mm".
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// One key of a dotted name, and the entry of the list it leads to.
struct PathStep {
    std::string key;
    std::optional<std::string> entry;  ///< what stands in [ ]: the entry's own name, or its place from 0
};

/// Splits a dotted name. Fault (usage): brackets that do not pair, a key that is empty, too long a name.
Outcome<std::vector<PathStep>> parameter_path(std::string_view name);

/// The name as the parameter table has it: "features[].depth_mm".
std::string table_name(const std::vector<PathStep>& path);

/// Place of an entry in a list of the job: by its own "name", else by its number from 0. `list_name` is for
/// messages. Fault (usage): no such entry, with the nearest name and those there are.
Outcome<std::size_t> entry_of(const Json& list, const std::string& entry, const std::string& list_name);

}  // namespace archwright::design
