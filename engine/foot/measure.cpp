#include "engine/foot/measure.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/angles.hpp"
#include "engine/foot/arch.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::foot {
namespace {

class Measuring {
  public:
    Measuring(const Standing& standing, std::vector<Measurement>& into) : standing_(standing), into_(into) {}

    const Landmark* mark(LandmarkId id) const {
        const auto it = standing_.landmarks.find(id);
        return it == standing_.landmarks.end() ? nullptr : &it->second;
    }
    std::optional<Marked> marked(LandmarkId id) const { return foot::marked(standing_.landmarks, id); }
    /// "1st metatarsal head, plantar (set), ..."
    std::string sources(std::initializer_list<LandmarkId> ids) const {
        std::string text;
        for (const LandmarkId id : ids) {
            const Landmark* l = mark(id);
            if (l == nullptr) continue;
            text += (text.empty() ? "" : "; ") + std::string(title(id)) +
                    (l->source == Landmark::Source::set ? " (set)" : " (suggested)");
        }
        return text;
    }
    void add(const char* id, const char* name, double value, double uncertainty, const char* unit,
             const char* definition, const std::string& source) {
        into_.push_back({id, name, value, uncertainty, unit, definition, source});
    }
    void angle(const char* id, const char* name, const Figure& figure, const char* definition,
               std::initializer_list<LandmarkId> ids) {
        add(id, name, figure.value, figure.uncertainty, "degrees", definition, sources(ids));
    }

