#include "engine/examine/seam.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

namespace archwright::examine {

namespace {

constexpr double from_share = 0.15, to_share = 0.68;
constexpr float outside = -0.3f, weakest_gain = -0.3f, strongest_gain = 1.2f;
constexpr double least_sine = 0.5;  // a seam runs across the foot, within 60 degrees
constexpr int border_columns = 12;
constexpr std::array<float, 5> turn_cost{0.04f, 0.01f, 0.0f, 0.01f, 0.04f};  // of -2..2 nodes a column

struct Way {
    std::vector<int> row;  // per column from `first`
    int first = 0;
    double score = -1e300;
};

Way best_way(const Image& gain, int first, int last) {
    const int nu = gain.nu, columns = last - first + 1;
    std::vector<float> value(static_cast<std::size_t>(nu)), next(value.size());
    std::vector<std::vector<signed char>> came(static_cast<std::size_t>(columns));
    for (int i = 0; i < nu; ++i) value[static_cast<std::size_t>(i)] = gain.at(i, first);
    for (int c = 1; c < columns; ++c) {
        auto& from = came[static_cast<std::size_t>(c)];
        from.assign(static_cast<std::size_t>(nu), 0);
        for (int i = 0; i < nu; ++i) {
            float best = -1e30f;
            for (int d = -2; d <= 2; ++d) {
                if (i + d < 0 || i + d >= nu) continue;
                const float v =
                    value[static_cast<std::size_t>(i + d)] - turn_cost[static_cast<std::size_t>(d + 2)];
                if (v > best) {
                    best = v;
                    from[static_cast<std::size_t>(i)] = static_cast<signed char>(d);
                }
            }
            next[static_cast<std::size_t>(i)] = best + gain.at(i, first + c);
        }
        value.swap(next);
    }
    Way way;
    way.first = first;
    const auto end = std::max_element(value.begin(), value.end());
    way.score = static_cast<double>(*end) / columns;
    way.row.assign(static_cast<std::size_t>(columns), 0);
    int i = static_cast<int>(end - value.begin());
    for (int c = columns - 1; c >= 0; --c) {
        way.row[static_cast<std::size_t>(c)] = i;
        if (c > 0) i += came[static_cast<std::size_t>(c)][static_cast<std::size_t>(i)];
    }
    return way;
}

// What a parabola through one side says at the step itself.
std::optional<double> extrapolated(const Image& smooth, const Mask& seen, int i, int j, int sense) {
    Eigen::Matrix3d n = Eigen::Matrix3d::Zero();
    Eigen::Vector3d r = Eigen::Vector3d::Zero();
    int count = 0;
    for (int k = 6; k <= 20; ++k) {
        const int at = i + sense * k;
        if (!seen.has(at, j) || !seen.at(at, j)) continue;
        const double t = k / 20.0;
        const Eigen::Vector3d f(1.0, t, t * t);
        n += f * f.transpose();
        r += static_cast<double>(smooth.at(at, j)) * f;
        ++count;
    }
    if (count < 10) return std::nullopt;
    const Eigen::Vector3d x = n.ldlt().solve(r);
    return x[0];
}

}  // namespace

std::optional<SeamLine> find_seam(const Relief& relief, const Anatomy& anatomy, const Response& steps,
                                  double least_mm) {
    const Mask& sole = relief.sole;
    int first = sole.nv, last = -1;
    for (int i = 0; i < sole.nu; ++i)
        for (int j = 0; j < sole.nv; ++j)
            if (sole.at(i, j)) {
                first = std::min(first, j);
                last = std::max(last, j);
            }
    first += border_columns;
    last -= border_columns;
    if (last - first < 40) return std::nullopt;
    Image rise(sole.nu, sole.nv, outside);  // towards the toes
    for (int i = 0; i < sole.nu; ++i)
        for (int j = 0; j < sole.nv; ++j) {
            const std::size_t k = sole.index(i, j);
            const double share = anatomy.along(relief.map.position[k]);
            if (share < from_share || share > to_share) continue;
            const double sine = std::sin(static_cast<double>(steps.angle.a[k]));
            rise.a[k] = sole.a[k] && sine > least_sine ? -steps.size.a[k] : 0.0f;
        }
    Way best;
    float sense = 1.0f;
    for (const float sign : {1.0f, -1.0f}) {
        Image gain = rise;
        for (std::size_t k = 0; k < gain.size(); ++k)
            if (rise.a[k] != outside) gain.a[k] = std::clamp(sign * rise.a[k], weakest_gain, strongest_gain);
        Way way = best_way(gain, first, last);
        if (way.score <= best.score) continue;
        best = std::move(way);
        sense = sign;
    }
    SeamLine seam;
    std::vector<double> answers, jumps;
    const Image smooth = blurred(relief.height, relief.seen, 0.8 / relief.step());
    int shown = 0;
    for (std::size_t c = 0; c < best.row.size(); ++c) {
        const int i = best.row[c], j = best.first + static_cast<int>(c);
        if (!sole.at(i, j) || rise.at(i, j) == outside) continue;
        seam.nodes.emplace_back(i, j);
        const double answer = static_cast<double>(sense * rise.at(i, j));
        answers.push_back(answer);
        shown += answer > 0.6 * least_mm;
        const auto front = extrapolated(smooth, relief.seen, i, j, 1),
                   back = extrapolated(smooth, relief.seen, i, j, -1);
        if (front && back) jumps.push_back(*front - *back);
    }
    if (answers.size() < 60 || jumps.size() < 30) return std::nullopt;
    seam.covered = static_cast<double>(shown) / static_cast<double>(answers.size());
    std::sort(answers.begin(), answers.end());
    std::sort(jumps.begin(), jumps.end());
    seam.answer = answers[answers.size() / 4];
    if (seam.answer < least_mm) return std::nullopt;
    seam.height = jumps[jumps.size() / 2];
    // a crease gives the filter's answer too, but both its sides lie equally high
    constexpr double least_of_answer = 0.8;
    if (seam.height * static_cast<double>(sense) < least_of_answer * seam.answer) return std::nullopt;
    // half the middle half's breadth, of samples that are independent every 2 mm or so
    seam.height_sd = 0.74 * (jumps[jumps.size() * 3 / 4] - jumps[jumps.size() / 4]) /
                     std::sqrt(static_cast<double>(jumps.size()) * relief.step() / 2.0);
    // the way wanders from node to node: smooth it
    std::vector<Vec2> nodes = seam.nodes;
    const int n = static_cast<int>(nodes.size());
    for (int k = 0; k < n; ++k) {
        const int reach = std::min({8, k, n - 1 - k});
        Vec2 sum = Vec2::Zero();
        for (int m = -reach; m <= reach; ++m) sum += nodes[static_cast<std::size_t>(k + m)];
        seam.nodes[static_cast<std::size_t>(k)] = sum / (2 * reach + 1);
    }
    return seam;
}

}  // namespace archwright::examine
