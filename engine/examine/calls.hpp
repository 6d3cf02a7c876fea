// From what a detector measured to a call: certain or a question, its sentence, its advice.
#pragma once

#include <functional>
#include <optional>

#include "engine/examine/anatomy.hpp"
#include "engine/examine/crease.hpp"
#include "engine/examine/dimple.hpp"
#include "engine/examine/finding.hpp"
#include "engine/examine/flat.hpp"
#include "engine/examine/relief.hpp"
#include "engine/examine/rough.hpp"
#include "engine/examine/seam.hpp"

namespace archwright::examine {

/// Height of a dimple or dome at a place within a reach (mm), mm away from the foot (dome_height,
/// repair.hpp).
using DomeHeight = std::function<std::optional<double>(const Vec3& place, double reach_mm)>;

/// Each gives nothing where the measure is no more than anatomy shows anyway.
std::optional<Finding> call_dimple(const Dimple& dimple, const Relief& relief, const Anatomy& anatomy,
                                   const DomeHeight& measured);
std::optional<Finding> call_crease(const Crease& crease, const Relief& relief, const Anatomy& anatomy);
std::optional<Finding> call_seam(const SeamLine& seam, const Relief& relief, const Anatomy& anatomy);
std::optional<Finding> call_flat_heel(const Flat& flat, const Relief& relief, const Anatomy& anatomy);
/// Whether the forefoot is flat in the plane of the heel's flat: a foot that stood while it was scanned. Its
/// sole shows the floor and the edge of the contact; nothing on it is certain.
bool stood(const Flat& heel, const Relief& relief, const Anatomy& anatomy);
std::optional<Finding> call_flat_border(const Flat& flat, const Relief& relief, const Anatomy& anatomy);
std::optional<Finding> call_rough(const RoughPatch& patch, const Relief& relief, const Anatomy& anatomy);

}  // namespace archwright::examine
