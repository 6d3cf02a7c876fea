// archwright-editor: the screen of a session, in a window or as a picture.
#include <cstdio>

#include "editor/app/options.hpp"
#include "editor/app/picture.hpp"
#include "editor/app/window.hpp"
#include "editor/model/exit_code.hpp"
#include "editor/model/places.hpp"

using namespace archwright;
using namespace archwright::editor;

int main(int count, char** words) {
    const auto options = app::read_options({words + 1, words + count});
    if (!options) {
        std::fputs(app::usage(), stderr);
        return model::exit_code("archwright-editor", options.fault());
    }
    if (options->help) {
        std::fputs(app::usage(), stdout);
        return 0;
    }
    model::Setup setup;
    if (!options->keep_nothing) {
        const auto state = model::state_folder();
        if (state)
            setup.state_folder = *state;
        else
            setup.state_trouble = state.fault().message;
        if (const auto config = model::config_folder()) setup.config_folder = *config;
    }
    setup.dark = options->dark;
    if (options->no_window) {
        model::Session session(std::move(setup));
        const auto done = app::run_without_window(*options, session);
        // a script that was done to its end has saved what it wanted
        if (const auto ended = session.end(!done); !ended)
            return model::exit_code("archwright-editor", ended.fault());
        return done ? 0 : model::exit_code("archwright-editor", done.fault());
    }
    const auto done = app::run_window(*options, std::move(setup));
    return done ? 0 : model::exit_code("archwright-editor", done.fault());
}
