// The JSON files of one folder of the assets.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::design {

/// Every *.json of a folder, by name. `what` is the stage and the trade's word for them ("material"). Fault
/// (input) when the folder cannot be read or holds none.
Outcome<std::vector<std::filesystem::path>> asset_files(const std::filesystem::path& folder,
                                                        const std::string& what);

}  // namespace archwright::design
