// Solves for the freedoms of a shell by a sparse Cholesky factor.
#pragma once

#include <Eigen/Core>
#include <memory>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/flex/stiffness.hpp"

namespace archwright::flex {

/// CHOLMOD's supernodal factor (Y. Chen, T. A. Davis, W. W. Hager and S. Rajamanickam, Algorithm 887, ACM
/// Transactions on Mathematical Software 35 (2008)), behind this wall. The order of elimination is found on
/// the points, once; every further factor of the same pattern takes it over. Not for two threads at once.
class Factor {
  public:
    explicit Factor(const BlockPattern& pattern);
    ~Factor();
    Factor(Factor&&) noexcept;
    Factor& operator=(Factor&&) noexcept;

    /// Factors the stiffness with `added` on its points, `fixed` freedoms (one flag each) held. Fault
    /// (input): not positive definite (names the point's number), (internal) out of memory.
    Outcome<Done> factor(const Stiffness& stiffness, const std::vector<PointStiffness>& added,
                         const std::vector<char>& fixed);

    /// The same of a matrix that need not be positive definite (a shell past a limit of its load): L D L',
    /// without pivoting, where Cholesky finds no factor. Returns how many of its eigenvalues are negative
    /// (Sylvester's law of inertia). Faults (internal) out of memory, (input) a pivot of nothing.
    Outcome<int> factor_any(const Stiffness& stiffness, const std::vector<PointStiffness>& added,
                            const std::vector<char>& fixed);

    /// Freedoms for forces; the forces of fixed freedoms are not looked at, and they stay 0. Several right
    /// sides are columns.
    Eigen::MatrixXd solve(const Eigen::MatrixXd& forces) const;

    int factored() const;  ///< how many times
    double fill() const;   ///< numbers in the factor

  private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace archwright::flex
