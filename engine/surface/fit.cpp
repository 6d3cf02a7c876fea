#include "engine/surface/fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/parallel.hpp"

namespace archwright::surface {

namespace {

// Integrals of products of the basis functions' derivatives: value[i][d] = integral f_i f_(i+d-3).
struct Products {
    std::vector<std::array<double, 7>> value, slope, bend;
};

Products products(const Basis& basis) {
    // Gauss-Legendre with four points is exact up to degree 7; products of cubics have degree 6.
    static constexpr std::array<double, 4> place = {-0.8611363115940526, -0.3399810435848563,
                                                    0.3399810435848563, 0.8611363115940526};
    static constexpr std::array<double, 4> share = {0.3478548451374538, 0.6521451548625461,
                                                    0.6521451548625461, 0.3478548451374538};
    Products all;
    all.value.assign(static_cast<std::size_t>(basis.count), {});
    all.slope = all.bend = all.value;
    const double h = basis.span();
    for (int s = 0; s < basis.spans(); ++s)
        for (std::size_t g = 0; g < 4; ++g) {
            std::array<double, 4> n, d1, d2;
            const int first = basis.evaluate(h * (s + 0.5 + 0.5 * place[g]), n, &d1, &d2);
            const double w = 0.5 * h * share[g];
            for (std::size_t p = 0; p < 4; ++p)
                for (std::size_t q = 0; q < 4; ++q) {
                    const std::size_t i = static_cast<std::size_t>(first) + p, d = q + 3 - p;
                    all.value[i][d] += w * n[p] * n[q];
                    all.slope[i][d] += w * d1[p] * d1[q];
                    all.bend[i][d] += w * d2[p] * d2[q];
                }
        }
    return all;
}

using Block = Eigen::MatrixXd;

// A symmetric positive definite matrix of square blocks with three blocks left of the diagonal: one block row
// a row of control points. Kept as the lower part; block(i, d) couples row i with row i - d.
class BlockBand {
  public:
    BlockBand(int rows, int size)
        : rows_(rows), blocks_(static_cast<std::size_t>(rows) * 4, Block::Zero(size, size)) {}

    Block& block(int i, int d) {
        return blocks_[static_cast<std::size_t>(i) * 4 + static_cast<std::size_t>(d)];
    }
    const Block& block(int i, int d) const {
        return blocks_[static_cast<std::size_t>(i) * 4 + static_cast<std::size_t>(d)];
    }

    // Cholesky in place, left-looking by block columns: block(i, d) becomes L.
    void factorise() {
        for (int j = 0; j < rows_; ++j)
            for (int i = j; i < std::min(j + 4, rows_); ++i) {
                Block& a = block(i, i - j);
                for (int k = std::max(0, i - 3); k < j; ++k) {
                    const auto right = block(j, j - k).transpose();
                    if (i == j)  // only the lower half is used
                        a.triangularView<Eigen::Lower>() -= block(i, i - k) * right;
                    else
                        a.noalias() -= block(i, i - k) * right;
                }
                if (i == j)
                    Eigen::LLT<Eigen::Ref<Block>> in_place(a);
                else
                    block(j, 0).triangularView<Eigen::Lower>().transpose().solveInPlace<Eigen::OnTheRight>(a);
            }
    }

    void solve(Eigen::MatrixXd& x) const {
        const int n = static_cast<int>(block(0, 0).rows());
        for (int i = 0; i < rows_; ++i) {
            auto xi = x.middleRows(i * n, n);
            for (int k = std::max(0, i - 3); k < i; ++k)
                xi.noalias() -= block(i, i - k) * x.middleRows(k * n, n);
            block(i, 0).triangularView<Eigen::Lower>().solveInPlace(xi);
        }
        for (int i = rows_ - 1; i >= 0; --i) {
            auto xi = x.middleRows(i * n, n);
            for (int k = i + 1; k < std::min(i + 4, rows_); ++k)
                xi.noalias() -= block(k, k - i).transpose() * x.middleRows(k * n, n);
            block(i, 0).triangularView<Eigen::Lower>().transpose().solveInPlace(xi);
        }
    }

