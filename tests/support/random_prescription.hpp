// Random orders as a practitioner might write them: everything an order may ask, within the trade's figures.
#pragma once

#include <string>

#include "assets/generator/random.hpp"
#include "engine/design/job.hpp"

namespace archwright::tests {

/// Changes balance, dressing and trim of the foot; what was asked, in words for messages.
std::string prescribe(generator::Random& random, design::FootDesign& foot);
/// The same, and reliefs, pads, apertures and posts.
std::string prescribe_in_full(generator::Random& random, design::FootDesign& foot);

}  // namespace archwright::tests
