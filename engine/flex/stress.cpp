#include "engine/flex/stress.hpp"

#include <cmath>

namespace archwright::flex {

double FaceStress::von_mises() const {
    return std::sqrt(xx * xx + yy * yy - xx * yy + 3.0 * xy * xy);
}
double FaceStress::greatest() const {
    return 0.5 * (xx + yy) + std::hypot(0.5 * (xx - yy), xy);
}
double FaceStress::least() const {
    return 0.5 * (xx + yy) - std::hypot(0.5 * (xx - yy), xy);
}

namespace {

/// Stress of an element of a model whose freedoms in its own axes are known.
ElementStress stress_of(const Model& model, std::size_t triangle, const ShellElement& element,
                        const Vec18& local) {
    double wall = 0.0;
    Vec9 membrane, bending;
    for (int i = 0; i < 3; ++i) {
        wall += model.wall_mm[model.triangles[triangle][i]] / 3.0;
        for (int c = 0; c < 3; ++c) {
            membrane[3 * i + c] = local[6 * i + membrane_freedoms[c]];
            bending[3 * i + c] = local[6 * i + bending_freedoms[c]];
        }
    }
    const Vec3 middle = element.elastic() * (membrane_strain(element.facet()) * membrane);
    const Vec3 bent = 0.5 * wall * element.elastic_bending() *
                      (bending_curvature(element.facet(), 1.0 / 3.0, 1.0 / 3.0) * bending);
    const auto face = [](const Vec3& s) { return FaceStress{s[0], s[1], s[2]}; };
    return {face(middle + bent), face(middle - bent)};
}

}  // namespace

std::vector<ElementStress> stresses(const Model& model, const Eigen::VectorXd& displacement) {
    std::vector<ElementStress> found;
    found.reserve(model.triangles.size());
    for (std::size_t t = 0; t < model.triangles.size(); ++t) {
        const ShellElement element = model.element(t);
        Vec18 freedoms;
        for (int i = 0; i < 3; ++i)
            freedoms.segment<6>(6 * i) = displacement.segment<6>(6 * model.triangles[t][i]);
        found.push_back(stress_of(model, t, element, element.local_of(freedoms)));
    }
    return found;
}

std::vector<ElementStress> stresses(const LargeShell& shell, const LargeState& state) {
    const Model& model = shell.problem().model;
    std::vector<ElementStress> found;
    found.reserve(model.triangles.size());
    for (std::size_t t = 0; t < model.triangles.size(); ++t)
        found.push_back(stress_of(model, t, model.element(t), shell.strained(state, t)));
    return found;
}

}  // namespace archwright::flex
