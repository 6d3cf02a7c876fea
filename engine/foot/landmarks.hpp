// Landmarks: named places on the cast.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/vec.hpp"

namespace archwright::foot {

enum class LandmarkId {
    heel_centre,         ///< middle of the width at 0.16 of the foot length, on the sole
    posterior_heel,      ///< rearmost point of the heel
    bisection_lower,     ///< heel bisection, lower point on the back of the heel
    bisection_upper,     ///< heel bisection, upper point
    first_head_plantar,  ///< lowest point of the 1st metatarsal head on the sole
    second_head_plantar,
    fifth_head_plantar,
    first_head_border,  ///< most medial point of the 1st metatarsal head
    fifth_head_border,  ///< most lateral point of the 5th metatarsal head
    fifth_base,         ///< base of the 5th metatarsal, on the lateral border
    navicular,          ///< navicular tuberosity, medial
    medial_malleolus,
    lateral_malleolus,
};

/// Stable key in jobs and commands, for example "first_head_plantar".
const char* key(LandmarkId id);
std::optional<LandmarkId> landmark_id(std::string_view key);
/// The trade's words, for example "1st metatarsal head, plantar".
const char* title(LandmarkId id);

struct Landmark {
    enum class Source { suggested, set };

    Vec3 position = Vec3::Zero();  ///< in the frame of the map that holds it
    Source source = Source::suggested;
    double confidence = 1.0;  ///< 0..1 for suggested ones
    double sd_mm = 2.5;       ///< default 2.5 suggested, 1.0 set by a person (docs/decisions.md)
    std::string by;           ///< code of the person who set it
};

/// In a job: scan file's own coordinates. In the pipeline: design frame, mm. The context says which.
using Landmarks = std::map<LandmarkId, Landmark>;

}  // namespace archwright::foot
