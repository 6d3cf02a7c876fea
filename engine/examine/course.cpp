#include "engine/examine/course.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::examine {

Course::Course(const Samples& samples, const Vec2& middle, double size, const Dome* dome)
    : middle_(middle), size_(size) {
    using Matrix = Eigen::Matrix<double, terms + 1, terms + 1>;
    Matrix normal = Matrix::Zero();
    Eigen::Matrix<double, terms + 1, 1> right = Eigen::Matrix<double, terms + 1, 1>::Zero(), row;
    for (std::size_t k = 0; k < samples.at.size(); ++k) {
        row.head<terms>() = row_of(samples.at[k]);
        row[terms] = dome == nullptr ? 0.0 : dome->at(samples.at[k]);
        normal.selfadjointView<Eigen::Lower>().rankUpdate(row, samples.weight[k]);
        right += samples.weight[k] * samples.height[k] * row;
    }
    // enough to hold terms that few samples decide, nothing beside those that many do
    constexpr double least = 1e-9;
    normal.diagonal().array() += least * normal.trace();
    const Eigen::Matrix<double, terms + 1, 1> found =
        normal.selfadjointView<Eigen::Lower>().ldlt().solve(right);
    factors_ = found.head<terms>();
    dome_height_ = found[terms];
    for (std::size_t k = 0; k < samples.at.size(); ++k) {
        const double off = height(samples.at[k]) - samples.height[k] +
                           (dome == nullptr ? 0.0 : dome_height_ * dome->at(samples.at[k]));
        misfit2_ += samples.weight[k] * off * off;
    }
}

Course::Row Course::row_of(const Vec2& at) const {
    const Vec2 p = (at - middle_) / size_;
    std::array<double, degree + 1> x{1.0}, y{1.0};
    for (std::size_t n = 1; n <= degree; ++n) x[n] = x[n - 1] * p.x(), y[n] = y[n - 1] * p.y();
    Row row;
    int k = 0;
    for (std::size_t n = 0; n <= degree; ++n)
        for (std::size_t i = 0; i <= n; ++i) row[k++] = x[n - i] * y[i];
    return row;
}

std::optional<Course> below_dome(const Samples& samples, const Vec2& middle, double size, const Vec2& place,
                                 double reach) {
    std::optional<Course> best;
    Dome of_best;
    for (double radius = reach; radius >= std::max(0.55 * reach, 3.0); radius -= 0.5)
        for (int i = -1; i <= 1; ++i)
            for (int j = -1; j <= 1; ++j) {
                const Dome dome{place + Vec2(i, j), radius};
                Course course(samples, middle, size, &dome);
                if (best && course.misfit2() >= best->misfit2()) continue;
                best = course;
                of_best = dome;
            }
    if (!best) return std::nullopt;
    double inside2 = 0.0, area = 0.0;
    for (std::size_t k = 0; k < samples.at.size(); ++k) {
        const double dome = of_best.at(samples.at[k]);
        if (!(dome > 0.0)) continue;
        const double off = best->height(samples.at[k]) + best->dome_height() * dome - samples.height[k];
        inside2 += samples.weight[k] * off * off;
        area += samples.weight[k];
    }
    constexpr double most_left = 0.25;  // of its height, rms
    if (std::sqrt(inside2 / std::max(area, 1e-12)) > most_left * std::abs(best->dome_height()))
        return std::nullopt;
    return best;
}

}  // namespace archwright::examine
