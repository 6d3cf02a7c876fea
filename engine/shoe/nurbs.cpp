#include "engine/shoe/nurbs.hpp"

#include <algorithm>

namespace archwright::shoe {

namespace {

constexpr int highest_degree = 10;

}  // namespace

std::string Nurbs::trouble() const {
    if (degree < 1 || degree > highest_degree)
        return "its degree is " + std::to_string(degree) + "; 1 to " + std::to_string(highest_degree) +
               " are read";
    const auto order = static_cast<std::size_t>(degree) + 1;
    if (control.size() < order)
        return "it has too few control points (" + std::to_string(control.size()) + ")";
    if (knots.size() != control.size() + order)
        return "it has " + std::to_string(knots.size()) + " knots where " +
               std::to_string(control.size() + order) + " belong";
    if (!std::is_sorted(knots.begin(), knots.end())) return "its knots are not in order";
    if (!(knots[order - 1] < knots[control.size()])) return "its knots span nothing";
    if (!weights.empty() && weights.size() != control.size()) return "some of its weights are missing";
    for (const double w : weights)
        if (!(w > 0.0)) return "one of its weights is not positive";
    return {};
}

Vec2 Nurbs::point(double t) const {
    const auto p = static_cast<std::size_t>(degree);
    // the span that holds t and is not empty
    const auto first = knots.begin() + static_cast<std::ptrdiff_t>(p);
    const auto last = knots.begin() + static_cast<std::ptrdiff_t>(control.size());
    std::size_t k = p + static_cast<std::size_t>(std::upper_bound(first + 1, last, t) - (first + 1));
    while (k > p && knots[k] == knots[k + 1]) --k;
    std::array<Vec3, highest_degree + 1> d;  // x w, y w, w
    for (std::size_t j = 0; j <= p; ++j) {
        const std::size_t i = k - p + j;
        const double w = weights.empty() ? 1.0 : weights[i];
        d[j] = Vec3(w * control[i].x(), w * control[i].y(), w);
    }
    for (std::size_t r = 1; r <= p; ++r)
        for (std::size_t j = p; j >= r; --j) {
            const double low = knots[k - p + j], high = knots[k + 1 + j - r];
            const double share = high > low ? (t - low) / (high - low) : 0.0;
            d[j] = (1.0 - share) * d[j - 1] + share * d[j];
        }
    return d[p].head<2>() / d[p].z();
}

bool Nurbs::add_to(Pieces& pieces) const {
    const auto p = static_cast<std::size_t>(degree);
    if (!pieces.add(point(knots[p]))) return false;
    for (std::size_t k = p; k < control.size(); ++k) {
        const double low = knots[k], high = knots[k + 1];
        if (!(low < high)) continue;
        // C'' = p (p - 1) (difference of two steps of the polygon over their knots) over knots, none of them
        // narrower than this span; weights bend it further, by a factor that two covers for arcs
        double step = 0.0;
        for (std::size_t i = k - p; i + 1 <= k; ++i)
            step = std::max(step, (control[i + 1] - control[i]).norm());
        const double bend = 2.0 * static_cast<double>(p * (p - 1)) * step * (weights.empty() ? 1.0 : 2.0);
        if (!pieces.add_curve([&](double t) { return point(low + t * (high - low)); }, bend)) return false;
    }
    return true;
}

}  // namespace archwright::shoe
