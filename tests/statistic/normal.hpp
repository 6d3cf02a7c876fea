#pragma once

#include <cmath>
#include <random>

#include "tests/support/random_job.hpp"

namespace archwright::tests {

/// Standard normal by the polar method (G. Marsaglia and T. A. Bray 1964): the same on every platform.
inline double polar_normal(std::mt19937_64& random) {
    for (;;) {
        const double u = uniform(random, -1.0, 1.0);
        const double v = uniform(random, -1.0, 1.0);
        const double s = u * u + v * v;
        if (s > 0.0 && s < 1.0) return u * std::sqrt(-2.0 * std::log(s) / s);
    }
}

}  // namespace archwright::tests
