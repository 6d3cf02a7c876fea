// Where the differences of measurements come from: variances of random effects.
#pragma once

#include <string>
#include <vector>

#include "engine/statistic/icc.hpp"

namespace archwright::statistic {

/// One source of variance: which of its levels each value belongs to, 0, 1, 2, ...
struct Source {
    std::string name;
    std::vector<int> level;
};

struct Component {
    std::string name;
    int levels = 0;
    Estimate variance;  ///< never negative; limits by the profile of the restricted likelihood
    bool known = true;  ///< false: the values do not tell it from others; its variance is nothing
};

struct Components {
    double mean = 0.0, mean_sd = 0.0;  ///< general mean and its standard error
    std::vector<Component> parts;      ///< in the order of the sources, the rest last
    bool settled = true;
};

/// Variances of y = mean + sum of the sources + rest by restricted maximum likelihood (H. D. Patterson and R.
/// Thompson, Biometrika 58:545, 1971), tables with gaps alike; of a full table with every estimate positive
/// they are those of the analysis of variance. Found by scoring with the expected information through C. R.
/// Henderson's equations (Biometrics 31:423, 1975), held at zero where they would go below. A source whose
/// levels part the values as another does, or leave none together, is not known. `confidence` as 0.95; each
/// limit is where twice the log likelihood, the other variances at their best, has fallen by chi squared of
/// one degree. Three values or more, sources as long as `values`.
Components components(const std::vector<double>& values, const std::vector<Source>& sources,
                      double confidence);

/// The name of the last part.
inline constexpr const char* rest_name = "rest";

}  // namespace archwright::statistic
