#include "editor/app/told_state.hpp"

#include "engine/base/text.hpp"

namespace archwright::editor::app {

std::string state_line(const model::Session& session, ui::Screen& screen) {
    const ui::State& state = screen.state();
    const bool job = session.has_job();
    const auto* history = session.history();
    const bool idle = session.idle() && session.busy_with().empty() && screen.settled();
    const char* open = state.command_list                                              ? "list"
                       : !state.panels.question.empty()                                ? "question"
                       : state.panels.files.purpose != ui::FilesState::Purpose::closed ? "files"
                                                                                       : "none";
    return "is stage=" + (job ? session.stage() : std::string("none")) +
           " step=" + std::to_string(history != nullptr ? history->position() : 0) +
           " of=" + std::to_string(history != nullptr ? history->labels().size() : 0) +
           " saved=" + (job && !session.modified() ? "yes" : "no") + " idle=" + (idle ? "yes" : "no") +
           " open=" + open + " field=" + (state.editing.empty() ? "none" : state.editing);
}

std::string place_line(const ui::Screen& screen, const std::string& button, double scale) {
    const ui::Box* box = screen.place_of(button);
    if (box == nullptr) return {};
    const Vec2 at = scale * box->centre();
    return "at " + button + " " + rounded(at.x(), 0) + " " + rounded(at.y(), 0);
}

}  // namespace archwright::editor::app
