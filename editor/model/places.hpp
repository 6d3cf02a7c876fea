// Where the editor keeps what is a person's own: the folders of the XDG base directory specification.
#pragma once

#include <filesystem>

#include "engine/base/outcome.hpp"

namespace archwright::editor::model {

/// $XDG_CONFIG_HOME/archwright, or ~/.config/archwright. Fault (input) where there is neither.
Outcome<std::filesystem::path> config_folder();
/// $XDG_STATE_HOME/archwright, or ~/.local/state/archwright. Fault (input) where there is neither.
Outcome<std::filesystem::path> state_folder();

}  // namespace archwright::editor::model
