// Which way is up: the side a foot would lie on, and the way its ankle opens.
#pragma once

#include <optional>
#include <vector>

#include "engine/scan/receive_samples.hpp"

namespace archwright::scan {

/// The largest opening of a scan: the ankle of a foot, the top of a slipper cast.
struct Opening {
    Vec3 centre = Vec3::Zero();
    Vec3 normal = Vec3::Zero();  ///< unit, pointing out of the opening
    double length = 0.0;         ///< of its rim, file units
};

/// One way the scan could lie.
struct UpCandidate {
    Vec3 up = Vec3::UnitZ();
    double score = 0.0;
    double contact_share = 0.0;  ///< of the surface, in contact with the ground
};

/// The ways up worth a closer look, best first, at least 30 degrees apart, at most four: of all planes the
/// samples could lie on, those with most surface in contact, times (1 - length of the top slice / length in
/// plan), which is what tells a sole from a leg's side, times the agreement with the opening's normal. Rough,
/// within some 20 degrees: levelling on heel and heads does the rest.
std::vector<UpCandidate> find_up(const Samples& samples, const std::optional<Opening>& opening);

}  // namespace archwright::scan
