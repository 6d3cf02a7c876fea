// A device on the bench taken up to its load with large deflections.
#pragma once

#include <vector>

#include "engine/flex/bench_stand.hpp"

namespace archwright::flex {

struct LargeTakeUp {
    std::vector<BenchPoint> points;   ///< deflections not yet counted from the first
    std::vector<BenchPoint> further;  ///< past the load
    bool rests = false;               ///< the loaded place lies on the ground at the last of them
    std::vector<BenchSnap> snaps;
    LargeState whole;                     ///< at the load
    std::vector<ContactAnswer> contacts;  ///< there
    std::vector<ElementStress> stress;    ///< there
};

/// `shares` of the load, rising; on the ground the first of them settles the shell. `further`: also shares
/// above 1, until the loaded place rests. Faults: of the solver; a shell that gives way before it bears the
/// load, with the load and place.
Outcome<LargeTakeUp> take_up_large(BenchStand& stand, const BenchLoad& placed, const surface::TrimRule& rule,
                                   LoadCase load_case, double load, const std::vector<double>& shares,
                                   const std::vector<double>& further, Progress* progress);

}  // namespace archwright::flex
