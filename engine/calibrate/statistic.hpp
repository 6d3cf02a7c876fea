// Student's t, for intervals of few devices.
#pragma once

namespace archwright::calibrate {

/// P(|T| < t) of Student's t with `freedom` degrees (need not be whole), by the incomplete beta function
/// (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.7.1 and 26.5.8).
double student_within(double t, double freedom);
/// The t within which T lies with that probability, 0 < within < 1; `freedom` from 0.5.
double student_t(double within, double freedom);

}  // namespace archwright::calibrate
