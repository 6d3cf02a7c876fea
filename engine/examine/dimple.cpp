#include "engine/examine/dimple.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "engine/base/parallel.hpp"

namespace archwright::examine {

namespace {

constexpr double window_radii = 1.7;  // radii: what lies round a dome tells what it would be without
constexpr int search_stride = 2;      // the search looks at every second node
constexpr double dome_blur_mm = 0.8;
constexpr double apart_mm = 4.0;
constexpr std::size_t most_dimples = 24;
constexpr int cubic = 10;
constexpr int lanes = 12;  // of a tap: ten of the cubic, one of the dome, one idle

double dome(double r) {
    const double s = 1.0 - r * r;
    return s > 0.0 ? s * s : 0.0;
}

std::array<double, cubic> cubics(double x, double y) {
    return {1.0, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y};
}

// Taps of one radius: an orthonormal basis of the cubics, then the dome's part orthogonal to them.
struct Kernel {
    double radius, norm;
    std::vector<int> di, dj;
    std::vector<std::array<float, lanes>> taps;

    Kernel(double radius_mm, double step_mm) : radius(radius_mm), norm(0.0) {
        const int r = static_cast<int>(std::ceil(radius_mm * window_radii / step_mm));
        for (int i = -r; i <= r; ++i)
            for (int j = -r; j <= r; ++j)
                if (std::hypot(i, j) * step_mm <= radius_mm * window_radii) {
                    di.push_back(i);
                    dj.push_back(j);
                }
        const Eigen::Index n = static_cast<Eigen::Index>(di.size());
        Eigen::MatrixXd a(n, cubic);
        Eigen::VectorXd b(n);
        for (Eigen::Index k = 0; k < n; ++k) {
            const double x = di[static_cast<std::size_t>(k)] * step_mm / radius_mm,
                         y = dj[static_cast<std::size_t>(k)] * step_mm / radius_mm;
            const auto f = cubics(x, y);
            for (Eigen::Index c = 0; c < cubic; ++c) a(k, c) = f[static_cast<std::size_t>(c)];
            b[k] = dome(std::hypot(x, y));
        }
        const Eigen::MatrixXd q = a.householderQr().householderQ() * Eigen::MatrixXd::Identity(n, cubic);
        b -= q * (q.transpose() * b);
        norm = b.norm();
        b /= norm;
        taps.resize(di.size());
        for (Eigen::Index k = 0; k < n; ++k) {
            auto& tap = taps[static_cast<std::size_t>(k)];
            tap.fill(0.0f);
            for (Eigen::Index c = 0; c < cubic; ++c)
                tap[static_cast<std::size_t>(c)] = static_cast<float>(q(k, c));
            tap[cubic] = static_cast<float>(b[k]);
        }
    }

    // Height of the dome at a node, and its share of what the cubic leaves.
    std::pair<double, double> at(const Image& image, int i, int j) const {
        std::array<float, lanes> sum{};
        float squares = 0.0f;
        const float here = image.at(i, j);  // keeps the sums small
        for (std::size_t k = 0; k < taps.size(); ++k) {
            const float h =
                image.at(std::clamp(i + di[k], 0, image.nu - 1), std::clamp(j + dj[k], 0, image.nv - 1)) -
                here;
            squares += h * h;
            for (std::size_t c = 0; c < lanes; ++c) sum[c] += h * taps[k][c];
        }
        float rest = squares;
        for (std::size_t c = 0; c < cubic; ++c) rest -= sum[c] * sum[c];
        const double b = static_cast<double>(sum[cubic]);
        return {b / norm, b * b / std::max(static_cast<double>(rest), 1e-9)};
    }
};

struct Peak {
    double score;  // signed
    int i, j;
    double radius;
};

// The image the search looks at: smoothed, without what is left out, every second node.
Image searched(const Image& smooth) {
    Image out(smooth.nu / search_stride, smooth.nv / search_stride);
    for (int i = 0; i < out.nu; ++i)
        for (int j = 0; j < out.nv; ++j) out.at(i, j) = smooth.at(i * search_stride, j * search_stride);
    return out;
}

std::vector<Peak> peaks_of(const Image& image, const Mask& sole, double step_mm, double least_mm) {
    const std::array<Kernel, 3> kernels{Kernel(6.0, step_mm), Kernel(8.2, step_mm), Kernel(11.0, step_mm)};
    Image score(image.nu, image.nv), radius(image.nu, image.nv);
    parallel_for(static_cast<std::size_t>(image.nu), 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t row = begin; row < end; ++row)
            for (int j = 0; j < image.nv; ++j) {
                const int i = static_cast<int>(row);
                if (!sole.at(i * search_stride, j * search_stride)) continue;
                for (const Kernel& kernel : kernels) {
                    const auto [height, share] = kernel.at(image, i, j);
                    const float s = static_cast<float>(height * std::sqrt(std::clamp(share, 0.0, 1.0)));
                    if (std::abs(s) <= std::abs(score.at(i, j))) continue;
                    score.at(i, j) = s;
                    radius.at(i, j) = static_cast<float>(kernel.radius);
                }
            }
    });
    std::vector<Peak> peaks;
    const int near = static_cast<int>(apart_mm / step_mm);
    for (int i = 0; i < image.nu; ++i)
        for (int j = 0; j < image.nv; ++j) {
            const float s = score.at(i, j);
            if (std::abs(s) < static_cast<float>(least_mm)) continue;
            bool greatest = true;
            for (int a = -near; a <= near && greatest; ++a)
                for (int b = -near; b <= near && greatest; ++b)
                    if ((a != 0 || b != 0) && score.has(i + a, j + b)) {
                        const float other = score.at(i + a, j + b);
                        if (other * s > 0.0f &&
                            (std::abs(other) > std::abs(s) || (other == s && (a < 0 || (a == 0 && b < 0)))))
                            greatest = false;
                    }
            if (greatest)
                peaks.push_back({static_cast<double>(s), i * search_stride, j * search_stride,
                                 static_cast<double>(radius.at(i, j))});
        }
    std::stable_sort(peaks.begin(), peaks.end(),
                     [](const Peak& a, const Peak& b) { return std::abs(a.score) > std::abs(b.score); });
    if (peaks.size() > most_dimples) peaks.resize(most_dimples);
    return peaks;
}

