// The cases a person had in hand last, and how they stand in their files.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "editor/model/settings.hpp"

namespace archwright::editor::model {

struct RecentCase {
    std::filesystem::path path;
    bool readable = false;
    std::string case_code;  ///< of the job; empty when it cannot be read
    std::string state;      ///< for people: "left, revision A, approved", "not there any more"
    bool approved = false;  ///< every foot, as it stands
};

/// Reads the job files of Settings::recent, in their order; no cast is opened.
std::vector<RecentCase> recent_cases(const Settings& settings);

}  // namespace archwright::editor::model
