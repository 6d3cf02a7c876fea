// Cameras that photograph a generated foot, and the matches a person makes in the picture.
#pragma once

#include <vector>

#include "assets/generator/random.hpp"
#include "engine/foot/stand.hpp"
#include "engine/mark/photograph.hpp"

namespace archwright::tests {

/// A camera below the sole, in the frame of a view: a little askew, 380 to 600 mm away.
mark::View random_camera(generator::Random& random, const foot::Standing& standing, std::size_t width,
                         std::size_t height);

/// Matches as a person clicks them: places spread over the sole, each good to `doubt_mm` and `doubt_px`. In
/// the frame of a view.
std::vector<mark::Match> clicked(const foot::Standing& standing, const mark::View& camera, int count,
                                 double doubt_mm, generator::Random& random, double doubt_px = 0.5);

}  // namespace archwright::tests
