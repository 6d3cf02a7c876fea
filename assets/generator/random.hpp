// Random numbers that depend on the seed and the place alone, never on the order of asking or a library.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace archwright::generator {

/// Mixes 64 bits so that near inputs give unlike outputs (the finaliser of splitmix64, Steele, Lea and
/// Flood 2014, OOPSLA).
constexpr std::uint64_t mix(std::uint64_t x) {
    x += 0x9e3779b97f4a7c15ULL;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
    return x ^ (x >> 31);
}

/// A stream of numbers named by a seed and an index: each vertex of a mesh has its own.
class Random {
  public:
    explicit Random(std::uint64_t seed, std::uint64_t stream = 0) : state_(mix(mix(seed) ^ mix(~stream))) {}

    /// Uniform on [0, 1).
    double uniform() { return static_cast<double>(next() >> 11) * 0x1p-53; }
    double between(double low, double high) { return low + (high - low) * uniform(); }
    /// Standard normal (Box and Muller 1958).
    double normal() {
        const double u = 1.0 - uniform(), v = uniform();
        return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * std::numbers::pi * v);
    }
    std::uint64_t next() { return state_ = mix(state_); }

  private:
    std::uint64_t state_;
};

}  // namespace archwright::generator
