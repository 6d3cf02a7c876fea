#include "engine/flex/footprint.hpp"

#include <cmath>

namespace archwright::flex {

namespace {
constexpr int parts_a_side = 10;
}

std::vector<double> footprint(const Model& model, const std::function<bool(const Vec2& plan)>& inside) {
    std::vector<double> shares(model.points.size(), 0.0);
    double whole = 0.0;
    for (const Triangle& t : model.triangles) {
        const Vec2 a = model.points[t[0]].head<2>(), b = model.points[t[1]].head<2>(),
                   c = model.points[t[2]].head<2>();
        const double twice = (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
        const double part = 0.5 * std::abs(twice) / (parts_a_side * parts_a_side);
        for (int i = 0; i < parts_a_side; ++i)
            for (int j = 0; j < parts_a_side - i; ++j)
                for (int upper = 0; upper < (j < parts_a_side - i - 1 ? 2 : 1); ++upper) {
                    const double third = upper ? 2.0 / 3.0 : 1.0 / 3.0;
                    const double l1 = (i + third) / parts_a_side, l2 = (j + third) / parts_a_side;
                    const double l0 = 1.0 - l1 - l2;
                    if (!inside(l0 * a + l1 * b + l2 * c)) continue;
                    shares[t[0]] += part * l0;
                    shares[t[1]] += part * l1;
                    shares[t[2]] += part * l2;
                    whole += part;
                }
    }
    if (!(whole > 0.0)) return {};
    for (double& share : shares) share /= whole;
    return shares;
}

std::vector<double> disc(const Model& model, const Vec2& centre, double radius_mm) {
    return footprint(model, [&](const Vec2& plan) { return (plan - centre).norm() < radius_mm; });
}

double mean_of(const std::vector<double>& shares, const Eigen::VectorXd& displacement, int component) {
    double mean = 0.0;
    for (std::size_t p = 0; p < shares.size(); ++p)
        mean += shares[p] * displacement[6 * static_cast<Eigen::Index>(p) + component];
    return mean;
}

}  // namespace archwright::flex
