#include "engine/surface/level_loop.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "engine/base/parallel.hpp"

namespace archwright::surface {

namespace {

// Between points of the curve: fine enough for corners of some millimetres.
constexpr double loop_spacing_mm = 1.5;
constexpr int least_loop_points = 16;

struct Nodes {
    Vec2 low, step;
    int nu, nv;
    std::vector<double> value;

    Vec2 at(int i, int j) const { return low + Vec2(step.x() * i, step.y() * j); }
    double of(int i, int j) const { return value[static_cast<std::size_t>(i) * nv + j]; }
    bool inside(int i, int j) const { return of(i, j) > 0.0; }
};

Nodes sample_field(const std::function<double(const Vec2&)>& field, const Vec2& low, const Vec2& high,
                   double step) {
    Nodes n;
    n.low = low;
    n.nu = std::max(3, static_cast<int>(std::ceil((high.x() - low.x()) / step)) + 1);
    n.nv = std::max(3, static_cast<int>(std::ceil((high.y() - low.y()) / step)) + 1);
    n.step = Vec2((high.x() - low.x()) / (n.nu - 1), (high.y() - low.y()) / (n.nv - 1));
    n.value.resize(static_cast<std::size_t>(n.nu) * n.nv);
    parallel_for(n.value.size(), 128, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const int i = static_cast<int>(k) / n.nv, j = static_cast<int>(k) % n.nv;
            const double value = field(n.at(i, j));
            const bool border = i == 0 || j == 0 || i + 1 == n.nu || j + 1 == n.nv;
            n.value[k] = border ? std::min(value, -1e-9) : value;
        }
    });
    return n;
}

// Edges of cells by number: 2 k towards +u from node k, 2 k + 1 towards +v.
std::vector<std::vector<Vec2>> pieces(const Nodes& n) {
    const auto edge = [&](int i, int j, bool along_v) { return 2 * (i * n.nv + j) + (along_v ? 1 : 0); };
    std::map<int, int> next;
    for (int i = 0; i + 1 < n.nu; ++i)
        for (int j = 0; j + 1 < n.nv; ++j) {
            // corners and the edges after them, counter-clockwise
            const std::array<bool, 4> in{n.inside(i, j), n.inside(i + 1, j), n.inside(i + 1, j + 1),
                                         n.inside(i, j + 1)};
            const std::array<int, 4> edges{edge(i, j, false), edge(i + 1, j, true), edge(i, j + 1, false),
                                           edge(i, j, true)};
            std::vector<int> leaves, enters;  // where the boundary of the cell leaves the inside, and enters
            for (std::size_t c = 0; c < 4; ++c) {
                const bool here = in[c], there = in[(c + 1) % 4];
                if (here && !there) leaves.push_back(edges[c]);
                if (!here && there) enters.push_back(edges[c]);
            }
            // the inside lies to the left: from where the boundary leaves it to where it next enters
            if (leaves.size() == 1) next[leaves[0]] = enters[0];
            if (leaves.size() == 2) {
                const double middle = n.of(i, j) + n.of(i + 1, j) + n.of(i + 1, j + 1) + n.of(i, j + 1);
                const bool apart = middle <= 0.0;  // the two corners inside are cut off one by one
                const bool first = in[0];          // corners 0 and 2; else 1 and 3
                // in order of edges: first: leaves e0, enters e1, leaves e2, enters e3
                const int a = first ? 0 : 1;
                const int e0 = edges[static_cast<std::size_t>(a)],
                          e1 = edges[static_cast<std::size_t>(a + 1)],
                          e2 = edges[static_cast<std::size_t>((a + 2) % 4)],
                          e3 = edges[static_cast<std::size_t>((a + 3) % 4)];
                next[e0] = apart ? e3 : e1;
                next[e2] = apart ? e1 : e3;
            }
        }
    const auto point = [&](int e) {
        const int k = e / 2, i = k / n.nv, j = k % n.nv;
        const int i2 = i + (e % 2 == 0 ? 1 : 0), j2 = j + e % 2;
        const double a = n.of(i, j), b = n.of(i2, j2), t = a / (a - b);
        return Vec2((1.0 - t) * n.at(i, j) + t * n.at(i2, j2));
    };
    std::vector<std::vector<Vec2>> all;
    while (!next.empty()) {
        std::vector<Vec2> piece;
        int at = next.begin()->first;
        for (auto found = next.find(at); found != next.end(); found = next.find(at)) {
            piece.push_back(point(at));
            at = found->second;
            next.erase(found);
        }
        all.push_back(std::move(piece));
    }
    return all;
}

double signed_area(const std::vector<Vec2>& polygon) {
    double sum = 0.0;
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
        sum += a.x() * b.y() - a.y() * b.x();
    }
    return 0.5 * sum;
}

std::vector<Vec2> evenly(const std::vector<Vec2>& polygon) {
    std::vector<double> along{0.0};
    for (std::size_t k = 0; k < polygon.size(); ++k)
        along.push_back(along.back() + (polygon[(k + 1) % polygon.size()] - polygon[k]).norm());
    const int count = std::max(least_loop_points, static_cast<int>(along.back() / loop_spacing_mm));
    std::vector<Vec2> even;
    std::size_t k = 0;
    for (int c = 0; c < count; ++c) {
        const double s = along.back() * c / count;
        while (k + 2 < along.size() && along[k + 1] <= s) ++k;
        const double t = (s - along[k]) / std::max(along[k + 1] - along[k], 1e-12);
        even.push_back((1.0 - t) * polygon[k] + t * polygon[(k + 1) % polygon.size()]);
    }
    return even;
}

}  // namespace

std::optional<LevelLoop> level_loop(const std::function<double(const Vec2& uv)>& field, const Vec2& low,
                                    const Vec2& high, double step_mm, double least_mm2) {
    std::vector<Vec2> largest;
    double area = 0.0, all = 0.0;
    for (std::vector<Vec2>& piece : pieces(sample_field(field, low, high, step_mm))) {
        const double own = signed_area(piece);
        if (own >= least_mm2) all += own;
        if (own <= area) continue;
        area = own;
        largest = std::move(piece);
    }
    if (largest.size() < 3 || area < least_mm2) return std::nullopt;
    std::vector<Vec2> points = evenly(largest);
    // the lattice's chords err: each point goes square to the curve to where the field itself is zero
    const std::vector<Vec2> before = points;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const Vec2 along = before[(k + 1) % before.size()] - before[(k + before.size() - 1) % before.size()];
        const Vec2 out = Vec2(along.y(), -along.x()).normalized();
        double in_t = -step_mm, out_t = step_mm;
        if (!(field(before[k] + in_t * out) > 0.0) || field(before[k] + out_t * out) > 0.0) continue;
        constexpr int halvings = 40;
        for (int h = 0; h < halvings; ++h) {
            const double t = 0.5 * (in_t + out_t);
            (field(before[k] + t * out) > 0.0 ? in_t : out_t) = t;
        }
        points[k] = before[k] + 0.5 * (in_t + out_t) * out;
    }
    return LevelLoop{PeriodicCurve::through(points), all - area};
}

}  // namespace archwright::surface
