#include "engine/examine/image.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"

namespace archwright::examine {

namespace {

std::vector<float> gaussian(double sigma) {
    const int r = std::max(1, static_cast<int>(std::ceil(3.5 * sigma)));
    std::vector<double> w;
    double sum = 0.0;
    for (int k = -r; k <= r; ++k) {
        w.push_back(std::exp(-0.5 * k * k / (sigma * sigma)));
        sum += w.back();
    }
    std::vector<float> out;
    for (double x : w) out.push_back(static_cast<float>(x / sum));
    return out;
}

Image along_v(const Image& in, const std::vector<float>& w) {
    const int r = static_cast<int>(w.size() / 2);
    Image out(in.nu, in.nv);
    parallel_for(static_cast<std::size_t>(in.nu), 16, [&](std::size_t begin, std::size_t end) {
        std::vector<float> row(static_cast<std::size_t>(in.nv + 2 * r));
        for (std::size_t i = begin; i < end; ++i) {
            const float* from = &in.a[i * static_cast<std::size_t>(in.nv)];
            for (int j = -r; j < in.nv + r; ++j)
                row[static_cast<std::size_t>(j + r)] = from[std::clamp(j, 0, in.nv - 1)];
            float* to = &out.a[i * static_cast<std::size_t>(in.nv)];
            for (std::size_t k = 0; k < w.size(); ++k) {
                const float f = w[k];
                const float* shifted = row.data() + k;
                for (int j = 0; j < in.nv; ++j) to[j] += f * shifted[j];
            }
        }
    });
    return out;
}

Image along_u(const Image& in, const std::vector<float>& w) {
    const int r = static_cast<int>(w.size() / 2);
    Image out(in.nu, in.nv);
    parallel_for(static_cast<std::size_t>(in.nu), 16, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            float* to = &out.a[i * static_cast<std::size_t>(in.nv)];
            for (std::size_t k = 0; k < w.size(); ++k) {
                const int row = std::clamp(static_cast<int>(i) + static_cast<int>(k) - r, 0, in.nu - 1);
                const float* from = &in.a[in.index(row, 0)];
                const float f = w[k];
                for (int j = 0; j < in.nv; ++j) to[j] += f * from[j];
            }
        }
    });
    return out;
}

// Lower envelope of the parabolas f[q] + (x - q)^2 at x = 0..n-1: the squared distance and whose it is.
struct Envelope {
    explicit Envelope(std::size_t n) : apex(n), bound(n + 1) {}
    void find(const std::vector<double>& f, std::vector<double>& d, std::vector<int>& who) {
        const int n = static_cast<int>(f.size());
        int k = -1;
        for (int q = 0; q < n; ++q) {
            if (f[static_cast<std::size_t>(q)] >= far) continue;
            const auto height = [&](int x) {
                return f[static_cast<std::size_t>(x)] + static_cast<double>(x) * x;
            };
            double s = -far;
            while (k >= 0) {
                const int v = apex[static_cast<std::size_t>(k)];
                s = (height(q) - height(v)) / (2.0 * (q - v));
                if (s > bound[static_cast<std::size_t>(k)]) break;
                --k;
                s = -far;
            }
            ++k;
            apex[static_cast<std::size_t>(k)] = q;
            bound[static_cast<std::size_t>(k)] = s;
        }
        const int last = k;
        k = 0;
        for (int x = 0; x < n; ++x) {
            if (last < 0) {
                d[static_cast<std::size_t>(x)] = far;
                who[static_cast<std::size_t>(x)] = -1;
                continue;
            }
            while (k < last && bound[static_cast<std::size_t>(k + 1)] < x) ++k;
            const int q = apex[static_cast<std::size_t>(k)];
            d[static_cast<std::size_t>(x)] =
                f[static_cast<std::size_t>(q)] + static_cast<double>(x - q) * (x - q);
            who[static_cast<std::size_t>(x)] = q;
        }
    }
    static constexpr double far = 1e12;
    std::vector<int> apex;
    std::vector<double> bound;
};

}  // namespace

