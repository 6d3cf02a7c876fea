#include "engine/flex/friction_bounds.hpp"

#include <algorithm>

namespace archwright::flex {

namespace {

/// The share of the way stays between these; it is halved where the last two moves tell none.
constexpr double least_pace = 0.01, most_pace = 4.0;

}  // namespace

void FrictionBounds::follow(std::vector<double>& bounds, const Eigen::VectorXd& off) {
    if (last_.size() == off.size()) {
        const Eigen::VectorXd change = off - last_;
        const double told = -pace_ * last_.dot(change) / change.squaredNorm();
        pace_ = std::clamp(told > 0.0 ? told : 0.5 * pace_, least_pace, most_pace);
    }
    last_ = off;
    for (std::size_t c = 0; c < bounds.size(); ++c)
        bounds[c] = std::max(0.0, bounds[c] + pace_ * off[static_cast<Eigen::Index>(c)]);
}

}  // namespace archwright::flex