  private:
    const Standing& standing_;
    std::vector<Measurement>& into_;
};

void measure_lengths(const Standing& standing, const std::optional<Survey>& survey, Measuring& m) {
    const double surface = written_sigmas * std::sqrt(2.0) * tolerance::surface_measure_sd_mm;
    m.add("foot_length", "Foot length", standing.foot_length_mm,
          standing.length_estimated
              ? written_sigmas * tolerance::estimated_length_sd * standing.foot_length_mm
              : surface,
          "mm", "Rearmost point of the heel to the tip of the longest toe, along the axis.",
          standing.length_estimated ? "estimated from the ball: the toes are cut" : "the surface itself");
    const auto first = m.marked(LandmarkId::first_head_border);
    const auto fifth = m.marked(LandmarkId::fifth_head_border);
    const auto rear = m.marked(LandmarkId::posterior_heel);
    if (first && rear)
        m.add("ball_length", "Ball length", first->position.x() - rear->position.x(),
              written_sigmas * std::hypot(first->sd_mm, tolerance::surface_measure_sd_mm), "mm",
              "Rearmost point of the heel to the medial border of the 1st metatarsal head, along the axis.",
              m.sources({LandmarkId::posterior_heel, LandmarkId::first_head_border}));
    if (first && fifth)
        m.add("forefoot_breadth", "Forefoot breadth", first->position.y() - fifth->position.y(),
              written_sigmas * std::hypot(first->sd_mm, fifth->sd_mm), "mm",
              "Medial border of the 1st to lateral border of the 5th metatarsal head, across the axis.",
              m.sources({LandmarkId::first_head_border, LandmarkId::fifth_head_border}));
    if (survey) {
        const auto k = static_cast<std::size_t>(share::heel_centre * Profile::stations + 0.5);
        m.add("heel_breadth", "Heel breadth", survey->profile.medial[k] - survey->profile.lateral[k], surface,
              "mm", "Width of the heel at 0.16 of the foot length.", "the surface itself");
    }
    if (const auto navicular = m.marked(LandmarkId::navicular))
        m.add("navicular_height", "Navicular height", navicular->position.z(),
              written_sigmas * navicular->sd_mm, "mm", "Height of the navicular tuberosity above the ground.",
              m.sources({LandmarkId::navicular}));
}

void measure_arch(const Standing& standing, const std::optional<Survey>& survey, Measuring& m) {
    if (!survey) return;
    if (const Landmark* first = m.mark(LandmarkId::first_head_plantar)) {
        const double y = 0.5 * first->position.y();
        if (const auto apex = arch_apex(standing.mesh, *survey, y)) {
            // The section's place carries half of the landmark's error.
            constexpr double step_mm = 0.5;
            const auto more = arch_apex(standing.mesh, *survey, y + step_mm);
            const auto less = arch_apex(standing.mesh, *survey, y - step_mm);
            const double slope = more && less ? (more->z() - less->z()) / (2.0 * step_mm) : 0.0;
            m.add("arch_height", "Arch height", apex->z(),
                  written_sigmas * std::hypot(0.5 * slope * first->sd_mm, tolerance::surface_measure_sd_mm),
                  "mm",
                  "Height of the highest point of the sole in the section y = half of the 1st metatarsal "
                  "head's y.",
                  m.sources({LandmarkId::first_head_plantar}));
        }
    }
    const double sd = tolerance::surface_measure_sd_mm;
    const auto index = arch_index(standing.mesh, *survey, arch_index_height_mm);
    const auto more = arch_index(standing.mesh, *survey, arch_index_height_mm + sd);
    const auto less = arch_index(standing.mesh, *survey, arch_index_height_mm - sd);
    if (index && more && less)
        m.add("arch_index", "Arch index, unloaded", *index, written_sigmas * 0.5 * std::abs(*more - *less),
              "",
              "Area of the middle third of the sole within 5 mm of the ground over that of all three, toes "
              "excluded (Cavanagh and Rodgers 1987, on an unloaded scan: not to be compared with thresholds "
              "for standing footprints).",
              "the surface itself");
}

void measure_angles(const Standing& standing, Measuring& m) {
    using enum LandmarkId;
    const auto lower = m.marked(bisection_lower);
    const auto upper = m.marked(bisection_upper);
    const auto first = m.marked(first_head_plantar);
    const auto second = m.marked(second_head_plantar);
    const auto fifth = m.marked(fifth_head_plantar);
    if (lower && upper)
        m.angle("heel_bisection", "Heel bisection", heel_bisection(*lower, *upper),
                "Inclination of the heel bisection in the frontal plane; inverted when the lower point is "
                "the more medial.",
                {bisection_lower, bisection_upper});
    if (first && fifth)
        m.angle("metatarsal_plane", "Metatarsal plane, 1st and 5th", metatarsal_plane(*first, *fifth),
                "Inclination of the line through the plantar points of the 5th and 1st metatarsal heads.",
                {first_head_plantar, fifth_head_plantar});
    if (second && fifth)
        m.angle("metatarsal_plane_2_5", "Metatarsal plane, 2nd and 5th", metatarsal_plane(*second, *fifth),
                "The same from the 2nd and 5th heads; a plantarflexed first ray shows as a difference.",
                {second_head_plantar, fifth_head_plantar});
    if (lower && upper && first && fifth)
        m.angle(
            "forefoot_to_rearfoot", "Forefoot to rearfoot",
            forefoot_to_rearfoot(*lower, *upper, *first, *fifth, standing.heel_lowest),
            "Metatarsal plane less heel bisection, the heel's lowest point level with the mean of the 1st "
            "and 5th heads.",
            {bisection_lower, bisection_upper, first_head_plantar, fifth_head_plantar});
    const auto lateral = m.marked(lateral_malleolus);
    const auto medial = m.marked(medial_malleolus);
    if (lateral && medial)
        m.angle("malleolar_line", "Malleolar line", foot::malleolar_line(*lateral, *medial),
                "Inclination of the line from the lateral to the medial malleolus in the frontal plane.",
                {lateral_malleolus, medial_malleolus});
}

}  // namespace

std::vector<Measurement> measure(const Standing& standing) {
    std::vector<Measurement> measurements;
    Measuring m(standing, measurements);
    const std::optional<Survey> surveyed = survey(standing.mesh, standing.length_estimated);
    measure_lengths(standing, surveyed, m);
    measure_arch(standing, surveyed, m);
    measure_angles(standing, m);
    return measurements;
}

const Measurement* find(const std::vector<Measurement>& measurements, const std::string& id) {
    for (const Measurement& m : measurements)
        if (m.id == id) return &m;
    return nullptr;
}

}  // namespace archwright::foot