float between(const Image& image, double i, double j) {
    const double x = std::clamp(i, 0.0, image.nu - 1.0), y = std::clamp(j, 0.0, image.nv - 1.0);
    const int a = std::min(static_cast<int>(x), std::max(0, image.nu - 2)),
              b = std::min(static_cast<int>(y), std::max(0, image.nv - 2));
    const int c = std::min(a + 1, image.nu - 1), d = std::min(b + 1, image.nv - 1);
    const float s = static_cast<float>(x - a), t = static_cast<float>(y - b);
    return (1 - s) * ((1 - t) * image.at(a, b) + t * image.at(a, d)) +
           s * ((1 - t) * image.at(c, b) + t * image.at(c, d));
}

Image blurred(const Image& image, double sigma) {
    const std::vector<float> w = gaussian(sigma);
    return along_u(along_v(image, w), w);
}

Image blurred(const Image& image, const Mask& mask, double sigma) {
    Image seen(image.nu, image.nv), weight(image.nu, image.nv);
    for (std::size_t k = 0; k < image.size(); ++k) {
        weight.a[k] = mask.a[k] ? 1.0f : 0.0f;
        seen.a[k] = mask.a[k] ? image.a[k] : 0.0f;
    }
    seen = blurred(seen, sigma);
    weight = blurred(weight, sigma);
    constexpr float least = 1e-4f;
    for (std::size_t k = 0; k < image.size(); ++k)
        seen.a[k] = weight.a[k] > least ? seen.a[k] / weight.a[k] : 0.0f;
    return seen;
}

Distance distance_inside(const Mask& mask, bool ends) {
    // one more node all round, which is not set
    const int e = ends ? 1 : 0, nu = mask.nu + 2 * e, nv = mask.nv + 2 * e;
    const auto index = [nv](int i, int j) { return static_cast<std::size_t>(i) * nv + j; };
    std::vector<double> squared(static_cast<std::size_t>(nu) * nv);
    std::vector<int> row(squared.size()), column(squared.size());
    parallel_for(static_cast<std::size_t>(nv), 16, [&](std::size_t begin, std::size_t end) {
        const std::size_t n = static_cast<std::size_t>(nu);
        Envelope envelope(n);
        std::vector<double> f(n), d(n);
        std::vector<int> who(n);
        for (std::size_t j = begin; j < end; ++j) {
            for (int i = 0; i < nu; ++i) {
                const int a = i - e, b = static_cast<int>(j) - e;
                f[static_cast<std::size_t>(i)] = mask.has(a, b) && mask.at(a, b) ? Envelope::far : 0.0;
            }
            envelope.find(f, d, who);
            for (int i = 0; i < nu; ++i) {
                squared[index(i, static_cast<int>(j))] = d[static_cast<std::size_t>(i)];
                row[index(i, static_cast<int>(j))] = who[static_cast<std::size_t>(i)];
            }
        }
    });
    Distance out{Raster<float>(mask.nu, mask.nv), std::vector<std::int32_t>(mask.size(), -1)};
    parallel_for(static_cast<std::size_t>(mask.nu), 16, [&](std::size_t begin, std::size_t end) {
        const std::size_t n = static_cast<std::size_t>(nv);
        Envelope envelope(n);
        std::vector<double> f(n), d(n);
        std::vector<int> who(n);
        for (std::size_t i = begin; i < end; ++i) {
            const int a = static_cast<int>(i) + e;
            for (int j = 0; j < nv; ++j) f[static_cast<std::size_t>(j)] = squared[index(a, j)];
            envelope.find(f, d, who);
            for (int j = 0; j < mask.nv; ++j) {
                const std::size_t k = mask.index(static_cast<int>(i), j);
                out.to.a[k] = static_cast<float>(std::sqrt(d[static_cast<std::size_t>(j + e)]));
                const int c = who[static_cast<std::size_t>(j + e)];
                if (c < 0) continue;
                const int r = row[index(a, c)] - e;
                if (mask.has(r, c - e)) out.nearest[k] = static_cast<std::int32_t>(mask.index(r, c - e));
            }
        }
    });
    return out;
}

