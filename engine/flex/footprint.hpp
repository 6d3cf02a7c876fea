// Where loads stand on a shell, as shares of a force at its points.
#pragma once

#include <functional>
#include <vector>

#include "engine/flex/model.hpp"

namespace archwright::flex {

/// Shares (sum 1) of an even pressure over the places in plan where `inside` is true, by integrating over
/// each triangle on 100 equal parts, so that a disc's edge does not hang on the mesh. Empty: it lies beside
/// the shell.
std::vector<double> footprint(const Model& model, const std::function<bool(const Vec2& plan)>& inside);
std::vector<double> disc(const Model& model, const Vec2& centre, double radius_mm);

/// Mean of the points' displacement along a component, by shares: what a force on those shares works on.
double mean_of(const std::vector<double>& shares, const Eigen::VectorXd& displacement, int component);

}  // namespace archwright::flex