// Samples round a place, and the fit of a dome of given middle and radius to them.
class Neighbourhood {
  public:
    Neighbourhood(const Image& smooth, const Mask& use, double step_mm, const Vec2& middle, double reach_mm)
        : scale_(reach_mm) {
        const int r = static_cast<int>(std::ceil(reach_mm / step_mm));
        const int ci = static_cast<int>(std::lround(middle.x())),
                  cj = static_cast<int>(std::lround(middle.y()));
        int wanted = 0;
        for (int i = ci - r; i <= ci + r; i += search_stride)
            for (int j = cj - r; j <= cj + r; j += search_stride) {
                const Vec2 p = (Vec2(i, j) - middle) * step_mm;
                if (p.norm() > reach_mm) continue;
                ++wanted;
                if (!use.has(i, j) || !use.at(i, j)) continue;
                place_.push_back(p);
                value_.push_back(static_cast<double>(smooth.at(i, j)));
            }
        seen_ = wanted > 0 ? static_cast<double>(place_.size()) / wanted : 0.0;
        // cubics made orthonormal once: every dome is then judged by one product
        const Eigen::Index n = static_cast<Eigen::Index>(place_.size());
        if (n < 40) return;
        Eigen::MatrixXd a(n, cubic);
        Eigen::VectorXd h(n);
        for (Eigen::Index k = 0; k < n; ++k) {
            const Vec2 p = place_[static_cast<std::size_t>(k)] / scale_;
            const auto f = cubics(p.x(), p.y());
            for (Eigen::Index c = 0; c < cubic; ++c) a(k, c) = f[static_cast<std::size_t>(c)];
            h[k] = value_[static_cast<std::size_t>(k)];
        }
        basis_ = a.householderQr().householderQ() * Eigen::MatrixXd::Identity(n, cubic);
        rest_ = h - basis_ * (basis_.transpose() * h);
    }
    bool usable() const { return rest_.size() > 0; }
    double seen() const { return seen_; }

    struct Fit {
        double height = 0.0, share = 0.0, misfit = 0.0, norm = 0.0;
    };
    Fit fit(const Vec2& middle, double radius) const {
        Eigen::VectorXd b(rest_.size());
        for (Eigen::Index k = 0; k < b.size(); ++k)
            b[k] = dome((place_[static_cast<std::size_t>(k)] - middle).norm() / radius);
        b -= basis_ * (basis_.transpose() * b);
        const double norm2 = b.squaredNorm();
        if (!(norm2 > 1e-9)) return {};
        const double along = b.dot(rest_), all = std::max(rest_.squaredNorm(), 1e-12);
        const double left = std::max(0.0, all - along * along / norm2);
        return {along / norm2, along * along / norm2 / all,
                std::sqrt(left / static_cast<double>(rest_.size())), std::sqrt(norm2)};
    }
    // Least over mean of the sectors of what is not cubic, half way out.
    double roundness(const Vec2& middle, double radius, double height) const {
        Eigen::VectorXd b(rest_.size());
        for (Eigen::Index k = 0; k < b.size(); ++k)
            b[k] = dome((place_[static_cast<std::size_t>(k)] - middle).norm() / radius);
        const Eigen::VectorXd lost = basis_ * (basis_.transpose() * b);
        std::array<double, 8> sum{}, count{};
        for (Eigen::Index k = 0; k < b.size(); ++k) {
            const Vec2 p = place_[static_cast<std::size_t>(k)] - middle;
            const double r = p.norm() / radius;
            if (r < 0.3 || r > 0.65) continue;
            const double turn = (std::atan2(p.y(), p.x()) / std::numbers::pi + 1.0) * 4.0;
            const std::size_t s = std::min<std::size_t>(7, static_cast<std::size_t>(std::max(0.0, turn)));
            sum[s] += (rest_[k] + height * lost[k]) / height;
            count[s] += 1.0;
        }
        double least = 1e300, total = 0.0;
        int sectors = 0;
        for (std::size_t s = 0; s < 8; ++s) {
            if (count[s] < 1.0) continue;
            least = std::min(least, sum[s] / count[s]);
            total += sum[s] / count[s];
            ++sectors;
        }
        return sectors > 0 && total > 0.0 ? least / (total / sectors) : 0.0;
    }

