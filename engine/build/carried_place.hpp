// A place of one cast on the cast of the other foot.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

/// `place` in the coordinates of the file of `from`, as a place in those of `to`: mirrored about the sagittal
/// plane of the foot, measured from the heel centre along the axes of the cast as it lay by itself, so that
/// how either was balanced does not matter. Mirrored casts give the mirrored place to tolerance::mirror_mm;
/// on two feet that differ it lies about there, and not on the surface.
Vec3 carried_place(const Vec3& place, const Received& from, const Received& to);

}  // namespace archwright::build
