// The step that meets targets by the least change of walls, within their limits.
#pragma once

#include <Eigen/Core>

namespace archwright::ask {

/// Least of |misses + slopes step|^2 + least_change |from + step|^2 with low <= step <= high, by an active
/// set of limits (R. Fletcher, Practical Methods of Optimization, 1987, section 10.3; J. Nocedal and S. J.
/// Wright, Numerical Optimization, 2006, section 16.5). `from` is how far the walls have gone already. A step
/// of 0 must be allowed.
Eigen::VectorXd least_change_step(const Eigen::VectorXd& misses, const Eigen::MatrixXd& slopes,
                                  const Eigen::VectorXd& from, double least_change,
                                  const Eigen::VectorXd& low, const Eigen::VectorXd& high);

}  // namespace archwright::ask
