#include "engine/surface/grid_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::surface {

LineFit::LineFit(const Basis& basis, int per_span) : count_(basis.count) {
    // four functions on a single span need four samples; one sample a span is two short at the ends
    const int intervals = std::max(basis.spans() * std::max(per_span, 1), basis.count - basis.spans());
    positions_.reserve(static_cast<std::size_t>(intervals) + 3);
    for (int i = 0; i <= intervals; ++i) positions_.push_back(basis.length * i / intervals);
    if (intervals + 1 < basis.count) {
        positions_.push_back(0.5 * basis.span());
        positions_.push_back(basis.length - 0.5 * basis.span());
        std::sort(positions_.begin(), positions_.end());
    }
    const std::size_t count = static_cast<std::size_t>(count_);
    factor_.assign(count, {0.0, 0.0, 0.0, 0.0});
    for (double t : positions_) {
        Row row;
        row.first = basis.evaluate(t, row.n);
        for (int a = 0; a < 4; ++a)
            for (int b = 0; b <= a; ++b)
                factor_[static_cast<std::size_t>(row.first + a)][static_cast<std::size_t>(3 - a + b)] +=
                    row.n[a] * row.n[b];
        rows_.push_back(row);
    }
    // banded Cholesky, in place, row by row
    for (int i = 0; i < count_; ++i) {
        auto& li = factor_[static_cast<std::size_t>(i)];
        for (int j = std::max(0, i - 3); j <= i; ++j) {
            const auto& lj = factor_[static_cast<std::size_t>(j)];
            double sum = li[static_cast<std::size_t>(3 - i + j)];
            for (int k = std::max(0, i - 3); k < j; ++k)
                sum -= li[static_cast<std::size_t>(3 - i + k)] * lj[static_cast<std::size_t>(3 - j + k)];
            if (j < i)
                li[static_cast<std::size_t>(3 - i + j)] = sum * lj[3];
            else
                li[3] = 1.0 / std::sqrt(sum);
        }
    }
}

std::vector<double> LineFit::solve(const std::vector<double>& samples, std::size_t width) const {
    std::vector<double> x(static_cast<std::size_t>(count_) * width, 0.0);
    for (std::size_t i = 0; i < rows_.size(); ++i)
        for (std::size_t a = 0; a < 4; ++a) {
            double* to = &x[(static_cast<std::size_t>(rows_[i].first) + a) * width];
            const double* from = &samples[i * width];
            const double n = rows_[i].n[a];
            for (std::size_t c = 0; c < width; ++c) to[c] += n * from[c];
        }
    const auto axpy = [&](double factor, std::size_t from, std::size_t to) {
        const double* a = &x[from * width];
        double* b = &x[to * width];
        for (std::size_t c = 0; c < width; ++c) b[c] -= factor * a[c];
    };
    const auto scale = [&](std::size_t row, double factor) {
        double* a = &x[row * width];
        for (std::size_t c = 0; c < width; ++c) a[c] *= factor;
    };
    const std::size_t count = static_cast<std::size_t>(count_);
    for (std::size_t i = 0; i < count; ++i) {
        for (std::size_t k = i < 3 ? 0 : i - 3; k < i; ++k) axpy(factor_[i][3 + k - i], k, i);
        scale(i, factor_[i][3]);
    }
    for (std::size_t i = count; i-- > 0;) {
        for (std::size_t k = i + 1; k < std::min(i + 4, count); ++k) axpy(factor_[k][3 + i - k], k, i);
        scale(i, factor_[i][3]);
    }
    return x;
}

std::vector<double> LineFit::solve_rows(const std::vector<double>& samples, std::size_t rows,
                                        std::size_t dim) const {
    // transpose so that the solve runs over long contiguous lines
    const std::size_t from = positions_.size(), to = static_cast<std::size_t>(count_), width = rows * dim;
    std::vector<double> turned(from * width);
    for (std::size_t r = 0; r < rows; ++r)
        for (std::size_t i = 0; i < from; ++i)
            for (std::size_t c = 0; c < dim; ++c)
                turned[i * width + r * dim + c] = samples[(r * from + i) * dim + c];
    const std::vector<double> solved = solve(turned, width);
    std::vector<double> x(rows * to * dim);
    for (std::size_t r = 0; r < rows; ++r)
        for (std::size_t i = 0; i < to; ++i)
            for (std::size_t c = 0; c < dim; ++c) x[(r * to + i) * dim + c] = solved[i * width + r * dim + c];
    return x;
}

