#include "editor/app/told_state.hpp"

#include <algorithm>

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
    const char* tool = state.tool == ui::Tool::measure   ? "measure"
                       : state.tool == ui::Tool::section ? "section"
                       : state.tool == ui::Tool::brush   ? "brush"
                                                         : "none";
    // one word: names of forms have several
    std::string field = !state.editing.empty()        ? state.editing
                        : state.panels.typing.empty() ? "none"
                                                      : "form:" + state.panels.typing;
    std::replace(field.begin(), field.end(), ' ', '-');
    return "is stage=" + (job ? session.stage() : std::string("none")) +
           " step=" + std::to_string(history != nullptr ? history->position() : 0) +
           " of=" + std::to_string(history != nullptr ? history->labels().size() : 0) +
           " saved=" + (job && !session.modified() ? "yes" : "no") + " idle=" + (idle ? "yes" : "no") +
           " open=" + open + " field=" + field + " tool=" + tool;
}

std::vector<std::string> ToldPlaces::news(const ui::Screen& screen, double scale) {
    std::map<std::string, std::string> now;
    for (const auto& [name, box] : screen.places()) {
        const Vec2 at = scale * box.centre();
        now.emplace(name, rounded(at.x(), 0) + " " + rounded(at.y(), 0));
    }
    std::vector<std::string> lines;
    for (const auto& [name, at] : told_)
        if (now.count(name) == 0) lines.push_back("gone " + name);
    for (const auto& [name, at] : now) {
        const auto before = told_.find(name);
        if (before == told_.end() || before->second != at) lines.push_back("at " + name + " " + at);
    }
    told_ = std::move(now);
    return lines;
}

}  // namespace archwright::editor::app
