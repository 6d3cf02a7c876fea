#include "engine/examine/anatomy.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::examine {

double Anatomy::across(const Vec3& p) const {
    const auto lateral = profile.lateral_at(p.x()), medial = profile.medial_at(p.x());
    if (!lateral || !medial || !(*medial - *lateral > 1.0)) return 0.5;
    return (p.y() - *lateral) / (*medial - *lateral);
}

double Anatomy::behind_heads_mm(const Vec3& p) const {
    const double width = first_head.y() - fifth_head.y();
    const double t = width > 1.0 ? std::clamp((p.y() - fifth_head.y()) / width, -0.3, 1.3) : 0.5;
    return fifth_head.x() + t * (first_head.x() - fifth_head.x()) - p.x();
}

std::string Anatomy::where(const Vec3& p) const {
    const double s = along(p), side = across(p), behind = behind_heads_mm(p);
    const char* half = side < 0.35 ? "lateral " : side > 0.65 ? "medial " : "";
    if (s < 0.27) return std::string("on the ") + half + "heel";
    if (behind < -9.0) return "at the roots of the toes";
    if (behind < 12.0) {
        // heads divide the breadth unevenly: the 1st takes about a third
        static constexpr std::array<double, 5> ends{0.17, 0.34, 0.5, 0.66, 2.0};
        static constexpr std::array<const char*, 5> heads{"5th", "4th", "3rd", "2nd", "1st"};
        const auto at = std::find_if(ends.begin(), ends.end(), [side](double e) { return side < e; });
        return std::string("under the ") + heads[static_cast<std::size_t>(at - ends.begin())] +
               " metatarsal head";
    }
    if (side > 0.55) return "under the arch";
    return std::string("under the ") + half + "midfoot";
}

Outcome<Anatomy> anatomy_of(const foot::Standing& standing) {
    const auto survey = foot::survey(standing.mesh, standing.length_estimated);
    if (!survey)
        return Fault{FaultKind::input, "examine",
                     "Heel and metatarsal heads are not on this cast: there is nothing to examine.",
                     standing.heel_lowest};
    Anatomy anatomy;
    anatomy.profile = survey->profile;
    anatomy.heel_lowest = survey->heel_low;
    using enum foot::LandmarkId;
    const auto head = [&](foot::LandmarkId id, const Vec3& other) {
        const auto at = standing.landmarks.find(id);
        return at == standing.landmarks.end() ? other : at->second.position;
    };
    anatomy.first_head = head(first_head_plantar, survey->first_low);
    anatomy.fifth_head = head(fifth_head_plantar, survey->fifth_low);
    return anatomy;
}

}  // namespace archwright::examine
