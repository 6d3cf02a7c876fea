#include "engine/solid/fewer_knots.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "engine/base/parallel.hpp"

namespace archwright::solid {

namespace {

constexpr int joined_most = 16;  // spans that are tried as one
constexpr int per_span = 3;      // samples of an old span: fitted to, and measured at

// Clamped cubic functions over some of the knots of an even basis.
class SomeKnots {
  public:
    SomeKnots(const surface::Basis& even, std::vector<int> ends) : even_(even), ends_(std::move(ends)) {}

    int count() const { return static_cast<int>(ends_.size()) + 2; }
    /// Distinct knots.
    std::vector<double> knots() const {
        std::vector<double> all;
        for (const int end : ends_) all.push_back(even_.knot(end + 3));
        return all;
    }
    /// The four functions that do not vanish at t in span `k` of these knots (de Boor 1978, ch. X).
    std::array<double, 4> evaluate(int k, double t) const {
        std::array<double, 4> n{1.0, 0.0, 0.0, 0.0};
        double left[4], right[4];
        for (int j = 1; j <= 3; ++j) {
            left[j] = t - knot(k + 1 - j);
            right[j] = knot(k + j) - t;
            double saved = 0.0;
            for (int q = 0; q < j; ++q) {
                const double part = n[static_cast<std::size_t>(q)] / (right[q + 1] + left[j - q]);
                n[static_cast<std::size_t>(q)] = saved + right[q + 1] * part;
                saved = left[j - q] * part;
            }
            n[static_cast<std::size_t>(j)] = saved;
        }
        return n;
    }

  private:
    double knot(int k) const {
        const int last = static_cast<int>(ends_.size()) - 1;
        return even_.knot(ends_[static_cast<std::size_t>(std::clamp(k, 0, last))] + 3);
    }

