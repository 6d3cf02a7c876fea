// A built device as the virtual bench takes it.
#pragma once

#include <optional>
#include <string>

#include "engine/build/device.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::build {

/// How a material stretches and bends, by its laminate's plies where it has one, with the laboratory's scale
/// of the modulus where there is one.
flex::Sheet sheet_of(const design::Material& material);

/// Shell, trim rule and material of a device that was built (it must outlive the subject), the laboratory's
/// scale of the modulus where there is one, posts that are stuck on; the person's mass where the order says
/// it, else 75 kg. Plugs and pads that are stuck on neither carry nor stiffen.
flex::BenchSubject bench_subject(const Surfaced& surfaced, const Shelled& shelled,
                                 const std::optional<double>& body_mass_kg);

/// What a stiffness of the bench is worth with this material.
struct BenchWorth {
    std::string words;  ///< stand beside the figure: the bench's caution, or what was calibrated
    std::optional<double>
        share;  ///< 95 % prediction interval, times or by 1 + this; none: for comparison only
};
/// By the laboratory's calibration, for the loads that were measured and bases within the walls that were;
/// else `caution`, with why the calibration does not hold. The interval is of the material and of how devices
/// differ: what the device stands on is as it was chosen.
BenchWorth bench_worth(const Shelled& shelled, flex::LoadCase load,
                       const std::string& caution = flex::bench_caution);

}  // namespace archwright::build
