#include "engine/calibrate/statistic.hpp"

#include <cmath>

namespace archwright::calibrate {

namespace {

/// Continued fraction of the incomplete beta function (Abramowitz and Stegun 26.5.8), by Lentz's method
/// (I. J. Thompson and A. R. Barnett 1986, J Comput Phys 64:490).
double beta_fraction(double x, double a, double b) {
    constexpr double tiny = 1e-300, close = 1e-15;
    constexpr int most_terms = 500;
    const auto kept = [](double value) { return std::abs(value) < tiny ? tiny : value; };
    double c = 1.0, d = 1.0 / kept(1.0 - (a + b) * x / (a + 1.0)), sum = d;
    for (int m = 1; m <= most_terms; ++m) {
        const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        d = 1.0 / kept(1.0 + even * d);
        c = kept(1.0 + even / c);
        sum *= c * d;
        const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        d = 1.0 / kept(1.0 + odd * d);
        c = kept(1.0 + odd / c);
        sum *= c * d;
        if (std::abs(c * d - 1.0) < close) break;
    }
    return sum;
}

/// I_x(a, b).
double incomplete_beta(double x, double a, double b) {
    if (x <= 0.0) return 0.0;
    if (x >= 1.0) return 1.0;
    const double front =
        std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) + a * std::log(x) + b * std::log1p(-x));
    if (x < (a + 1.0) / (a + b + 2.0)) return front * beta_fraction(x, a, b) / a;
    return 1.0 - front * beta_fraction(1.0 - x, b, a) / b;
}

}  // namespace

double student_within(double t, double freedom) {
    return 1.0 - incomplete_beta(freedom / (freedom + t * t), 0.5 * freedom, 0.5);
}

double student_t(double within, double freedom) {
    double low = 0.0, high = 1.0;
    while (student_within(high, freedom) < within && high < 1e12) high *= 2.0;
    for (int i = 0; i < 200 && high - low > 1e-14 * high; ++i) {
        const double middle = 0.5 * (low + high);
        (student_within(middle, freedom) < within ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

}  // namespace archwright::calibrate
