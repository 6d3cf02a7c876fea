// Measuring a field: the definitions of every landmark and figure of FootTruth.
#pragma once

#include "assets/generator/foot_field.hpp"

namespace archwright::generator {

/// Measures the surface of a field by search, each figure by its definition (docs/decisions.md). `before`,
/// when not empty, says where to start. Fault: a landmark that cannot be found, by name.
Outcome<FootTruth> measure(const FootField& field, const FootTruth& before);

}  // namespace archwright::generator
