// Where on the foot a place lies, and what there looks like a fault and is none.
#pragma once

#include <string>

#include "engine/base/outcome.hpp"
#include "engine/foot/stand.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::examine {

/// The foot's outline and resting points (foot::Survey), for saying where a place lies.
struct Anatomy {
    foot::Profile profile;
    Vec3 heel_lowest = Vec3::Zero();
    Vec3 first_head = Vec3::Zero(), fifth_head = Vec3::Zero();  ///< lowest points of the heads

    /// Share of the foot's length from the rearmost point: 0 heel, 1 longest toe.
    double along(const Vec3& p) const { return profile.share_at(p.x()); }
    /// Share of the width there: 0 lateral border, 1 medial border.
    double across(const Vec3& p) const;
    /// How far the place lies behind the line through the 1st and 5th heads, along x, mm.
    double behind_heads_mm(const Vec3& p) const;
    /// "under the 1st metatarsal head", "on the heel", "under the lateral midfoot", ...
    std::string where(const Vec3& p) const;
};

/// Fault (stage "examine"): no heel or no heads.
Outcome<Anatomy> anatomy_of(const foot::Standing& standing);

}  // namespace archwright::examine
