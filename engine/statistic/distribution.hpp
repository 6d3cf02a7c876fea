// Distributions that intervals are made of.
#pragma once

namespace archwright::statistic {

/// P(|T| < t) of Student's t with `freedom` degrees (need not be whole), t >= 0, freedom > 0.
double student_within(double t, double freedom);
/// The t within which T lies with that probability, 0 < within < 1; `freedom` from 0.5.
double student_t(double within, double freedom);

/// The value below which F of these degrees of freedom (need not be whole) lies with that probability, 0 <
/// below < 1.
double f_below(double below, double numerator_freedom, double denominator_freedom);
/// The same of chi squared, and of the normal distribution.
double chi_squared_below(double below, double freedom);
double normal_below(double below);

}  // namespace archwright::statistic
