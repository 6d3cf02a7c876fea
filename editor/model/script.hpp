// A file of commands, done one after the other (docs/script.md).
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "editor/model/session.hpp"

namespace archwright::editor::model {

/// Does one command and waits for all it began: casts read, files written; "wait" also for what is built, and
/// "sign" for the checks. Told lines come with the reply.
Outcome<Reply> run_and_wait(Session& session, std::string_view line);

/// Does every line; stops at the first that fails. The fault is that command's, after "name, line N: ";
/// lines are counted from `first_line`.
Outcome<Done> run_script(Session& session, std::string_view text, const std::string& name,
                         const std::function<void(const std::string& told)>& tell, int first_line = 1);

}  // namespace archwright::editor::model
