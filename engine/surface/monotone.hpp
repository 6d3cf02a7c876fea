// A curve through values at places, without overshoot.
#pragma once

#include <vector>

namespace archwright::surface {

/// Monotone piecewise cubic (F. N. Fritsch and J. Butland 1984, SIAM J Sci Stat Comput 5:300): level at both
/// ends and constant beyond them; between two places never outside their values.
class MonotoneCurve {
  public:
    MonotoneCurve() = default;
    /// `places` ascending, as many as `values`; both may be empty.
    MonotoneCurve(std::vector<double> places, std::vector<double> values);

    struct At {
        double value = 0.0, slope = 0.0;
    };
    /// Must not be asked when empty.
    At at(double place) const;
    bool empty() const { return places_.empty(); }
    const std::vector<double>& values() const { return values_; }

  private:
    std::vector<double> places_, values_, slopes_;
};

}  // namespace archwright::surface
