// Jobs with every value random within its range; valid as files, not necessarily wise as devices.
#pragma once

#include <cstdint>
#include <random>

#include "engine/design/job.hpp"

namespace archwright::tests {

/// A random valid job; the same for the same state of `random`.
design::Job random_job(std::mt19937_64& random);

/// The least job that is valid: one foot, every default.
design::Job plain_job(Side side = Side::right);

/// Uniform in [low, high), the same on every platform.
double uniform(std::mt19937_64& random, double low, double high);

}  // namespace archwright::tests
