#include "assets/generator/smooth.hpp"

#include <algorithm>

namespace archwright::generator {

Spline::Spline(std::vector<double> knots, std::vector<double> values)
    : knots_(std::move(knots)), values_(std::move(values)), bending_(knots_.size(), 0.0) {
    // Second derivatives by the tridiagonal system of the natural spline (Thomas).
    const std::size_t n = knots_.size();
    std::vector<double> upper(n, 0.0), right(n, 0.0);
    for (std::size_t i = 1; i + 1 < n; ++i) {
        const double h0 = knots_[i] - knots_[i - 1], h1 = knots_[i + 1] - knots_[i];
        const double bend = 6.0 * ((values_[i + 1] - values_[i]) / h1 - (values_[i] - values_[i - 1]) / h0);
        const double pivot = 2.0 * (h0 + h1) - h0 * upper[i - 1];
        upper[i] = h1 / pivot;
        right[i] = (bend - h0 * right[i - 1]) / pivot;
    }
    for (std::size_t i = n - 1; i-- > 1;) bending_[i] = right[i] - upper[i] * bending_[i + 1];
}

double Spline::evaluate(double at, double& slope) const {
    const std::size_t n = knots_.size();
    std::size_t i = 0;
    while (i + 2 < n && at > knots_[i + 1]) ++i;
    const double h = knots_[i + 1] - knots_[i];
    const double chord = (values_[i + 1] - values_[i]) / h;
    if (at < knots_.front()) {
        slope = chord - h * bending_[1] / 6.0;
        return values_.front() + slope * (at - knots_.front());
    }
    if (at > knots_.back()) {
        slope = chord + h * bending_[n - 2] / 6.0;
        return values_.back() + slope * (at - knots_.back());
    }
    const double t = (at - knots_[i]) / h, s = 1.0 - t;
    slope = chord + h / 6.0 * ((3.0 * t * t - 1.0) * bending_[i + 1] - (3.0 * s * s - 1.0) * bending_[i]);
    return s * values_[i] + t * values_[i + 1] +
           h * h / 6.0 * ((s * s * s - s) * bending_[i] + (t * t * t - t) * bending_[i + 1]);
}

}  // namespace archwright::generator
