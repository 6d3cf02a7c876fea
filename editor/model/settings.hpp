// What a person set of the editor itself, kept between sessions.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::editor::model {

struct Settings {
    enum class Theme { light, dark };

    Theme theme = Theme::light;
    double scale = 0;                 ///< logical pixels to the screen's, 0.5 to 4; 0: as the screen says
    std::string person;               ///< code that statements and signatures propose; empty: asked each time
    double tool_mm = 3;               ///< radius of the ball-nosed tool that the tool map is read against
    std::string jobs;                 ///< folder whose jobs the first screen lists; empty: none
    std::vector<std::string> recent;  ///< jobs, the newest first, at most `most_recent`

    static constexpr std::size_t most_recent = 12;
    /// Puts a job first.
    void opened(const std::filesystem::path& job);

    bool operator==(const Settings&) const = default;
};

inline constexpr double least_scale = 0.5, most_scale = 4.0;
inline constexpr double least_tool_mm = 0.5, most_tool_mm = 20.0;

/// Reads `folder`/settings.json; the defaults where there is none. What is wrong in it is a fault (input)
/// that names it; keys of other versions are passed over.
Outcome<Settings> read_settings(const std::filesystem::path& folder);
/// Writes it whole; makes the folder. Fault (output).
Outcome<Done> write_settings(const Settings& settings, const std::filesystem::path& folder);

}  // namespace archwright::editor::model
