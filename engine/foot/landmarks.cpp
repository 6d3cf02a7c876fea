#include "engine/foot/landmarks.hpp"

#include <array>

namespace archwright::foot {
namespace {

struct Name {
    LandmarkId id;
    const char* key;
    const char* title;
};

constexpr std::array names{
    Name{LandmarkId::heel_centre, "heel_centre", "Heel centre"},
    Name{LandmarkId::posterior_heel, "posterior_heel", "Posterior heel"},
    Name{LandmarkId::bisection_lower, "bisection_lower", "Heel bisection, lower point"},
    Name{LandmarkId::bisection_upper, "bisection_upper", "Heel bisection, upper point"},
    Name{LandmarkId::first_head_plantar, "first_head_plantar", "1st metatarsal head, plantar"},
    Name{LandmarkId::second_head_plantar, "second_head_plantar", "2nd metatarsal head, plantar"},
    Name{LandmarkId::fifth_head_plantar, "fifth_head_plantar", "5th metatarsal head, plantar"},
    Name{LandmarkId::first_head_border, "first_head_border", "1st metatarsal head, medial border"},
    Name{LandmarkId::fifth_head_border, "fifth_head_border", "5th metatarsal head, lateral border"},
    Name{LandmarkId::fifth_base, "fifth_base", "5th metatarsal base"},
    Name{LandmarkId::navicular, "navicular", "Navicular tuberosity"},
    Name{LandmarkId::medial_malleolus, "medial_malleolus", "Medial malleolus"},
    Name{LandmarkId::lateral_malleolus, "lateral_malleolus", "Lateral malleolus"},
};

}  // namespace

const char* key(LandmarkId id) {
    for (const Name& n : names)
        if (n.id == id) return n.key;
    return "";
}

std::optional<LandmarkId> landmark_id(std::string_view key) {
    for (const Name& n : names)
        if (key == n.key) return n.id;
    return std::nullopt;
}

const char* title(LandmarkId id) {
    for (const Name& n : names)
        if (n.id == id) return n.title;
    return "";
}

}  // namespace archwright::foot
