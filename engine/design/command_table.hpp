// The commands of jobs (engine/design/command.hpp): what a person can change in a case.
#pragma once

#include "engine/design/command.hpp"

namespace archwright::design {

/// In the order of docs/script.md.
const CommandTable& job_commands();

}  // namespace archwright::design
