// What was done to the foot when its cast was taken, against what the order does to the cast.
#pragma once

#include "engine/base/check.hpp"
#include "engine/design/job.hpp"
#include "engine/foot/balance.hpp"

namespace archwright::build {

/// "balance.capture": a stop, until signed, where a forefoot corrected at capture is corrected once more by a
/// platform or turned away by the balance, or where a cast pronated on purpose is turned back.
Check check_capture(const design::Capture& capture, const foot::Balance& asked, const foot::Balanced& done);

}  // namespace archwright::build
