#include "engine/examine/trace.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <queue>

namespace archwright::examine {

namespace {

// Nodes of one part, and the longest of the shortest ways between two of them (twice the farthest node: exact
// on a tree, and a thin crest is nearly one).
class Part {
  public:
    Part(const Mask& mask, const Labels& labels, std::int32_t part, std::size_t first)
        : mask_(mask), labels_(labels), part_(part), first_(first) {}

    std::vector<std::size_t> longest_way() {
        const std::size_t one = farthest(first_), other = farthest(one);
        std::vector<std::size_t> way{other};
        while (way.back() != one) way.push_back(before_.at(way.back()));
        return way;
    }

  private:
    std::size_t farthest(std::size_t from) {
        using Entry = std::pair<double, std::size_t>;
        std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
        std::map<std::size_t, double> best{{from, 0.0}};
        before_.clear();
        open.push({0.0, from});
        Entry last{0.0, from};
        while (!open.empty()) {
            const Entry at = open.top();
            open.pop();
            if (at.first > best.at(at.second)) continue;
            if (at.first > last.first) last = at;
            const int i = static_cast<int>(at.second) / mask_.nv, j = static_cast<int>(at.second) % mask_.nv;
            for (int di = -1; di <= 1; ++di)
                for (int dj = -1; dj <= 1; ++dj) {
                    if (!mask_.has(i + di, j + dj)) continue;
                    const std::size_t next = mask_.index(i + di, j + dj);
                    if (labels_.of.a[next] != part_) continue;
                    const double d = at.first + std::hypot(di, dj);
                    const auto [known, fresh] = best.try_emplace(next, d);
                    if (!fresh && known->second <= d) continue;
                    known->second = d;
                    before_[next] = at.second;
                    open.push({d, next});
                }
        }
        return last.second;
    }

    const Mask& mask_;
    const Labels& labels_;
    std::int32_t part_;
    std::size_t first_;
    std::map<std::size_t, std::size_t> before_;
};

std::vector<Vec2> smoothed(const std::vector<Vec2>& points, double sigma) {
    const int n = static_cast<int>(points.size()), r = static_cast<int>(std::ceil(3.0 * sigma));
    std::vector<Vec2> out;
    for (int k = 0; k < n; ++k) {
        // narrower towards the ends, which stay where they are
        const int reach = std::min({r, k, n - 1 - k});
        Vec2 sum = Vec2::Zero();
        double weight = 0.0;
        for (int m = -reach; m <= reach; ++m) {
            const double w = std::exp(-0.5 * m * m / (sigma * sigma));
            sum += w * points[static_cast<std::size_t>(k + m)];
            weight += w;
        }
        out.push_back(sum / weight);
    }
    return out;
}

double length_of(const std::vector<Vec2>& points) {
    double sum = 0.0;
    for (std::size_t k = 1; k < points.size(); ++k) sum += (points[k] - points[k - 1]).norm();
    return sum;
}

// Unit normal to the line at each point: (-sin, cos) of its direction.
std::vector<Vec2> across_of(const std::vector<Vec2>& points) {
    constexpr std::size_t reach = 4;
    std::vector<Vec2> out;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const Vec2 d = points[std::min(points.size() - 1, k + reach)] - points[k < reach ? 0 : k - reach];
        const double n = d.norm();
        out.push_back(n > 0.0 ? Vec2(-d.y() / n, d.x() / n) : Vec2(0.0, 1.0));
    }
    return out;
}

constexpr double tap_reach_mm = 6.0, tap_mm = 0.25;
constexpr int taps = static_cast<int>(2 * tap_reach_mm / tap_mm) + 1;

double tap(int k) {
    return -tap_reach_mm + k * tap_mm;
}

// Height sections, one row a point of the line.
std::vector<std::array<double, taps>> sections_of(const Image& height, double step_mm,
                                                  const std::vector<Vec2>& points,
                                                  const std::vector<Vec2>& across) {
    std::vector<std::array<double, taps>> all(points.size());
    for (std::size_t p = 0; p < points.size(); ++p)
        for (int k = 0; k < taps; ++k) {
            const Vec2 at = points[p] + (tap(k) / step_mm) * across[p];
            all[p][static_cast<std::size_t>(k)] = static_cast<double>(between(height, at.x(), at.y()));
        }
    return all;
}

std::array<double, taps> mean_of(const std::vector<std::array<double, taps>>& all, std::size_t from,
                                 std::size_t to) {
    std::array<double, taps> mean{};
    for (std::size_t p = from; p < to; ++p)
        for (std::size_t k = 0; k < mean.size(); ++k) mean[k] += all[p][k];
    for (double& x : mean) x /= static_cast<double>(std::max<std::size_t>(1, to - from));
    return mean;
}

struct Fitted {
    double height = 0.0, misfit = 1e300, without = 0.0;  // sums of squares with and without the ridge
};

// A Gaussian at `centre` on a cubic.
Fitted fit_section(const std::array<double, taps>& section, double centre, double sigma) {
    Eigen::Matrix<double, 5, 5> n = Eigen::Matrix<double, 5, 5>::Zero();
    Eigen::Matrix<double, 5, 1> r = Eigen::Matrix<double, 5, 1>::Zero();
    double squares = 0.0;
    for (int k = 0; k < taps; ++k) {
        const double t = tap(k) / tap_reach_mm, d = (tap(k) - centre) / sigma;
        const Eigen::Matrix<double, 5, 1> f{{1.0, t, t * t, t * t * t, std::exp(-0.5 * d * d)}};
        n += f * f.transpose();
        r += section[static_cast<std::size_t>(k)] * f;
        squares += section[static_cast<std::size_t>(k)] * section[static_cast<std::size_t>(k)];
    }
    const Eigen::Matrix<double, 5, 1> x = n.ldlt().solve(r);
    const Eigen::Matrix<double, 4, 1> plain = n.topLeftCorner<4, 4>().ldlt().solve(r.head<4>());
    return {x[4], std::max(0.0, squares - x.dot(r)), std::max(0.0, squares - plain.dot(r.head<4>()))};
}

}  // namespace

