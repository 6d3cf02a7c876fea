// Devices on generated feet, built up to their shell.
#pragma once

#include <cstdint>

#include "engine/build/flex_subject.hpp"
#include "engine/build/stages.hpp"

namespace archwright::tests {

struct BuiltDevice {
    build::Received received;
    build::Surfaced surfaced;
    build::Shelled shelled;
    flex::BenchSubject subject() const { return build::bench_subject(surfaced, shelled, std::nullopt); }
};

/// The random job of that number, of polypropylene, without its reliefs and posts but for a rearfoot post of
/// `post_deg` (0: none); the wall falls or rises by `to_front_mm` from its rear to its distal edge.
Outcome<BuiltDevice> built_device(std::uint64_t number, double wall_mm, double post_deg = 0.0,
                                  double to_front_mm = 0.0);

}  // namespace archwright::tests
