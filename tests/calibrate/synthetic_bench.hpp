// Benches that never were: devices on generated feet, measured by the virtual bench with a modulus, supports,
// a rig and noise that are known.
#pragma once

#include <cstdint>
#include <memory>
#include <random>
#include <vector>

#include "engine/calibrate/fit.hpp"
#include "engine/calibrate/measurements.hpp"
#include "tests/flex/built_device.hpp"

namespace archwright::tests {

/// Elements of the tests' benches, mm: coarse, for speed.
inline constexpr double synthetic_element_mm = 7.0;

/// A built device and its table of answers.
struct SyntheticDevice {
    std::uint64_t foot = 0;
    double wall_mm = 0.0;
    std::unique_ptr<BuiltDevice> built;
    std::unique_ptr<calibrate::Response> press, lift;
};

/// With small deflections, of which tables are made in seconds; the fit does not ask which they are of.
/// Devices on feet of these numbers, for each wall one; made once for the whole program.
const std::vector<SyntheticDevice>& synthetic_devices();

/// What a bench really is.
struct SyntheticTruth {
    double modulus_scale = 1.0;
    calibrate::Restraint restraint;
    double rig_mm_n = 0.002, rig_mm_n2 = 0.0;
    double noise_mm = 0.01, slide_noise_mm = 0.01;
    double spread = 0.0;  ///< of the devices' own moduli
    bool slides = true;   ///< whether slides are measured
    double most_load_n = 100.0;
};

/// Readings of such a bench, its devices' own moduli and its noise drawn from `random`.
calibrate::FitInput synthetic_readings(const std::vector<const SyntheticDevice*>& devices,
                                       const SyntheticTruth& truth, std::mt19937_64& random);
double normal(std::mt19937_64& random);

/// The device of a stuff of three tenths of the modulus, whose arch comes down.
flex::BenchSubject softened(const SyntheticDevice& device);
/// What it answers to the arch press on a smooth plate, up to 200 N.
Outcome<calibrate::Response> pressed_smooth(flex::Bench& bench);

}  // namespace archwright::tests
