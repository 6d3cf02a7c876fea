#include "engine/mark/polyline.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

namespace archwright::mark {

double length(const std::vector<Vec3>& points, bool closed) {
    double sum = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) sum += (points[i] - points[i - 1]).norm();
    if (closed && points.size() > 1) sum += (points.front() - points.back()).norm();
    return sum;
}

std::vector<Vec3> resampled(const std::vector<Vec3>& points, double step, bool closed) {
    const double whole = length(points, closed);
    if (points.size() < 2 || !(whole > 0.0)) return points;
    const auto count = std::max<std::size_t>(closed ? 3 : 1, static_cast<std::size_t>(whole / step + 0.5));
    std::vector<Vec3> even;
    std::size_t i = 0;
    double before = 0.0;
    const auto at = [&](std::size_t k) -> const Vec3& { return points[k % points.size()]; };
    const std::size_t pieces = closed ? points.size() : points.size() - 1;
    for (std::size_t k = 0; k < count + (closed ? 0 : 1); ++k) {
        const double way = whole * static_cast<double>(k) / static_cast<double>(count);
        double piece = (at(i + 1) - at(i)).norm();
        while (i + 1 < pieces && before + piece < way) {
            before += piece;
            ++i;
            piece = (at(i + 1) - at(i)).norm();
        }
        const double t = piece > 0.0 ? std::clamp((way - before) / piece, 0.0, 1.0) : 0.0;
        even.push_back(at(i) + t * (at(i + 1) - at(i)));
    }
    return even;
}

std::vector<Vec3> smoothed(const std::vector<Vec3>& points, double sigma, bool closed) {
    const auto n = static_cast<std::ptrdiff_t>(points.size());
    if (n < 4) return points;
    const double step = length(points, closed) / static_cast<double>(closed ? n : n - 1);
    if (!(step > 0.0)) return points;
    const auto reach = std::min<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(std::ceil(3.0 * sigma / step)),
                                                closed ? (n - 1) / 2 : n);
    std::vector<Vec3> out(points.size());
    for (std::ptrdiff_t i = 0; i < n; ++i) {
        Mat3 normal = Mat3::Zero(), right = Mat3::Zero();
        for (std::ptrdiff_t d = -reach; d <= reach; ++d) {
            std::ptrdiff_t j = i + d;
            if (closed)
                j = (j + n) % n;
            else if (j < 0 || j >= n)
                continue;
            const double s = static_cast<double>(d) * step / sigma;
            const double w = std::exp(-0.5 * s * s);
            const Vec3 row(1.0, s, s * s);
            normal += w * row * row.transpose();
            right += w * row * points[static_cast<std::size_t>(j)].transpose();
        }
        const Mat3 fit = normal.ldlt().solve(right);
        out[static_cast<std::size_t>(i)] = fit.row(0).transpose();
    }
    return out;
}

std::vector<Vec3> thinned(const std::vector<Vec3>& points, double off, double chord, bool closed) {
    if (points.size() < 3) return points;
    std::vector<Vec3> all = points;
    if (closed) all.push_back(points.front());
    std::vector<std::uint8_t> keep(all.size(), 0);
    keep.front() = keep.back() = 1;
    const std::function<void(std::size_t, std::size_t)> split = [&](std::size_t a, std::size_t b) {
        if (b <= a + 1) return;
        std::size_t worst = (a + b) / 2;
        double farthest = -1.0;
        for (std::size_t i = a + 1; i < b; ++i) {
            const double d = distance({all[a], all[b]}, false, all[i]);
            if (d > farthest) {
                farthest = d;
                worst = i;
            }
        }
        if (farthest <= off) {
            if ((all[b] - all[a]).norm() <= chord) return;
            worst = (a + b) / 2;
        }
        keep[worst] = 1;
        split(a, worst);
        split(worst, b);
    };
    split(0, all.size() - 1);
    std::vector<Vec3> few;
    for (std::size_t i = 0; i + (closed ? 1 : 0) < all.size(); ++i)
        if (keep[i] != 0) few.push_back(all[i]);
    return few;
}

double distance(const std::vector<Vec3>& points, bool closed, const Vec3& p) {
    double best = std::numeric_limits<double>::max();
    if (points.size() == 1) return (points.front() - p).norm();
    for (std::size_t i = 0; i + (closed ? 0 : 1) < points.size(); ++i) {
        const Vec3 &a = points[i], &b = points[(i + 1) % points.size()];
        const double l2 = (b - a).squaredNorm();
        const double t = l2 > 0.0 ? std::clamp((p - a).dot(b - a) / l2, 0.0, 1.0) : 0.0;
        best = std::min(best, (a + t * (b - a) - p).norm());
    }
    return best;
}

double enclosed(const std::vector<Vec3>& points) {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 0; i < points.size(); ++i) sum += points[i].cross(points[(i + 1) % points.size()]);
    return 0.5 * sum.norm();
}

}  // namespace archwright::mark
