#include "engine/flex/stiffness.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"

namespace archwright::flex {

namespace {

/// Elements made at a time: bounds their memory (some 10 MB).
constexpr std::size_t elements_at_once = 4096;

void scatter(const Mat18& element, const Triangle& corners, Stiffness& into) {
    for (int p = 0; p < 3; ++p)
        for (int q = 0; q < 3; ++q) {
            if (corners[p] < corners[q]) continue;
            for (int c = 0; c < 6; ++c) {
                const int from = p == q ? c : 0;
                double* value = into.values.data() + into.pattern.place(corners[p], corners[q], c);
                for (int r = from; r < 6; ++r) value[r - from] += element(6 * p + r, 6 * q + c);
            }
        }
}

}  // namespace

BlockPattern::BlockPattern(std::size_t points, const std::vector<Triangle>& triangles) {
    std::vector<std::pair<std::int32_t, std::int32_t>> pairs;  // column, row
    pairs.reserve(3 * triangles.size());
    for (const Triangle& t : triangles)
        for (int i = 0; i < 3; ++i) {
            const std::int32_t a = t[i], b = t[(i + 1) % 3];
            pairs.emplace_back(std::min(a, b), std::max(a, b));
        }
    std::sort(pairs.begin(), pairs.end());
    pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
    first_.assign(points + 1, 0);
    row_.reserve(pairs.size());
    for (const auto& [column, row] : pairs) {
        ++first_[column + 1];
        row_.push_back(row);
    }
    for (std::size_t i = 0; i < points; ++i) first_[i + 1] += first_[i];
    column_.reserve(6 * points + 1);
    for (std::size_t p = 0; p < points; ++p)
        for (int c = 0; c < 6; ++c) {
            for (int r = c; r < 6; ++r) rows_.push_back(freedom(static_cast<int>(p), r));
            for (const std::int32_t other : below(static_cast<int>(p)))
                for (int r = 0; r < 6; ++r) rows_.push_back(freedom(other, r));
            column_.push_back(static_cast<std::int32_t>(rows_.size()));
        }
}

std::size_t BlockPattern::place(int row_point, int column_point, int component) const {
    const auto start = static_cast<std::size_t>(column_[freedom(column_point, component)]);
    if (row_point == column_point) return start;
    const auto rows = below(column_point);
    const auto k = std::lower_bound(rows.begin(), rows.end(), row_point) - rows.begin();
    return start + static_cast<std::size_t>(6 - component) + 6 * static_cast<std::size_t>(k);
}

Eigen::VectorXd Stiffness::times(const Eigen::VectorXd& freedoms) const {
    Eigen::VectorXd product = Eigen::VectorXd::Zero(pattern.size());
    const auto& column = pattern.column();
    const auto& rows = pattern.rows();
    for (int c = 0; c < pattern.size(); ++c) {
        const double x = freedoms[c];
        double sum = values[column[c]] * x;  // the diagonal stands first
        for (std::int32_t at = column[c] + 1; at < column[c + 1]; ++at) {
            product[rows[at]] += values[at] * x;
            sum += values[at] * freedoms[rows[at]];
        }
        product[c] += sum;
    }
    return product;
}

double Stiffness::greatest_sum(const Eigen::VectorXd& freedoms) const {
    Eigen::VectorXd sums = Eigen::VectorXd::Zero(pattern.size());
    const auto& column = pattern.column();
    const auto& rows = pattern.rows();
    for (int c = 0; c < pattern.size(); ++c)
        for (std::int32_t at = column[c]; at < column[c + 1]; ++at) {
            sums[rows[at]] += std::abs(values[at] * freedoms[c]);
            if (rows[at] != c) sums[c] += std::abs(values[at] * freedoms[rows[at]]);
        }
    return sums.maxCoeff();
}

void Stiffness::add(const PointStiffness& more) {
    for (int c = 0; c < 6; ++c) {
        double* value = values.data() + pattern.place(more.point, more.point, c);
        for (int r = c; r < 6; ++r) value[r - c] += more.block(r, c);
    }
}

void add_elements(const std::vector<Triangle>& triangles, Stiffness& stiffness,
                  const std::function<Mat18(std::size_t triangle)>& of) {
    stiffness.values.assign(stiffness.pattern.values(), 0.0);
    std::vector<Mat18> elements(std::min(triangles.size(), elements_at_once));
    for (std::size_t from = 0; from < triangles.size(); from += elements_at_once) {
        const std::size_t here = std::min(elements_at_once, triangles.size() - from);
        parallel_for(here, 64, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) elements[i] = of(from + i);
        });
        for (std::size_t i = 0; i < here; ++i) scatter(elements[i], triangles[from + i], stiffness);
    }
}

Outcome<Done> assemble_again(const Model& model, Stiffness& stiffness, Progress* progress) {
    stiffness.values.assign(stiffness.pattern.values(), 0.0);
    const std::size_t count = model.triangles.size();
    std::vector<Mat18> elements(std::min(count, elements_at_once));
    for (std::size_t from = 0; from < count; from += elements_at_once) {
        const std::size_t here = std::min(elements_at_once, count - from);
        if (progress != nullptr && !progress->report("Stiffness of the shell",
                                                     static_cast<double>(from) / static_cast<double>(count)))
            return Fault{FaultKind::cancelled, "flex", "Cancelled.", std::nullopt};
        parallel_for(here, 64, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) elements[i] = model.element(from + i).tangent();
        });
        for (std::size_t i = 0; i < here; ++i) scatter(elements[i], model.triangles[from + i], stiffness);
    }
    return Done{};
}

Outcome<Stiffness> assemble(const Model& model, Progress* progress) {
    Stiffness stiffness;
    stiffness.pattern = BlockPattern(model.points.size(), model.triangles);
    if (const auto done = assemble_again(model, stiffness, progress); !done) return done.fault();
    return stiffness;
}

}  // namespace archwright::flex