  private:
    double scale_, seen_ = 0.0;
    std::vector<Vec2> place_;
    std::vector<double> value_;
    Eigen::MatrixXd basis_;
    Eigen::VectorXd rest_;
};

// Middle and radius by a search that halves its steps.
Dimple refined(const Image& smooth, const Mask& use, double step_mm, const Peak& peak, double noise_mm) {
    const Vec2 start(peak.i, peak.j);
    const double reach = std::max(12.0, window_radii * peak.radius);
    const Neighbourhood around(smooth, use, step_mm, start, reach);
    Dimple found;
    found.node = start;
    found.radius = peak.radius;
    found.seen = around.seen();
    if (!around.usable()) return found;
    Vec2 middle = Vec2::Zero();
    double radius = peak.radius;
    Neighbourhood::Fit best = around.fit(middle, radius);
    constexpr double least_radius = 4.5, most_radius = 13.0;
    for (double by = 2.0; by > 0.1; by *= 0.5)
        for (int round = 0; round < 4; ++round) {
            bool better = false;
            for (int k = 0; k < 6; ++k) {
                Vec2 m = middle;
                double r = radius;
                (k < 2 ? m.x() : k < 4 ? m.y() : r) += k % 2 == 0 ? by : -by;
                if (m.norm() > 5.0 || r < least_radius || r > most_radius) continue;
                const Neighbourhood::Fit fit = around.fit(m, r);
                if (fit.height * peak.score > 0.0 && fit.share > best.share) {
                    best = fit;
                    middle = m;
                    radius = r;
                    better = true;
                }
            }
            if (!better) break;
        }
    found.node = start + middle / step_mm;
    found.height = best.height;
    found.radius = radius;
    found.share = best.share;
    // neighbouring samples are not independent: a blur's worth of area each; and the profile is not known
    constexpr double profile_error = 0.12;
    const double correlated = 2.0 * std::sqrt(std::numbers::pi) * dome_blur_mm / (search_stride * step_mm);
    found.height_sd =
        std::hypot(std::hypot(best.misfit, noise_mm * 0.5) * correlated / std::max(best.norm, 1e-9),
                   profile_error * best.height);
    found.roundness = around.roundness(middle, radius, best.height);
    return found;
}

}  // namespace

std::vector<Dimple> find_dimples(const Relief& relief, const Mask& leave_out, double least_mm) {
    Mask use(relief.seen.nu, relief.seen.nv);
    for (std::size_t k = 0; k < use.size(); ++k) use.a[k] = relief.seen.a[k] && !leave_out.a[k];
    const double step = relief.step();
    Image smooth = blurred(relief.height, use, dome_blur_mm / step);
    Image filled = smooth;
    fill_nearest(filled, use);
    // what is left out is bridged by its wider surroundings
    const Image wide = blurred(relief.height, use, 3.0 / step);
    for (std::size_t k = 0; k < use.size(); ++k)
        if (relief.seen.a[k] && !use.a[k]) filled.a[k] = wide.a[k] != 0.0f ? wide.a[k] : filled.a[k];
    const std::vector<Peak> peaks = peaks_of(searched(filled), relief.sole, search_stride * step, least_mm);
    std::vector<Dimple> found(peaks.size());
    parallel_for(peaks.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k)
            found[k] = refined(smooth, use, step, peaks[k], relief.noise_mm);
    });
    // two peaks may have come to the same place
    std::vector<Dimple> kept;
    std::stable_sort(found.begin(), found.end(), [](const Dimple& a, const Dimple& b) {
        return std::abs(a.height) * std::sqrt(a.share) > std::abs(b.height) * std::sqrt(b.share);
    });
    for (const Dimple& d : found) {
        const bool again = std::any_of(kept.begin(), kept.end(), [&](const Dimple& k) {
            return (k.node - d.node).norm() * step < apart_mm && k.height * d.height > 0.0;
        });
        if (!again && d.height != 0.0) kept.push_back(d);
    }
    return kept;
}

}  // namespace archwright::examine
