// The window and its loop.
#pragma once

#include "editor/app/options.hpp"
#include "editor/model/session.hpp"

namespace archwright::editor::app {

/// Opens the window and runs until it is closed; sleeps while nothing happens. Faults: no display, no OpenGL
/// 3.3, no font (output); the first command of a script that fails.
Outcome<Done> run_window(const Options& options, model::Setup setup);

}  // namespace archwright::editor::app
