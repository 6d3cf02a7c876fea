#include "editor/model/script.hpp"

#include <algorithm>

#include "editor/model/session_commands.hpp"

namespace archwright::editor::model {

namespace {

constexpr double look_again_seconds = 1.0;  // news wakes at once; this only guards against none

void wait_for_devices(Session& session) {
    // what comes in may be compared with something, which is asked for then
    do {
        while (!session.idle()) session.wait(look_again_seconds);
        session.poll();
    } while (!session.idle());
}

}  // namespace

Outcome<Reply> run_and_wait(Session& session, std::string_view line) {
    const auto command = design::parse(line, session_commands());
    if (!command) return command.fault();
    static constexpr std::string_view of_what_is_built[] = {"sign", "marks find", "carry", "propose"};
    if (std::find(std::begin(of_what_is_built), std::end(of_what_is_built), command->name) !=
        std::end(of_what_is_built))
        wait_for_devices(session);
    auto reply = session.run(line);
    if (!reply) return reply;
    if (command->name == "wait") {
        wait_for_devices(session);
        for (const Side side : {Side::left, Side::right}) {
            const FootView view = session.view_of(side);
            if (view.latest && view.latest->fault)
                reply->told.push_back(std::string(word(side)) + " foot: " + view.latest->fault->message);
        }
    }
    if (command->name == "export") {
        while (session.exporting() > 0) session.wait(look_again_seconds);
        const ExportResult& result = *session.last_export();
        if (result.fault) return *result.fault;
        for (const auto& file : result.files) reply->told.push_back(file.string());
        reply->pending = false;
        return reply;
    }
    if (!reply->pending) return reply;
    while (!session.busy_with().empty()) session.wait(look_again_seconds);
    const auto answer = session.answer();
    if (!answer) return Fault{FaultKind::internal, "script", "The command ended without an answer.", {}};
    return *answer;
}

Outcome<Done> run_script(Session& session, std::string_view text, const std::string& name,
                         const std::function<void(const std::string& told)>& tell, int first_line) {
    int number = first_line - 1;
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string_view line = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        if (line.ends_with('\r')) line.remove_suffix(1);
        ++number;
        auto reply = run_and_wait(session, line);
        if (!reply) {
            Fault fault = reply.fault();
            fault.message = name + ", line " + std::to_string(number) + ": " + fault.message;
            return fault;
        }
        for (const std::string& told : reply->told) tell(told);
        if (reply->objection) tell(reply->objection->message);
    }
    return Done{};
}

}  // namespace archwright::editor::model