GridFit::GridFit(const Basis& u, const Basis& v, int per_span)
    : u_(u), v_(v), along_u_(u, per_span), along_v_(v, per_span) {}

SplineSurface GridFit::fit(const std::vector<Vec3>& samples) const {
    std::vector<double> flat(size() * 3);
    for (std::size_t i = 0; i < size(); ++i)
        for (int c = 0; c < 3; ++c) flat[i * 3 + static_cast<std::size_t>(c)] = samples[i][c];
    const std::vector<double> control =
        along_v_.solve_rows(along_u_.solve(flat, vs().size() * 3), static_cast<std::size_t>(u_.count), 3);
    SplineSurface surface{u_, v_, std::vector<Vec3>(control.size() / 3)};
    for (std::size_t i = 0; i < surface.control.size(); ++i)
        surface.control[i] = Vec3(control[3 * i], control[3 * i + 1], control[3 * i + 2]);
    return surface;
}

SplineField GridFit::fit(const std::vector<double>& samples) const {
    return {u_, v_,
            along_v_.solve_rows(along_u_.solve(samples, vs().size()), static_cast<std::size_t>(u_.count), 1)};
}

Basis refined(const Basis& basis) {
    return {2 * basis.spans() + 3, basis.length};
}

namespace {

// Row i of the insertion matrix: the new coefficient i as a combination of four old ones.
struct Insertion {
    int first;
    std::array<double, 4> weight;
};

std::vector<Insertion> insertions(const Basis& old) {
    const Basis fine = refined(old);
    std::vector<Insertion> rows;
    rows.reserve(static_cast<std::size_t>(fine.count));
    for (int i = 0; i < fine.count; ++i) {
        // The blossom of any polynomial piece under the new function's support will do; its first span's.
        const int first = std::max(0, i - 3) / 2;
        Insertion row{first, {}};
        for (int unit = 0; unit < 4; ++unit) {
            std::array<double, 4> d{};
            d[static_cast<std::size_t>(unit)] = 1.0;
            for (int r = 1; r <= 3; ++r) {
                const double t = fine.knot(i + r);
                for (int j = 3; j >= r; --j) {
                    const double low = old.knot(first + j), high = old.knot(first + j + 4 - r);
                    const double a = (t - low) / (high - low);
                    d[static_cast<std::size_t>(j)] =
                        (1.0 - a) * d[static_cast<std::size_t>(j - 1)] + a * d[static_cast<std::size_t>(j)];
                }
            }
            row.weight[static_cast<std::size_t>(unit)] = d[3];
        }
        rows.push_back(row);
    }
    return rows;
}

template <class T>
std::vector<T> refine_control(const Basis& u, const Basis& v, const std::vector<T>& control, const T& zero) {
    const auto in_u = insertions(u), in_v = insertions(v);
    const std::size_t nv = static_cast<std::size_t>(v.count);
    std::vector<T> half(static_cast<std::size_t>(u.count) * in_v.size(), zero);
    for (std::size_t i = 0; i < static_cast<std::size_t>(u.count); ++i)
        for (std::size_t j = 0; j < in_v.size(); ++j)
            for (std::size_t k = 0; k < 4; ++k)
                half[i * in_v.size() + j] +=
                    in_v[j].weight[k] * control[i * nv + static_cast<std::size_t>(in_v[j].first) + k];
    std::vector<T> fine(in_u.size() * in_v.size(), zero);
    for (std::size_t i = 0; i < in_u.size(); ++i)
        for (std::size_t k = 0; k < 4; ++k)
            for (std::size_t j = 0; j < in_v.size(); ++j)
                fine[i * in_v.size() + j] +=
                    in_u[i].weight[k] * half[(static_cast<std::size_t>(in_u[i].first) + k) * in_v.size() + j];
    return fine;
}

}  // namespace

SplineSurface refine(const SplineSurface& surface) {
    return {refined(surface.u), refined(surface.v),
            refine_control<Vec3>(surface.u, surface.v, surface.control, Vec3::Zero())};
}

SplineField refine(const SplineField& field) {
    return {refined(field.u), refined(field.v), refine_control<double>(field.u, field.v, field.control, 0.0)};
}

}  // namespace archwright::surface
