// A device left out of the fit and predicted from the others.
#pragma once

#include "engine/base/outcome.hpp"
#include "engine/calibrate/calibration.hpp"

namespace archwright::calibrate {

/// Fits all but the device and asks what modulus of its own its readings would then want. What was to be
/// expected: the others' prediction interval and its own noise. `spread`: the others tell how far devices
/// differ. Fault of the fit.
Outcome<HeldOut> hold_out(const FitInput& all, int device, bool spread);

}  // namespace archwright::calibrate
