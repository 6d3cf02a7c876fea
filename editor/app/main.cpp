// archwright-editor: the screen of a session, in a window or as a picture.
#include <cstdio>
#include <iostream>

#include "editor/app/options.hpp"
#include "editor/app/picture.hpp"
#include "editor/app/window.hpp"
#include "editor/model/places.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

// As the command line's (docs/commands.md).
int exit_code(const Fault& fault) {
    std::cerr << "archwright-editor: " << fault.message << "\n";
    switch (fault.kind) {
        case FaultKind::usage:
            return 2;
        case FaultKind::input:
            return 3;
        case FaultKind::ask:
            return 4;
        case FaultKind::check:
            return 5;
        case FaultKind::output:
            return 6;
        case FaultKind::cancelled:
            return 130;
        case FaultKind::internal:
            break;
    }
    return 1;
}

}  // namespace

int main(int count, char** words) {
    const auto options = app::read_options({words + 1, words + count});
    if (!options) {
        std::fputs(app::usage(), stderr);
        return exit_code(options.fault());
    }
    if (options->help) {
        std::fputs(app::usage(), stdout);
        return 0;
    }
    model::Setup setup;
    if (!options->keep_nothing) {
        if (const auto state = model::state_folder()) setup.state_folder = *state;
        if (const auto config = model::config_folder()) setup.config_folder = *config;
    }
    if (options->no_window) {
        model::Session session(std::move(setup));
        const auto done = app::run_without_window(*options, session);
        return done ? 0 : exit_code(done.fault());
    }
    const auto done = app::run_window(*options, std::move(setup));
    return done ? 0 : exit_code(done.fault());
}