std::vector<Trace> traces(const Response& response, int sign, const TraceSettings& settings) {
    const Mask crest = crests(response);
    const Image near = greatest_near(response.size, settings.near);
    Mask thin(crest.nu, crest.nv);
    for (std::size_t k = 0; k < crest.size(); ++k)
        thin.a[k] =
            crest.a[k] && static_cast<double>(response.size.a[k]) * sign >
                              std::max(settings.low, settings.of_near * static_cast<double>(near.a[k]));
    const Mask joined = settings.gap > 0.0 ? grown(thin, settings.gap) : thin;
    const Labels labels = parts_of(joined);
    std::vector<double> greatest(labels.sizes.size(), 0.0);
    std::vector<std::size_t> count(labels.sizes.size(), 0), first(labels.sizes.size(), 0);
    for (std::size_t k = 0; k < thin.size(); ++k) {
        const std::int32_t part = labels.of.a[k];
        if (part < 0) continue;
        const std::size_t p = static_cast<std::size_t>(part);
        if (count[p] == 0 && first[p] == 0) first[p] = k;
        if (!thin.a[k]) continue;
        ++count[p];
        greatest[p] = std::max(greatest[p], static_cast<double>(response.size.a[k]) * sign);
    }
    std::vector<Trace> found;
    for (std::size_t p = 0; p < labels.sizes.size(); ++p) {
        if (greatest[p] < settings.high || static_cast<double>(count[p]) < 0.5 * settings.least_length)
            continue;
        const std::vector<std::size_t> way =
            Part(joined, labels, static_cast<std::int32_t>(p), first[p]).longest_way();
        std::vector<Vec2> points;
        for (const std::size_t k : way)
            points.emplace_back(static_cast<double>(k / static_cast<std::size_t>(crest.nv)),
                                static_cast<double>(k % static_cast<std::size_t>(crest.nv)));
        Trace trace;
        trace.points = smoothed(points, settings.smooth);
        // the crest was grown by the gap: its ends are that much too long
        const std::size_t cut = static_cast<std::size_t>(settings.gap);
        if (trace.points.size() > 2 * cut + 4) {
            trace.points.erase(trace.points.end() - static_cast<std::ptrdiff_t>(cut), trace.points.end());
            trace.points.erase(trace.points.begin(), trace.points.begin() + static_cast<std::ptrdiff_t>(cut));
        }
        trace.length = length_of(trace.points);
        if (trace.length < settings.least_length) continue;
        for (const Vec2& at : trace.points)
            trace.mean_size += static_cast<double>(between(response.size, at.x(), at.y())) * sign;
        trace.mean_size /= static_cast<double>(trace.points.size());
        found.push_back(std::move(trace));
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const Trace& a, const Trace& b) { return a.length > b.length; });
    return found;
}

Section measure_section(const Image& height, double step_mm, std::vector<Vec2>& points) {
    constexpr double round_sigma = 0.85;  // mm, while the centre is sought
    const double half_mm = 3.0;           // to both sides along the line
    for (int round = 0; round < 2; ++round) {
        const std::vector<Vec2> across = across_of(points);
        const auto all = sections_of(height, step_mm, points, across);
        const std::size_t half = static_cast<std::size_t>(half_mm / step_mm);
        std::vector<Vec2> moved = points;
        for (std::size_t p = 0; p < points.size(); ++p) {
            const auto mean = mean_of(all, p < half ? 0 : p - half, std::min(points.size(), p + half + 1));
            double best = 0.0, least = 1e300;
            for (double c = -1.5; c <= 1.5; c += 0.125) {
                const double misfit = fit_section(mean, c, round_sigma).misfit;
                if (misfit < least) {
                    least = misfit;
                    best = c;
                }
            }
            moved[p] += (best / step_mm) * across[p];
        }
        points = smoothed(moved, 3.0 / step_mm);
    }
    // the ends fade: leave them out
    const std::size_t end = std::min(points.size() / 4, static_cast<std::size_t>(4.0 / step_mm));
    const auto all = sections_of(height, step_mm, points, across_of(points));
    const auto mean = mean_of(all, end, points.size() - end);
    Section section;
    Fitted best;
    for (double sigma = 0.4; sigma <= 3.0; sigma += 0.05) {
        const Fitted fitted = fit_section(mean, 0.0, sigma);
        if (fitted.misfit < best.misfit) {
            best = fitted;
            section.width = sigma * 2.3548200450309493;
        }
    }
    section.height = best.height;
    section.share = best.without > 0.0 ? 1.0 - best.misfit / best.without : 0.0;
    section.height_sd = std::sqrt(best.misfit / taps);
    return section;
}

}  // namespace archwright::examine
