#include "engine/flex/model.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <string>

#include "engine/base/text.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

Fault wrong_model(const std::string& what, std::optional<Vec3> where = std::nullopt) {
    return Fault{FaultKind::input, "flex", what, where};
}

/// A sheet must give energy to nobody: both its matrices positive definite.
Outcome<Done> check_stuff(const Model& model) {
    if (!model.sheet) return model.lamina.check();
    for (const Mat3* each : {&model.sheet->stretching, &model.sheet->bending})
        if (!each->allFinite() || Eigen::LLT<Mat3>(*each).info() != Eigen::Success)
            return wrong_model("The laminate's stiffness is not possible. Correct the material.");
    return Done{};
}

Outcome<Done> check_points(const Model& model) {
    if (model.points.empty() || model.triangles.empty())
        return wrong_model("There is no shell to flex: it has " + std::to_string(model.points.size()) +
                           " points and " + std::to_string(model.triangles.size()) + " triangles.");
    if (model.points.size() > limit::most_points)
        return wrong_model("The shell has " + std::to_string(model.points.size()) + " points; at most " +
                           std::to_string(limit::most_points) + " are flexed. Take larger elements.");
    if (model.wall_mm.size() != model.points.size())
        return wrong_model("The shell has " + std::to_string(model.points.size()) + " points but " +
                           std::to_string(model.wall_mm.size()) + " walls: one a point is needed.");
    for (std::size_t i = 0; i < model.points.size(); ++i) {
        if (!model.points[i].allFinite())
            return wrong_model("Point " + std::to_string(i) + " of the shell is not a number.");
        if (!std::isfinite(model.wall_mm[i]) || !(model.wall_mm[i] > 0.0))
            return wrong_model("The wall is " + exact(model.wall_mm[i]) + " mm at " +
                                   coordinates(model.points[i]) + "; it must be above 0.",
                               model.points[i]);
    }
    if (!model.fibre.allFinite() || model.fibre.norm() == 0.0)
        return wrong_model("The direction of the material's fibres is not a direction.");
    return Done{};
}

}  // namespace

Outcome<Done> Model::check() const {
    if (const auto good = check_stuff(*this); !good) return good.fault();
    if (const auto good = check_points(*this); !good) return good.fault();
    std::vector<char> used(points.size(), 0);
    for (std::size_t t = 0; t < triangles.size(); ++t) {
        for (const std::int32_t corner : triangles[t]) {
            if (corner < 0 || static_cast<std::size_t>(corner) >= points.size())
                return wrong_model("Triangle " + std::to_string(t) + " names point " +
                                   std::to_string(corner) + ", but there are only " +
                                   std::to_string(points.size()) + ".");
            used[corner] = 1;
        }
        const Vec3 &a = points[triangles[t][0]], &b = points[triangles[t][1]], &c = points[triangles[t][2]];
        const double longest =
            std::max({(b - a).squaredNorm(), (c - b).squaredNorm(), (a - c).squaredNorm()});
        if (!(0.5 * (b - a).cross(c - a).norm() > limit::least_slimness * longest))
            return wrong_model("Triangle " + std::to_string(t) + " at " + coordinates(a) +
                                   " has no area; mesh the shell anew.",
                               a);
        if (std::abs((b - a).cross(c - a).normalized().dot(fibre.normalized())) > 1.0 - 1e-9 &&
            (sheet || lamina.e1_mpa != lamina.e2_mpa))
            return wrong_model("The fibres stand upright on the shell at " + coordinates(a) +
                                   ": their direction there is not known.",
                               a);
    }
    for (std::size_t i = 0; i < points.size(); ++i)
        if (!used[i])
            return wrong_model(
                "Point " + std::to_string(i) + " at " + coordinates(points[i]) + " belongs to no triangle.",
                points[i]);
    return Done{};
}

ShellElement Model::element(std::size_t triangle) const {
    const Triangle& t = triangles[triangle];
    const std::array<Vec3, 3> corners{points[t[0]], points[t[1]], points[t[2]]};
    const std::array<double, 3> wall{wall_mm[t[0]], wall_mm[t[1]], wall_mm[t[2]]};
    return ShellElement(corners, wall, stuff(), fibre);
}

double Model::modulus_along() const {
    return sheet ? 1.0 / sheet->stretching.inverse()(0, 0) : lamina.e1_mpa;
}

double Model::mean_wall() const {
    const std::vector<double> area = areas(*this);
    double volume = 0.0, whole = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        volume += area[i] * wall_mm[i];
        whole += area[i];
    }
    return volume / whole;
}

std::vector<double> areas(const Model& model) {
    std::vector<double> area(model.points.size(), 0.0);
    for (const Triangle& t : model.triangles) {
        const Vec3& a = model.points[t[0]];
        const double third = (model.points[t[1]] - a).cross(model.points[t[2]] - a).norm() / 6.0;
        for (const std::int32_t corner : t) area[corner] += third;
    }
    return area;
}

std::vector<Vec3> normals(const Model& model) {
    std::vector<Vec3> normal(model.points.size(), Vec3::Zero());
    for (const Triangle& t : model.triangles)
        for (int i = 0; i < 3; ++i) {
            const Vec3& corner = model.points[t[i]];
            const Vec3 one = model.points[t[(i + 1) % 3]] - corner;
            const Vec3 other = model.points[t[(i + 2) % 3]] - corner;
            const Vec3 across = one.cross(other);
            normal[t[i]] += std::atan2(across.norm(), one.dot(other)) * across.normalized();
        }
    for (Vec3& n : normal) n.normalize();
    return normal;
}

}  // namespace archwright::flex
