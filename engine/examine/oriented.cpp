#include "engine/examine/oriented.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/parallel.hpp"

namespace archwright::examine {

namespace {

constexpr int directions = 16;
constexpr double step_reach_mm = 5.0, step_width_mm = 1.5;

// Least-squares filter for the amplitude of `profile` beside powers up to `degree`, weight per tap.
std::vector<float> amplitude_filter(const std::vector<double>& t, const std::vector<double>& weight,
                                    const std::vector<double>& profile, int degree) {
    const Eigen::Index n = static_cast<Eigen::Index>(t.size());
    Eigen::MatrixXd a(n, degree + 2);
    Eigen::VectorXd root(n);
    for (Eigen::Index k = 0; k < n; ++k) {
        const std::size_t i = static_cast<std::size_t>(k);
        root[k] = std::sqrt(weight[i]);
        double power = 1.0;
        for (int d = 0; d <= degree; ++d, power *= t[i]) a(k, d) = root[k] * power;
        a(k, degree + 1) = root[k] * profile[i];
    }
    // last row of the pseudo-inverse
    const Eigen::MatrixXd inverse = (a.transpose() * a).ldlt().solve(a.transpose());
    std::vector<float> filter;
    for (Eigen::Index k = 0; k < n; ++k)
        filter.push_back(static_cast<float>(inverse(degree + 1, k) * root[k]));
    return filter;
}

std::vector<float> ridge_filter(double width_mm, double step_mm) {
    const double sigma = width_mm * sigma_of_width, reach = std::max(4.0, 4.5 * sigma);
    const int r = static_cast<int>(std::ceil(reach / step_mm)) - 1;
    std::vector<double> t, w, p;
    for (int k = -r; k <= r; ++k) {
        const double x = k * step_mm, c = std::cos(0.5 * std::numbers::pi * x / reach);
        t.push_back(x / reach);
        w.push_back(c * c);
        p.push_back(std::exp(-0.5 * x * x / (sigma * sigma)));
    }
    return amplitude_filter(t, w, p, 3);
}

std::vector<float> step_filter(double step_mm) {
    const int r = static_cast<int>(std::floor(step_reach_mm / step_mm));
    std::vector<double> t, w, p;
    for (int k = -r; k <= r; ++k) {
        const double x = k * step_mm;
        t.push_back(x / step_reach_mm);
        w.push_back(1.0);
        p.push_back(0.5 * std::tanh(2.0 * x / step_width_mm));
    }
    return amplitude_filter(t, w, p, 2);
}

std::vector<float> along_filter(double sigma) {
    const int r = static_cast<int>(std::ceil(2.5 * sigma));
    std::vector<float> w;
    double sum = 0.0;
    for (int k = -r; k <= r; ++k) sum += std::exp(-0.5 * k * k / (sigma * sigma));
    for (int k = -r; k <= r; ++k)
        w.push_back(static_cast<float>(std::exp(-0.5 * k * k / (sigma * sigma)) / sum));
    return w;
}

// The part of the image that matters, seen with the line's direction along its rows' order: row l, column t.
struct Turned {
    double c, s, l0, t0;
    Image image;