Image greatest_near(const Image& image, int reach) {
    Image across(image.nu, image.nv), out(image.nu, image.nv);
    for (int i = 0; i < image.nu; ++i)
        for (int j = 0; j < image.nv; ++j)
            for (int k = std::max(0, j - reach); k <= std::min(image.nv - 1, j + reach); ++k)
                across.at(i, j) = std::max(across.at(i, j), std::abs(image.at(i, k)));
    for (int i = 0; i < image.nu; ++i)
        for (int k = std::max(0, i - reach); k <= std::min(image.nu - 1, i + reach); ++k)
            for (int j = 0; j < image.nv; ++j) out.at(i, j) = std::max(out.at(i, j), across.at(k, j));
    return out;
}

void fill_nearest(Image& image, const Mask& mask) {
    Mask outside(mask.nu, mask.nv);
    for (std::size_t k = 0; k < mask.size(); ++k) outside.a[k] = !mask.a[k];
    const Distance d = distance_inside(outside, false);
    const std::vector<float> before = image.a;
    for (std::size_t k = 0; k < mask.size(); ++k)
        if (!mask.a[k]) image.a[k] = d.nearest[k] < 0 ? 0.0f : before[static_cast<std::size_t>(d.nearest[k])];
}

Mask grown(const Mask& mask, double radius) {
    Mask outside(mask.nu, mask.nv);
    for (std::size_t k = 0; k < mask.size(); ++k) outside.a[k] = !mask.a[k];
    const Distance d = distance_inside(outside, false);
    Mask out(mask.nu, mask.nv);
    for (std::size_t k = 0; k < mask.size(); ++k)
        out.a[k] = mask.a[k] || static_cast<double>(d.to.a[k]) <= radius;
    return out;
}

Mask shrunk(const Mask& mask, double radius) {
    const Distance d = distance_inside(mask);
    Mask out(mask.nu, mask.nv);
    for (std::size_t k = 0; k < mask.size(); ++k)
        out.a[k] = mask.a[k] && static_cast<double>(d.to.a[k]) > radius;
    return out;
}

Labels parts_of(const Mask& mask) {
    Labels labels{Raster<std::int32_t>(mask.nu, mask.nv, -1), {}};
    std::vector<std::size_t> stack;
    for (std::size_t k = 0; k < mask.size(); ++k) {
        if (!mask.a[k] || labels.of.a[k] >= 0) continue;
        const std::int32_t part = static_cast<std::int32_t>(labels.sizes.size());
        labels.sizes.push_back(0);
        stack.push_back(k);
        labels.of.a[k] = part;
        while (!stack.empty()) {
            const std::size_t at = stack.back();
            stack.pop_back();
            ++labels.sizes.back();
            const int i = static_cast<int>(at) / mask.nv, j = static_cast<int>(at) % mask.nv;
            for (int di = -1; di <= 1; ++di)
                for (int dj = -1; dj <= 1; ++dj) {
                    if (!mask.has(i + di, j + dj)) continue;
                    const std::size_t next = mask.index(i + di, j + dj);
                    if (!mask.a[next] || labels.of.a[next] >= 0) continue;
                    labels.of.a[next] = part;
                    stack.push_back(next);
                }
        }
    }
    return labels;
}

double median_in(const Image& image, const Mask& mask) {
    std::vector<float> all;
    for (std::size_t k = 0; k < image.size(); ++k)
        if (mask.a[k]) all.push_back(image.a[k]);
    if (all.empty()) return 0.0;
    const auto middle = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
    std::nth_element(all.begin(), middle, all.end());
    return static_cast<double>(*middle);
}

double robust_sd(const Image& image, const Mask& mask) {
    Image size = image;
    for (float& x : size.a) x = std::abs(x);
    return 1.4826 * median_in(size, mask);
}

}  // namespace archwright::examine
