// Ink on the cast becomes suggestions of the job, as `archwright marks` does it.
#include "editor/model/session.hpp"
#include "engine/design/marks.hpp"
#include "engine/mark/find_ink.hpp"

namespace archwright::editor::model {

using design::Command;

Outcome<Reply> Session::run_find_marks(const Command& given) {
    Command command = given;
    Side side = foot_;
    if (const std::string* named = command.find("foot")) side = *named == "left" ? Side::left : Side::right;
    if (!job_.foot(side))
        return Fault{
            FaultKind::usage, "marks find", std::string("The job has no ") + word(side) + " foot.", {}};
    if (job_.left && job_.right && !command.find("foot")) command.with("foot", word(side));
    const FootView view = view_of(side);
    const auto received = view.latest && !view.stale ? view.latest->received : nullptr;
    if (!received)
        return Fault{FaultKind::usage,
                     "marks find",
                     "The cast does not stand yet: look for ink when it is there. Nothing was changed.",
                     {}};
    if (received->standing.mesh.colours.empty())
        return Fault{FaultKind::input,
                     "marks find",
                     "The cast has no colours, so no ink can be found on it: scan it in colour, or draw each "
                     "mark by hand (mark add).",
                     {}};
    return run_behind("Looking for ink", [=, this](Progress& progress) -> Background::Finish {
        auto ink = mark::find_ink(received->standing, &progress);
        return [=, this]() -> void {
            if (!ink) {
                answer_ = Outcome<Reply>(ink.fault());
                return;
            }
            const auto became = design::suggest_marks(*job_.foot(side), *ink, received->standing.frame);
            Reply reply;
            std::size_t added = 0;
            for (const design::InkInJob& one : became)
                added += one.what == design::InkInJob::What::added ? 1 : 0;
            reply.told.push_back(std::to_string(ink->size()) + " marks found, " + std::to_string(added) +
                                 " of them new.");
            record(command);
            if (history_->record(job_, "Marks found")) after_change();
            answer_ = Outcome<Reply>(std::move(reply));
        };
    });
}

}  // namespace archwright::editor::model