  private:
    int rows_;
    std::vector<Block> blocks_;
};

// The sums of one cell (knot span in u times knot span in v): products of two u functions by two v functions,
// and the right-hand side.
struct CellSums {
    std::array<double, 100> pairs{};
    std::array<double, 48> right{};
    bool used = false;
};

constexpr std::array<std::array<int, 4>, 4> pair_index = {
    {{0, 1, 2, 3}, {1, 4, 5, 6}, {2, 5, 7, 8}, {3, 6, 8, 9}}};

std::array<double, 10> pairs_of(const std::array<double, 4>& n) {
    return {n[0] * n[0], n[0] * n[1], n[0] * n[2], n[0] * n[3], n[1] * n[1],
            n[1] * n[2], n[1] * n[3], n[2] * n[2], n[2] * n[3], n[3] * n[3]};
}

int span_of(const Basis& basis, double t) {
    return std::clamp(static_cast<int>(std::clamp(t, 0.0, basis.length) * (basis.spans() / basis.length)), 0,
                      basis.spans() - 1);
}

}  // namespace

PenalisedFit::PenalisedFit(const Basis& u, const Basis& v, const FitSettings& settings)
    : u_(u), v_(v), fairness_(settings.fairness) {
    const Products in_u = products(u), in_v = products(v);
    energy_.resize(static_cast<std::size_t>(u.count) * v.count * 28);
    // for every control point, its products with those at most three rows before it: 4 x 7 entries
    for (std::size_t i = 0, at = 0; i < static_cast<std::size_t>(u.count); ++i)
        for (std::size_t j = 0; j < static_cast<std::size_t>(v.count); ++j)
            for (std::size_t a = 0; a < 4; ++a)
                for (std::size_t b = 0; b < 7; ++b)
                    energy_[at++] = in_u.bend[i][a] * in_v.value[j][b] +
                                    2.0 * in_u.slope[i][a] * in_v.slope[j][b] +
                                    in_u.value[i][a] * in_v.bend[j][b];
}

SplineSurface PenalisedFit::fit(const FitPoints& points) const {
    // points in the order of their cells, so that each cell's sums stay close at hand
    const std::size_t cells = static_cast<std::size_t>(u_.spans()) * v_.spans();
    std::vector<std::uint32_t> cell_of(points.size()), begin(cells + 1, 0), order(points.size());
    for (std::size_t k = 0; k < points.size(); ++k) {
        cell_of[k] = static_cast<std::uint32_t>(span_of(u_, points.uv[k].x()) * v_.spans() +
                                                span_of(v_, points.uv[k].y()));
        ++begin[cell_of[k] + 1];
    }
    for (std::size_t c = 0; c < cells; ++c) begin[c + 1] += begin[c];
    {
        std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
        for (std::size_t k = 0; k < points.size(); ++k)
            order[next[cell_of[k]]++] = static_cast<std::uint32_t>(k);
    }
    std::vector<CellSums> sums(cells);
    parallel_for(cells, 16, [&](std::size_t low, std::size_t high) {
        for (std::size_t c = low; c < high; ++c) {
            CellSums& sum = sums[c];
            sum.used = begin[c] < begin[c + 1];
            for (std::uint32_t o = begin[c]; o < begin[c + 1]; ++o) {
                const std::size_t k = order[o];
                const double w = points.weight[k];
                if (w == 0.0) continue;
                std::array<double, 4> a, b;
                u_.evaluate(points.uv[k].x(), a);
                v_.evaluate(points.uv[k].y(), b);
                const std::array<double, 10> aa = pairs_of(a), bb = pairs_of(b);
                for (std::size_t p = 0; p < 10; ++p) {
                    const double wa = w * aa[p];
                    for (std::size_t q = 0; q < 10; ++q) sum.pairs[p * 10 + q] += wa * bb[q];
                }
                const Vec3& at = points.position[k];
                for (std::size_t p = 0; p < 4; ++p)
                    for (std::size_t q = 0; q < 4; ++q) {
                        const double c0 = w * a[p] * b[q];
                        double* right = &sum.right[(p * 4 + q) * 3];
                        right[0] += c0 * at.x();
                        right[1] += c0 * at.y();
                        right[2] += c0 * at.z();
                    }
            }
        }
    });

    const int nv = v_.count;
    BlockBand matrix(u_.count, nv);
    Eigen::MatrixXd x = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(u_.count) * nv, 3);
    std::size_t at = 0;
    for (int i = 0; i < u_.count; ++i)
        for (int j = 0; j < nv; ++j)
            for (int a = 0; a < 4; ++a)
                for (int b = 0; b < 7; ++b, ++at) {
                    const int d = 3 - a, j2 = j + b - 3;
                    if (i >= d && j2 >= 0 && j2 < nv) matrix.block(i, d)(j, j2) = fairness_ * energy_[at];
                }
    for (std::size_t c = 0; c < cells; ++c) {
        if (!sums[c].used) continue;
        const int i = static_cast<int>(c) / v_.spans(), j = static_cast<int>(c) % v_.spans();
        for (int p = 0; p < 4; ++p)
            for (int p2 = 0; p2 <= p; ++p2) {
                Block& block = matrix.block(i + p, p - p2);
                const double* pairs = &sums[c].pairs[static_cast<std::size_t>(pair_index[p][p2]) * 10];
                for (int q2 = 0; q2 < 4; ++q2)
                    for (int q = 0; q < 4; ++q) block(j + q, j + q2) += pairs[pair_index[q][q2]];
            }
        for (int p = 0; p < 4; ++p)
            for (int q = 0; q < 4; ++q)
                for (int k = 0; k < 3; ++k)
                    x((i + p) * nv + j + q, k) +=
                        sums[c].right[static_cast<std::size_t>((p * 4 + q) * 3 + k)];
    }
    matrix.factorise();
    matrix.solve(x);
    SplineSurface surface{u_, v_, std::vector<Vec3>(static_cast<std::size_t>(x.rows()))};
    for (Eigen::Index r = 0; r < x.rows(); ++r)
        surface.control[static_cast<std::size_t>(r)] = x.row(r).transpose();
    return surface;
}

std::vector<double> project_all(const SplineSurface& surface, const std::vector<Vec3>& positions,
                                std::vector<Vec2>& uv, int iterations) {
    std::vector<double> distance(positions.size());
    parallel_for(positions.size(), 1024, [&](std::size_t low, std::size_t high) {
        for (std::size_t k = low; k < high; ++k)
            distance[k] = surface.project(positions[k], uv[k], iterations);
    });
    return distance;
}

std::vector<double> robust_factors(const std::vector<double>& residuals, double multiple, double least_mm) {
    std::vector<double> sorted;
    sorted.reserve(residuals.size());
    for (double r : residuals) sorted.push_back(std::abs(r));
    if (sorted.empty()) return {};
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
    std::nth_element(sorted.begin(), middle, sorted.end());
    constexpr double normal_consistency = 1.4826;  // standard deviation of a normal law over its median
    const double cut = std::max(least_mm, multiple * normal_consistency * *middle);
    std::vector<double> factors(residuals.size());
    for (std::size_t k = 0; k < residuals.size(); ++k) {
        const double q = residuals[k] / cut, rest = std::max(0.0, 1.0 - q * q);
        factors[k] = rest * rest;
    }
    return factors;
}

}  // namespace archwright::surface
