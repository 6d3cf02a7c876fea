// Places of a device that are kept with its record, by which a later version of the program is told from it.
#pragma once

#include <cstddef>
#include <vector>

#include "engine/build/device.hpp"

namespace archwright::compare {

/// A place of a surface and its outward unit normal, design frame, mm.
struct Sample {
    Vec3 at = Vec3::Zero(), normal = Vec3::Zero();
};
/// Spread over the surfaces by the order of the mesh's points.
struct Samples {
    std::vector<Sample> foot_side, underside;
    std::vector<Vec3> rest;  ///< of rims, apertures and posts
};
/// So many of each at most.
inline constexpr std::size_t most_samples = 120;
/// What a stored device may be changed by without a word, mm.
inline constexpr double unannounced_mm = 0.01;

Samples samples_of(const build::Device& device);

/// How far a device lies from kept samples: foot side and underside along the normals, from the exact
/// surfaces; the rest from the nearest place of the mesh.
struct Moved {
    double most_mm = 0.0;
    Vec3 where = Vec3::Zero();
    std::size_t lost = 0;  ///< samples where the device has no surface any more
};
Moved moved_since(const Samples& samples, const build::Device& now);

}  // namespace archwright::compare
