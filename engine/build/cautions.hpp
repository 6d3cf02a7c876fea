// What the order itself warns of, carried to where the decision is made.
#pragma once

#include <vector>

#include "engine/base/check.hpp"
#include "engine/design/job.hpp"

namespace archwright::build {

/// One look for every flag of the order (insensate foot, open wound, growing child) with its caution.
std::vector<Check> cautions(const design::Order& order);

/// Under an insensate foot a thin rim is never signed off: nobody would feel it cut.
void heed_order(const design::Order& order, std::vector<Check>& checks);

}  // namespace archwright::build
