// The job's marks as reports tell them: what each is, where, how large, and who said yes to it.
#pragma once

#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/design/job.hpp"

namespace archwright::exporters {

/// A mark of the job as it lies on the standing cast.
struct MarkTold {
    const design::Mark* mark = nullptr;
    enum class State { accepted, suggested, refused } state = State::suggested;
    Vec3 place = Vec3::Zero();  ///< design frame, mm: of a spot; middle of a line's or outline's points
    double length_mm = 0.0;     ///< along a line; round an area; 0 for a spot
    double across_mm = 0.0;     ///< of an area: diameter of a circle as large; of a spot its ink
    std::vector<std::string> carries;  ///< reliefs and pads that lie on it
};
const char* word(MarkTold::State state);

std::vector<MarkTold> marks_told(const design::FootDesign& foot, const foot::Frame& frame);

/// "a line 82 mm long, 1.6 mm broad", "an area 12 mm across", "a spot".
std::string size_words(const MarkTold& told);
/// "accepted by TECH-04", "suggested, confidence 0.93: no person has accepted it", "refused by TECH-04".
std::string state_words(const MarkTold& told);
/// Ink and what it is taken for, a guess: "fascia" (plantar fascia?), and "lesion"? where both are one word.
std::string guess_words(const std::string& name, design::Mark::Meaning guess);

}  // namespace archwright::exporters