    const surface::Basis& even_;
    std::vector<int> ends_;  // the even basis' spans at which these end
};

// The knot between two others at which spans were joined last: halved spans are found again as they were
// halved.
int between(int low, int high) {
    for (int step = joined_most / 2; step > 1; step /= 2)
        if (const int knot = (low / step + 1) * step; knot < high) return knot;
    return low + 1;
}

struct Sample {
    int first;  // of the four coefficients
    std::array<double, 4> n;
};

// Least squares of many curves at once, `width` interleaved numbers each.
std::vector<double> least_squares(const std::vector<Sample>& at, std::size_t count,
                                  const std::vector<double>& values, std::size_t width) {
    std::vector<std::array<double, 4>> factor(count, {0.0, 0.0, 0.0, 0.0});  // [3] the diagonal
    for (const Sample& s : at)
        for (std::size_t a = 0; a < 4; ++a)
            for (std::size_t b = 0; b <= a; ++b)
                factor[static_cast<std::size_t>(s.first) + a][3 - a + b] += s.n[a] * s.n[b];
    for (std::size_t i = 0; i < count; ++i)  // banded Cholesky; the diagonal's inverse is kept
        for (std::size_t j = i < 3 ? 0 : i - 3; j <= i; ++j) {
            double sum = factor[i][3 - i + j];
            for (std::size_t k = i < 3 ? 0 : i - 3; k < j; ++k)
                if (j - k <= 3) sum -= factor[i][3 - i + k] * factor[j][3 - j + k];
            factor[i][3 - i + j] = j < i ? sum * factor[j][3] : 1.0 / std::sqrt(sum);
        }
    std::vector<double> x(count * width, 0.0);
    // columns are independent of one another
    parallel_for(width, 96, [&](std::size_t begin, std::size_t end) {
        for (std::size_t s = 0; s < at.size(); ++s)
            for (std::size_t a = 0; a < 4; ++a) {
                double* to = &x[(static_cast<std::size_t>(at[s].first) + a) * width];
                const double* from = &values[s * width];
                const double n = at[s].n[a];
                for (std::size_t c = begin; c < end; ++c) to[c] += n * from[c];
            }
        const auto less = [&](double f, std::size_t from, std::size_t to) {
            for (std::size_t c = begin; c < end; ++c) x[to * width + c] -= f * x[from * width + c];
        };
        const auto scale = [&](std::size_t row, double f) {
            for (std::size_t c = begin; c < end; ++c) x[row * width + c] *= f;
        };
        for (std::size_t i = 0; i < count; ++i) {
            for (std::size_t k = i < 3 ? 0 : i - 3; k < i; ++k) less(factor[i][3 - i + k], k, i);
            scale(i, factor[i][3]);
        }
        for (std::size_t i = count; i-- > 0;) {
            for (std::size_t k = i + 1; k < std::min(i + 4, count); ++k) less(factor[k][3 - k + i], k, i);
            scale(i, factor[i][3]);
        }
    });
    return x;
}

struct Fewer {
    std::vector<double> knots;
    std::vector<double> control;  // row by row, width numbers each
    double moved_mm = 0.0;
};

// One direction: curves along the basis, whose control rows hold width / 3 points each.
// `from` and `to` say which part of it is wanted.
Fewer along(const surface::Basis& basis, double from, double to, const std::vector<double>& control,
            std::size_t width, double tolerance_mm) {
    const int begin_span = std::clamp(static_cast<int>(from / basis.span()) - 1, 0, basis.spans() - 1);
    const int end_span = std::clamp(static_cast<int>(to / basis.span()) + 2, begin_span + 1, basis.spans());
    // four functions on a single span need four samples
    const std::size_t samples = static_cast<std::size_t>(end_span - begin_span) * per_span + 1;
    std::vector<double> t(samples), values(samples * width);
    parallel_for(samples, 16, [&](std::size_t begin, std::size_t end) {
        for (std::size_t s = begin; s < end; ++s) {
            t[s] = basis.span() * (begin_span + static_cast<double>(s) / per_span);
            std::array<double, 4> n;
            const std::size_t first = static_cast<std::size_t>(basis.evaluate(t[s], n));
            for (std::size_t a = 0; a < 4; ++a)
                for (std::size_t c = 0; c < width; ++c)
                    values[s * width + c] += n[a] * control[(first + a) * width + c];
        }
    });
    std::vector<int> ends;
    for (int k = begin_span; k < end_span; k = (k / joined_most + 1) * joined_most) ends.push_back(k);
    ends.push_back(end_span);
    for (;;) {
        const SomeKnots some(basis, ends);
        const std::size_t cells = ends.size() - 1;
        std::vector<Sample> at(samples);
        std::vector<std::size_t> cell_of(samples);
        for (std::size_t s = 0, cell = 0; s < samples; ++s) {
            while (cell + 1 < cells && static_cast<int>(s) >= (ends[cell + 1] - begin_span) * per_span)
                ++cell;
            cell_of[s] = cell;
            at[s] = {static_cast<int>(cell), some.evaluate(static_cast<int>(cell), t[s])};
        }
        Fewer fewer{some.knots(), least_squares(at, cells + 3, values, width), 0.0};
        std::vector<double> off(samples, 0.0);
        parallel_for(samples, 16, [&](std::size_t begin, std::size_t end) {
            for (std::size_t s = begin; s < end; ++s) {
                const double* row = &fewer.control[static_cast<std::size_t>(at[s].first) * width];
                for (std::size_t c = 0; c < width; c += 3) {
                    double sum = 0.0;
                    for (std::size_t k = c; k < c + 3; ++k) {
                        const double d = at[s].n[0] * row[k] + at[s].n[1] * row[width + k] +
                                         at[s].n[2] * row[2 * width + k] + at[s].n[3] * row[3 * width + k] -
                                         values[s * width + k];
                        sum += d * d;
                    }
                    off[s] = std::max(off[s], sum);
                }
                off[s] = std::sqrt(off[s]);
            }
        });
        std::vector<char> divide(cells, 0);
        for (std::size_t s = 0; s < samples; ++s) {
            fewer.moved_mm = std::max(fewer.moved_mm, off[s]);
            if (!(off[s] > tolerance_mm)) continue;
            // a sample on a knot tells of both its spans
            for (std::size_t cell : {s > 0 ? cell_of[s - 1] : cell_of[s], cell_of[s]})
                if (ends[cell + 1] - ends[cell] > 1) divide[cell] = 1;
        }
        if (std::find(divide.begin(), divide.end(), 1) == divide.end()) return fewer;
        std::vector<int> finer;
        for (std::size_t cell = 0; cell < cells; ++cell) {
            finer.push_back(ends[cell]);
            if (divide[cell]) finer.push_back(between(ends[cell], ends[cell + 1]));
        }
        finer.push_back(end_span);
        ends = std::move(finer);
    }
}

}  // namespace

KnottedSurface fewer_knots(const surface::SplineSurface& surface, const Vec2& low, const Vec2& high,
                           double tolerance_mm) {
    const std::size_t nu = static_cast<std::size_t>(surface.u.count),
                      nv = static_cast<std::size_t>(surface.v.count);
    std::vector<double> flat(nu * nv * 3);
    for (std::size_t k = 0; k < nu * nv; ++k)
        for (std::size_t c = 0; c < 3; ++c)
            flat[3 * k + c] = surface.control[k][static_cast<Eigen::Index>(c)];
    const Fewer in_u = along(surface.u, low.x(), high.x(), flat, 3 * nv, 0.5 * tolerance_mm);
    // turned: a row for each v
    const std::size_t few_u = in_u.control.size() / (3 * nv);
    std::vector<double> turned(in_u.control.size());
    for (std::size_t i = 0; i < few_u; ++i)
        for (std::size_t j = 0; j < nv; ++j)
            for (std::size_t c = 0; c < 3; ++c)
                turned[(j * few_u + i) * 3 + c] = in_u.control[(i * nv + j) * 3 + c];
    const Fewer in_v = along(surface.v, low.y(), high.y(), turned, 3 * few_u, 0.5 * tolerance_mm);
    const std::size_t few_v = in_v.control.size() / (3 * few_u);
    KnottedSurface few{in_u.knots, in_v.knots, std::vector<Vec3>(few_u * few_v),
                       in_u.moved_mm + in_v.moved_mm};
    for (std::size_t i = 0; i < few_u; ++i)
        for (std::size_t j = 0; j < few_v; ++j) {
            const double* at = &in_v.control[(j * few_u + i) * 3];
            few.control[i * few_v + j] = Vec3(at[0], at[1], at[2]);
        }
    return few;
}

}  // namespace archwright::solid
