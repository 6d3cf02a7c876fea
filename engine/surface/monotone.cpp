#include "engine/surface/monotone.hpp"

#include <algorithm>
#include <cstddef>

namespace archwright::surface {

MonotoneCurve::MonotoneCurve(std::vector<double> places, std::vector<double> values)
    : places_(std::move(places)), values_(std::move(values)), slopes_(places_.size(), 0.0) {
    // The weighted harmonic mean of the two secants keeps the cubic monotone.
    for (std::size_t i = 1; i + 1 < places_.size(); ++i) {
        const double before = places_[i] - places_[i - 1], after = places_[i + 1] - places_[i];
        const double rise = (values_[i] - values_[i - 1]) / before,
                     next = (values_[i + 1] - values_[i]) / after;
        if (rise * next <= 0) continue;
        const double w1 = 2 * after + before, w2 = after + 2 * before;
        slopes_[i] = (w1 + w2) / (w1 / rise + w2 / next);
    }
}

MonotoneCurve::At MonotoneCurve::at(double place) const {
    if (place <= places_.front()) return {values_.front(), 0.0};
    if (place >= places_.back()) return {values_.back(), 0.0};
    const auto above = std::upper_bound(places_.begin(), places_.end(), place);
    const auto i = static_cast<std::size_t>(above - places_.begin()) - 1;
    const double h = places_[i + 1] - places_[i], t = (place - places_[i]) / h;
    const double rise = (values_[i + 1] - values_[i]) / h;
    // Cubic Hermite form: w + t h m0 + t^2 h (3 r - 2 m0 - m1) + t^3 h (m0 + m1 - 2 r).
    const double c2 = 3 * rise - 2 * slopes_[i] - slopes_[i + 1], c3 = slopes_[i] + slopes_[i + 1] - 2 * rise;
    return {values_[i] + h * t * (slopes_[i] + t * (c2 + t * c3)), slopes_[i] + t * (2 * c2 + 3 * t * c3)};
}

}  // namespace archwright::surface
