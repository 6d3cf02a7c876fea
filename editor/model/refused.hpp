// What a session says to a command it does not do.
#pragma once

#include <string>

#include "engine/base/outcome.hpp"

namespace archwright::editor::model {

/// Fault (usage): `what` names the command, `why` says what to do instead.
inline Fault refused(const std::string& what, std::string why) {
    return Fault{FaultKind::usage, what, std::move(why), {}};
}

}  // namespace archwright::editor::model
