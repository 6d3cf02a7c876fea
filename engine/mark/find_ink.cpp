#include "engine/mark/find_ink.hpp"

#include <algorithm>

#include "engine/base/tolerances.hpp"
#include "engine/mark/guess.hpp"
#include "engine/mark/trace.hpp"

namespace archwright::mark {

namespace {

constexpr double least_confidence = 0.5;  // less is not worth a person's look
constexpr std::size_t most_marks = 60;    // a cast with more is stained, or not of plaster

}  // namespace

Outcome<std::vector<InkMark>> find_ink(const foot::Standing& standing, Progress* progress) {
    if (standing.mesh.colours.empty() || standing.mesh.colours.size() != standing.mesh.points.size())
        return std::vector<InkMark>{};
    const Skin skin(standing.mesh);
    const auto field = ink_field(skin, progress);
    if (!field) return field.fault();
    auto traced = trace(skin, *field, progress);
    if (!traced) return traced.fault();
    std::vector<InkMark> marks;
    for (Traced& one : *traced) {
        if (one.mark.contrast < tolerance::ink_least_contrast) continue;
        guess(standing, one);
        if (one.mark.confidence >= least_confidence) marks.push_back(std::move(one.mark));
    }
    std::stable_sort(marks.begin(), marks.end(),
                     [](const InkMark& a, const InkMark& b) { return a.confidence > b.confidence; });
    if (marks.size() > most_marks) marks.resize(most_marks);
    return marks;
}

}  // namespace archwright::mark
