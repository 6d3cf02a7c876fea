// What a picture of a cast says of a finding and of a repair.
#pragma once

#include <string>

#include "engine/build/device.hpp"

namespace archwright::picture {

/// "Dent", "Crease?": with a question mark where it is a question.
std::string name_of(const examine::Finding& finding);
/// Size and height: "22 mm across, 1.8 ± 0.4 mm into the foot". Sizes of a finding in whole mm, with a tenth
/// where the smallest of them is below 10; heights with a tenth, with a hundredth where their uncertainty is
/// below a twentieth. Empty for what has no size.
std::string size_of(const examine::Finding& finding);
/// Why it was called, and what a person said to it or what can be done.
std::string words_of(const build::Examined::Call& call);

/// "2.41 mm into the foot at most, 187 mm³ in all".
std::string size_of(const examine::RepairFigure& figure);
/// What was made anew, who asked for it, why, where, and how far; `asked` is null where there is no job.
std::string words_of(const examine::RepairFigure& figure, const design::Repair* asked,
                     const foot::Frame& frame);

}  // namespace archwright::picture
