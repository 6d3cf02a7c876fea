// Holes through the shell.
#pragma once

#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/feature/place.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::feature {

/// The apertures of a list that are on, each with the shell's rim: an ellipse of the tangent plane of its
/// middle, or the closed curve through its points, laid on the carpet. Faults: those of place_of.
Outcome<std::vector<surface::Aperture>> apertures(const std::vector<Feature>& features, const Site& site,
                                                  const surface::Rim& rim);

}  // namespace archwright::feature
