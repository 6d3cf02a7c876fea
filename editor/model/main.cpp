// archwright-script: a session of the editor without a screen.
#include <cstdio>
#include <iostream>
#include <string>

#include "editor/model/exit_code.hpp"
#include "editor/model/places.hpp"
#include "editor/model/script.hpp"
#include "engine/base/file.hpp"

using namespace archwright;
using namespace archwright::editor::model;

namespace {

constexpr std::size_t most_bytes = std::size_t{64} << 20;

void tell(const std::string& line) {
    std::cout << line << std::endl;
}

}  // namespace

int main(int count, char** words) {
    Setup setup;
    std::string script;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        if (word == "--allow-outside")
            setup.allow_outside = true;
        else if (script.empty() && (word == "-" || !word.starts_with("-")))
            script = word;
        else
            script = "--help", i = count;
    }
    if (script.empty() || script == "--help") {
        std::fputs(
            "usage: archwright-script [--allow-outside] FILE\n"
            "Does the commands of FILE (\"-\": of standard input, as they come) one after the other and "
            "stops at\n"
            "the first that fails. docs/script.md lists them. Exit codes are those of archwright.\n",
            stderr);
        return 2;
    }
    const auto state = state_folder();
    if (state)
        setup.state_folder = *state;
    else
        setup.state_trouble = state.fault().message;
    Session session(std::move(setup));
    for (const Notice& notice : session.notices()) std::cerr << "archwright-script: " << notice.text << "\n";
    const auto end = [&](const Outcome<Done>& done) {
        // a script that was done to its end has saved what it wanted; what one that stopped did is kept
        const auto ended = session.end(!done);
        if (!ended) return exit_code("archwright-script", ended.fault());
        return done ? 0 : exit_code("archwright-script", done.fault());
    };
    if (script != "-") {
        const auto file = FileBytes::read(script, most_bytes);
        if (!file) return exit_code("archwright-script", file.fault());
        return end(run_script(session, file->text(), script, tell));
    }
    std::string line;
    for (int number = 1; std::getline(std::cin, line); ++number)
        if (const auto done = run_script(session, line, "standard input", tell, number); !done)
            return end(done);
    return end(Done{});
}
