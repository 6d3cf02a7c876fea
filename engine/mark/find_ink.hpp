// Ink found on a cast.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/foot/stand.hpp"
#include "engine/mark/ink_mark.hpp"

namespace archwright::mark {

/// Lines, spots and areas of ink on a standing cast with colours (design frame), the surest first; empty when
/// it has none. Ink is what is darker than the plaster round it (ground.hpp), traced to the middle of its
/// strokes (trace.hpp), with a guess of its meaning (guess.hpp). The same for any number of threads. Fault:
/// cancelled.
Outcome<std::vector<InkMark>> find_ink(const foot::Standing& standing, Progress* progress = nullptr);

}  // namespace archwright::mark
