#include <cmath>

#include "engine/base/text.hpp"
#include "engine/examine/calls.hpp"

namespace archwright::examine {

namespace {

// About 2 mm apart, on the cast.
std::vector<Vec3> on_cast(const std::vector<Vec2>& nodes, const Relief& relief) {
    std::vector<Vec3> line;
    const std::size_t stride = static_cast<std::size_t>(2.0 / relief.step());
    for (std::size_t k = 0; k < nodes.size(); k += stride)
        line.push_back(relief.place(nodes[k].x(), nodes[k].y()));
    if ((nodes.size() - 1) % stride != 0) line.push_back(relief.place(nodes.back().x(), nodes.back().y()));
    return line;
}

}  // namespace

std::optional<Finding> call_crease(const Crease& c, const Relief& relief, const Anatomy& anatomy) {
    constexpr double least_mm = 0.2, certain_mm = 0.42, certain_length_mm = 14.0, certain_share = 0.92,
                     certain_width_mm = 4.2, edge_of_width = 1.2;
    const double size = std::abs(c.height);
    if (size < least_mm || c.nodes.size() < 2) return std::nullopt;
    Finding f;
    f.line = on_cast(c.nodes, relief);
    f.place = f.line[f.line.size() / 2];
    const double across = anatomy.across(f.place), behind = anatomy.behind_heads_mm(f.place);
    const char* anatomic = nullptr;
    if (across > 0.9 || across < 0.08) anatomic = "the border of a foot may run along such a ridge";
    if (behind < -9.0) anatomic = "the roots of the toes have furrows of their own";
    const bool certain = size > certain_mm && c.length > certain_length_mm && c.share > certain_share &&
                         c.width < certain_width_mm && relief.edge_mm < edge_of_width * c.width &&
                         anatomic == nullptr;
    f.kind = Finding::Kind::crease;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.length_mm = c.length;
    f.breadth_mm = c.width;
    f.depth_mm = c.height;
    f.depth_sd_mm = std::hypot(c.height_sd, 0.1 * c.height);
    f.confidence = certain ? 0.95 : 0.05;
    f.sentence = std::string(c.height > 0.0 ? "A ridge " : "A furrow ") + rounded(c.length, 0) +
                 " mm long, " + rounded(c.width, 1) + " mm wide and " + rounded(size, 1) +
                 (c.height > 0.0 ? " mm high" : " mm deep") + " runs " + anatomy.where(f.place) +
                 "; its section is that of a fold to " + rounded(100.0 * c.share, 0) + " %";
    if (!certain && anatomic != nullptr)
        f.sentence += std::string(", but ") + anatomic;
    else if (!certain && relief.edge_mm >= edge_of_width * c.width)
        f.sentence +=
            ", but the scan's triangles are too coarse (" + rounded(relief.edge_mm, 1) + " mm) to tell";
    f.sentence += ".";
    f.advice = Finding::Advice::repair;
    f.advice_words =
        "Smooth it from both its sides, unless it is a crease of the skin. Next time lay the plaster without "
        "tension, smooth each layer before the next, and do not move the foot while it sets.";
    return f;
}

std::optional<Finding> call_seam(const SeamLine& s, const Relief& relief, const Anatomy& anatomy) {
    constexpr double certain_answer_mm = 0.35, certain_covered = 0.75, even = 0.17;
    Finding f;
    f.line = on_cast(s.nodes, relief);
    f.place = f.line[f.line.size() / 2];
    for (std::size_t k = 1; k < f.line.size(); ++k) f.length_mm += (f.line[k] - f.line[k - 1]).norm();
    const double size = std::abs(s.height);
    const bool certain = s.answer > certain_answer_mm && s.covered > certain_covered &&
                         s.height_sd < even * size;  // a crease on the way is no even step
    f.kind = Finding::Kind::seam;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.depth_mm = size;
    f.depth_sd_mm = std::hypot(s.height_sd, 0.1 * size);
    f.confidence = certain ? 0.95 : 0.2;
    f.sentence = "A step of " + rounded(size, 1) + " +- " + rounded(1.96 * f.depth_sd_mm, 1) +
                 " mm crosses the sole over " + rounded(f.length_mm, 0) + " mm " + anatomy.where(f.place) +
                 "; the " + (s.height > 0.0 ? "toes'" : "heel's") +
                 " side stands further from the foot, as one layer of plaster over another does.";
    f.advice = Finding::Advice::repair;
    f.advice_words =
        "Take the higher side down to the lower over some 30 mm. Next time let the layers overlap at the "
        "borders or spread the overlap out thin, and smooth it while it is wet.";
    return f;
}

}  // namespace archwright::examine
