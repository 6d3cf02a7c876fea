// How jobs of older versions become jobs of this one.
#pragma once

#include <span>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// One step: turns the tree of a job of version `from` into one of version `from + 1`. It may rename, move
/// and convert, and must write out what an older version took as a default if that default has changed.
struct Migration {
    int from = 1;
    const char* what;  ///< one sentence for the report
    Outcome<Done> (*apply)(Json& job);
};

/// Every step there has been, in order; never shortened. Empty as long as version 1 is the newest.
std::span<const Migration> migrations();

/// Applies the steps from the version the tree states up to `target` and states `target` in it. Faults: no
/// version or no whole number, a version newer than `target`, a step that is missing or fails.
Outcome<Done> migrate(Json& job, int target, std::span<const Migration> steps, const std::string& name);

}  // namespace archwright::design
