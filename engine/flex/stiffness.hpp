// The stiffness of a whole shell: a sparse symmetric matrix of 6 x 6 blocks.
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/flex/model.hpp"

namespace archwright::flex {

/// Freedom `component` (0 to 2 displacement, 3 to 5 rotation about x, y, z) of a point.
constexpr int freedom(int point, int component) {
    return 6 * point + component;
}

/// A further stiffness at one point, symmetric: springs and contact. Displacements N/mm, rotations N mm.
struct PointStiffness {
    int point = 0;
    Mat6 block = Mat6::Zero();
};

/// Which blocks are not zero: the lower triangle, column by column. The same for every wall and every state
/// of contact, so that it is analysed once.
class BlockPattern {
  public:
    BlockPattern() = default;
    BlockPattern(std::size_t points, const std::vector<Triangle>& triangles);

    int points() const { return static_cast<int>(first_.size()) - 1; }
    int size() const { return 6 * points(); }
    /// Points below the diagonal of a column of blocks, rising.
    std::span<const std::int32_t> below(int point) const {
        return {row_.data() + first_[point], row_.data() + first_[point + 1]};
    }
    /// Where column `component` of the block of a pair begins in the values (row >= column; the diagonal
    /// block holds its lower triangle only: that column begins at its own row).
    std::size_t place(int row_point, int column_point, int component) const;
    std::size_t values() const { return static_cast<std::size_t>(column_.back()); }
    /// Compressed columns of single freedoms: first value of each (size() + 1), and the rows.
    const std::vector<std::int32_t>& column() const { return column_; }
    const std::vector<std::int32_t>& rows() const { return rows_; }

  private:
    std::vector<std::int32_t> first_{0}, row_;
    std::vector<std::int32_t> column_{0}, rows_;
};

/// The assembled tangent at no displacement.
struct Stiffness {
    BlockPattern pattern;
    std::vector<double> values;

    /// Times a vector of all freedoms.
    Eigen::VectorXd times(const Eigen::VectorXd& freedoms) const;
    /// Greatest over the freedoms of the sum of the products' sizes: rounding leaves some 1e-16 of it.
    double greatest_sum(const Eigen::VectorXd& freedoms) const;
    /// Onto the block of its point.
    void add(const PointStiffness& more);
};

/// Values of the sum of the triangles' symmetric stiffnesses, which are asked for in parallel and added in
/// their order: the same sums on any number of threads. The pattern must be that of the triangles.
void add_elements(const std::vector<Triangle>& triangles, Stiffness& stiffness,
                  const std::function<Mat18(std::size_t triangle)>& of);

/// Elements in parallel, added in their order: same sums on any number of threads. Fault (cancelled) when
/// progress says so; the model must have passed its check.
Outcome<Stiffness> assemble(const Model& model, Progress* progress = nullptr);
/// The same into what is there, for another wall over the same triangles.
Outcome<Done> assemble_again(const Model& model, Stiffness& stiffness, Progress* progress = nullptr);

}  // namespace archwright::flex
