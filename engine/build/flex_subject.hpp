// A built device as the virtual bench takes it.
#pragma once

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

}  // namespace archwright::build