    Turned(const Image& from, const Mask& where, double angle)
        : c(std::cos(angle)), s(std::sin(angle)), l0(1e9), t0(1e9) {
        double l1 = -1e9, t1 = -1e9;
        for (int i = 0; i < from.nu; ++i)
            for (int j = 0; j < from.nv; ++j) {
                if (!where.at(i, j)) continue;
                const double l = c * i + s * j, t = -s * i + c * j;
                l0 = std::min(l0, l);
                l1 = std::max(l1, l);
                t0 = std::min(t0, t);
                t1 = std::max(t1, t);
            }
        if (l1 < l0) return;
        constexpr double room = 2.0;
        l0 -= room;
        t0 -= room;
        image = Image(static_cast<int>(l1 - l0 + room) + 2, static_cast<int>(t1 - t0 + room) + 2);
    }
    float source(const Image& from, double l, double t) const {
        return between(from, c * (l0 + l) - s * (t0 + t), s * (l0 + l) + c * (t0 + t));
    }
};

// Across, then along, at the nodes of the turned image.
Image filtered(const Turned& turned, const Image& from, const std::vector<float>& across,
               const std::vector<float>& along) {
    const int ra = static_cast<int>(across.size() / 2), rl = static_cast<int>(along.size() / 2);
    const int nl = turned.image.nu, nt = turned.image.nv;
    Image first(nl + 2 * rl, nt);
    std::vector<float> row(static_cast<std::size_t>(nt + 2 * ra));
    for (int l = 0; l < first.nu; ++l) {
        for (int t = 0; t < nt + 2 * ra; ++t)
            row[static_cast<std::size_t>(t)] = turned.source(from, l - rl, t - ra);
        float* to = &first.a[first.index(l, 0)];
        for (std::size_t k = 0; k < across.size(); ++k) {
            const float f = across[k];
            const float* shifted = row.data() + k;
            for (int t = 0; t < nt; ++t) to[t] += f * shifted[t];
        }
    }
    Image out(nl, nt);
    for (int l = 0; l < nl; ++l) {
        float* to = &out.a[out.index(l, 0)];
        for (std::size_t k = 0; k < along.size(); ++k) {
            const float f = along[k];
            const float* from_row = &first.a[first.index(l + static_cast<int>(k), 0)];
            for (int t = 0; t < nt; ++t) to[t] += f * from_row[t];
        }
    }
    return out;
}

Response strongest(const Image& height, const Mask& where, const std::vector<std::vector<float>>& across,
                   double along_nodes) {
    const std::vector<float> along = along_filter(along_nodes);
    std::vector<Image> answers(static_cast<std::size_t>(directions));
    parallel_for(answers.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t d = begin; d < end; ++d) {
            const Turned turned(height, where, std::numbers::pi * static_cast<double>(d) / directions);
            Image& best = answers[d];
            best = Image(height.nu, height.nv);
            if (turned.image.size() == 0) continue;
            for (const std::vector<float>& filter : across) {
                const Image answer = filtered(turned, height, filter, along);
                for (int i = 0; i < height.nu; ++i)
                    for (int j = 0; j < height.nv; ++j) {
                        if (!where.at(i, j)) continue;
                        const float x = between(answer, turned.c * i + turned.s * j - turned.l0,
                                                -turned.s * i + turned.c * j - turned.t0);
                        float& old = best.at(i, j);
                        if (std::abs(x) > std::abs(old)) old = x;
                    }
            }
        }
    });
    Response response{Image(height.nu, height.nv), Image(height.nu, height.nv)};
    for (std::size_t d = 0; d < answers.size(); ++d)
        for (std::size_t k = 0; k < height.size(); ++k)
            if (std::abs(answers[d].a[k]) > std::abs(response.size.a[k])) {
                response.size.a[k] = answers[d].a[k];
                response.angle.a[k] =
                    static_cast<float>(std::numbers::pi * static_cast<double>(d) / directions);
            }
    return response;
}

}  // namespace

Response ridges(const Image& height, const Mask& where, double step_mm, const std::vector<double>& widths_mm,
                double along_mm) {
    std::vector<std::vector<float>> across;
    for (const double width : widths_mm) across.push_back(ridge_filter(width, step_mm));
    return strongest(height, where, across, along_mm / step_mm);
}

Response steps(const Image& height, const Mask& where, double step_mm, double along_mm) {
    return strongest(height, where, {step_filter(step_mm)}, along_mm / step_mm);
}

Mask crests(const Response& response) {
    const Image& size = response.size;
    Mask out(size.nu, size.nv);
    for (int i = 0; i < size.nu; ++i)
        for (int j = 0; j < size.nv; ++j) {
            const float here = size.at(i, j);
            if (here == 0.0f) continue;
            const double angle = static_cast<double>(response.angle.at(i, j)), di = -std::sin(angle),
                         dj = std::cos(angle);
            bool greatest = true;
            for (const double s : {-2.0, -1.0, 1.0, 2.0}) {
                const float there = between(size, i + s * di, j + s * dj);
                greatest = greatest && (here > 0.0f ? there <= here : there >= here);
            }
            out.at(i, j) = greatest;
        }
    return out;
}

}  // namespace archwright::examine
