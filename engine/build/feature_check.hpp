// Reliefs and pads of the job on the shell in hand, and what became of them.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// What the foot's features are placed by: the dressed carpet, marks and landmarks where they lie now. Refers
/// to `received` and `surfaced`.
feature::Site feature_site(const Received& received, const Surfaced& surfaced,
                           const design::FootDesign& foot);

/// "marks.place": a mark off the cast is a look. "marks.accepted": a look that names every relief or pad on a
/// mark which was found and which no person accepted. Nothing where the job has no marks.
std::vector<Check> check_marks(const Received& received, const design::FootDesign& foot);

/// Measures them on the finished foot side and appends "features.reach" (a middle beyond the trim line is a
/// stop that says by how much), "features.figures", "features.fit" and "features.overlap". Nothing where
/// there are none.
void tell_features(const Surfaced& surfaced, Shelled& shelled);

}  // namespace archwright::build
