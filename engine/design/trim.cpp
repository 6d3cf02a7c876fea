#include "engine/design/trim.hpp"

#include <string>

namespace archwright::design {

namespace {

using foot::LandmarkId;

Outcome<Vec3> landmark_place(const foot::Landmarks& landmarks, LandmarkId first, LandmarkId second) {
    for (const LandmarkId id : {first, second})
        if (const auto found = landmarks.find(id); found != landmarks.end()) return found->second.position;
    return Fault{FaultKind::ask,
                 "trim",
                 std::string("the trim line needs the landmark \"") + foot::title(first) +
                     "\", which was neither found nor set: set landmarks." + foot::key(first) + " in the job",
                 {}};
}

}  // namespace

Outcome<surface::TrimRule> trim_rule(const Trim& trim, const foot::Landmarks& landmarks) {
    const auto heel = landmark_place(landmarks, LandmarkId::heel_centre, LandmarkId::heel_centre);
    if (!heel) return heel.fault();
    const auto first =
        landmark_place(landmarks, LandmarkId::first_head_border, LandmarkId::first_head_plantar);
    if (!first) return first.fault();
    const auto fifth =
        landmark_place(landmarks, LandmarkId::fifth_head_border, LandmarkId::fifth_head_plantar);
    if (!fifth) return fifth.fault();

    surface::TrimRule rule;
    rule.heel_centre = *heel;
    rule.first_head = *first;
    rule.fifth_head = *fifth;
    rule.distal_first_mm = trim.distal_first_mm;
    rule.distal_fifth_mm = trim.distal_fifth_mm;
    rule.distal_bow_mm = trim.distal_bow_mm;
    rule.distal_height_mm = trim.distal_height_mm;
    rule.medial_flange_mm = trim.medial_flange_mm;
    rule.lateral_border_mm = trim.lateral_border_mm;
    rule.cup_medial_mm = trim.cup_medial_mm;
    rule.cup_posterior_mm = trim.cup_posterior_mm;
    rule.cup_lateral_mm = trim.cup_lateral_mm;
    rule.width_allowance_mm = trim.width_allowance_mm;
    rule.corner_radius_mm = trim.corner_radius_mm;
    rule.first_ray_cutout = trim.first_ray_cutout;
    const auto first_plantar = landmarks.find(LandmarkId::first_head_plantar),
               second_plantar = landmarks.find(LandmarkId::second_head_plantar);
    if (!rule.first_ray_cutout.width_mm && first_plantar != landmarks.end() &&
        second_plantar != landmarks.end())
        rule.first_ray_cutout.width_mm =
            first->y() - 0.5 * (first_plantar->second.position.y() + second_plantar->second.position.y());
    rule.lateral_flange = trim.lateral_flange;
    rule.lateral_scallop = trim.lateral_scallop;
    if (const auto base = landmarks.find(LandmarkId::fifth_base);
        !rule.lateral_scallop.station && base != landmarks.end())
        rule.lateral_scallop.station = surface::station_of_x(rule, base->second.position.x(), false);
    rule.controls = trim.controls;
    return rule;
}

}  // namespace archwright::design
