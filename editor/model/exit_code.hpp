// What a program says and answers when it ends with a fault.
#pragma once

#include <iostream>

#include "exporters/command/console.hpp"

namespace archwright::editor::model {

/// Writes the fault to standard error; the exit code is the command line's.
inline int exit_code(const char* program, const Fault& fault) {
    std::cerr << program << ": " << fault.message << "\n";
    return static_cast<int>(exporters::command::exit_of(fault.kind));
}

}  // namespace archwright::editor::model
