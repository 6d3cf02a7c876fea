// Devices on generated feet whose walls are asked for.
#pragma once

#include <cstdint>

#include "engine/ask/ask.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/build/stages.hpp"

namespace archwright::tests {

struct AskedDevice {
    ask::Built built;
    design::FootDesign foot;

    flex::BenchSubject subject() const {
        return build::bench_subject(*built.surfaced, *built.shelled, std::nullopt);
    }
    /// Built anew with another wall, as the program does it.
    Outcome<ask::Built> with(const design::Wall& wall) const;
    ask::Rebuild rebuild() const;
};

/// The random job of that number, of polypropylene, without reliefs; a rearfoot post of `post_deg` where that
/// is not 0, and a wall: base 3 mm, a region under the arch of 3.4 mm ("arch"), the lateral column 1.5 times
/// as rigid as the base.
Outcome<AskedDevice> asked_device(std::uint64_t number, double post_deg = 0.0);

}  // namespace archwright::tests
