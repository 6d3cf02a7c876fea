// What a program says and answers when it ends with a fault.
#pragma once

#include <iostream>

#include "engine/base/outcome.hpp"

namespace archwright::editor::model {

/// Writes the fault to standard error; the exit code is the command line's (docs/commands.md).
inline int exit_code(const char* program, const Fault& fault) {
    std::cerr << program << ": " << fault.message << "\n";
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

}  // namespace archwright::editor::model
