// The words archwright-editor is started with.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::editor::app {

/// A longer script is refused.
inline constexpr std::size_t most_script_bytes = std::size_t{64} << 20;

/// Of the screen, logical pixels: below it something would be cut off.
inline constexpr double least_width = 1100, least_height = 640;
/// A picture of more would not be had in a minute.
inline constexpr double most_pixels = 40e6;

struct Options {
    std::string file;                 ///< job or cast to open
    std::filesystem::path script;     ///< commands to do first
    std::filesystem::path picture;    ///< PNG of the screen once everything is built
    int width = 1600, height = 1000;  ///< logical pixels
    double scale = 0;                 ///< 0: as the settings or the screen say
    bool dark = false;
    bool no_window = false;
    bool help = false;
    bool keep_nothing = false;  ///< no settings, no unsaved work
    bool tell = false;          ///< commands and states to standard output
};

/// Fault (usage) names the word that is wrong.
Outcome<Options> read_options(const std::vector<std::string>& words);
const char* usage();

}  // namespace archwright::editor::app
