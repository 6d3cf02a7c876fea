// What the screen shows, as a file, without a window.
#pragma once

#include "editor/app/options.hpp"
#include "editor/model/session.hpp"

namespace archwright::editor::app {

/// Does the script, then writes the picture where one is asked for. Faults: the first command that fails,
/// with its line; no graphics context; the file cannot be written.
Outcome<Done> run_without_window(const Options& options, model::Session& session);

}  // namespace archwright::editor::app
