#include "exporters/marks_told.hpp"

#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"

namespace archwright::exporters {

const char* word(MarkTold::State state) {
    switch (state) {
        case MarkTold::State::accepted:
            return "accepted";
        case MarkTold::State::refused:
            return "refused";
        case MarkTold::State::suggested:
            break;
    }
    return "suggested";
}

std::vector<MarkTold> marks_told(const design::FootDesign& foot, const foot::Frame& frame) {
    std::vector<MarkTold> all;
    for (const design::Mark& mark : foot.marks) {
        MarkTold told;
        told.mark = &mark;
        told.state = mark.refused  ? MarkTold::State::refused
                     : mark.open() ? MarkTold::State::suggested
                                   : MarkTold::State::accepted;
        std::vector<Vec3> points;
        for (const Vec3& p : mark.points) points.push_back(frame.to_design(p));
        const bool closed = mark.kind == design::Mark::Kind::area;
        Vec3 area = Vec3::Zero();
        for (std::size_t i = 0; i < points.size(); ++i) {
            const Vec3& next = points[(i + 1) % points.size()];
            told.place += points[i] / static_cast<double>(points.size());
            area += 0.5 * points[i].cross(next);
            if (closed || i + 1 < points.size()) told.length_mm += (next - points[i]).norm();
        }
        if (closed) told.across_mm = 2.0 * std::sqrt(area.norm() / std::numbers::pi);
        if (mark.kind == design::Mark::Kind::spot) told.across_mm = mark.breadth_mm;
        told.carries = design::lying_on(foot, mark.name);
        all.push_back(std::move(told));
    }
    return all;
}

std::string size_words(const MarkTold& told) {
    const auto broad = [&] {
        return told.mark->breadth_mm > 0.0 ? ", " + rounded(told.mark->breadth_mm, 1) + " mm broad"
                                           : std::string();
    };
    switch (told.mark->kind) {
        case design::Mark::Kind::line:
            return "a line " + rounded(told.length_mm, 0) + " mm long" + broad();
        case design::Mark::Kind::area:
            return "an area " + rounded(told.across_mm, 0) + " mm across";
        case design::Mark::Kind::spot:
            break;
    }
    return told.across_mm > 0.0 ? "a spot " + rounded(told.across_mm, 1) + " mm across" : "a spot";
}

std::string state_words(const MarkTold& told) {
    const std::string by = told.mark->by.empty() ? std::string() : " by " + told.mark->by;
    if (told.state != MarkTold::State::suggested) return word(told.state) + by;
    return "suggested, confidence " + rounded(told.mark->confidence, 2) + ": no person has accepted it";
}

std::string guess_words(const std::string& name, design::Mark::Meaning guess) {
    const std::string title = design::title_of(guess);
    return design::in_quotes(name) + (name == title ? "?" : " (" + title + "?)");
}

}  // namespace archwright::exporters
