#include "engine/scan/up.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "engine/base/parallel.hpp"
#include "engine/base/units.hpp"

namespace archwright::scan {
namespace {

constexpr std::size_t coarse_directions = 800;  // some 7 degrees apart
constexpr std::size_t finalists = 10;
constexpr std::size_t hypotheses = 4;
constexpr std::size_t samples_used = 2400;
// Contact reach as a share of the largest extent: 13 mm and 6 mm of a 260 mm foot.
constexpr double coarse_reach = 0.05;
constexpr double fine_reach = 0.023;
const double facing = std::cos(radians(35.0));

std::vector<Vec3> sphere(std::size_t count) {
    std::vector<Vec3> directions(count);
    const double golden = std::numbers::pi * (3.0 - std::sqrt(5.0));
    for (std::size_t i = 0; i < count; ++i) {
        const double z = 1.0 - 2.0 * (static_cast<double>(i) + 0.5) / static_cast<double>(count);
        const double r = std::sqrt(1.0 - z * z);
        const double a = golden * static_cast<double>(i);
        directions[i] = Vec3(r * std::cos(a), r * std::sin(a), z);
    }
    return directions;
}

struct Lying {
    std::vector<Vec3> position, normal;
    double extent = 0.0;
    std::optional<Opening> opening;

    /// Share of the surface in contact with the plane it would lie on with `down` downwards.
    double contact(const Vec3& down, double reach) const {
        double lowest = -1e300;
        for (const Vec3& p : position) lowest = std::max(lowest, p.dot(down));
        std::size_t touching = 0;
        const double limit = lowest - reach * extent;
        for (std::size_t i = 0; i < position.size(); ++i)
            if (position[i].dot(down) > limit && std::abs(normal[i].dot(down)) > facing) ++touching;
        return static_cast<double>(touching) / static_cast<double>(position.size());
    }

    double opens(const Vec3& down) const {
        return opening ? std::max(0.05, -down.dot(opening->normal)) : 1.0;
    }

    /// 1 - length of the uppermost 15 % over the length of the whole, both seen along `down`.
    double narrowing(const Vec3& down) const {
        double low = 1e300;
        double high = -1e300;
        for (const Vec3& p : position) {
            low = std::min(low, -p.dot(down));
            high = std::max(high, -p.dot(down));
        }
        const Vec3 across = down.unitOrthogonal();
        const Vec3 along = down.cross(across);
        const auto length = [&](double from) {
            std::vector<Vec2> plan;
            for (const Vec3& p : position)
                if (-p.dot(down) >= from) plan.emplace_back(p.dot(across), p.dot(along));
            if (plan.size() < 6) return 1e300;
            Vec2 mean = Vec2::Zero();
            for (const Vec2& q : plan) mean += q;
            mean /= static_cast<double>(plan.size());
            double xx = 0.0, xy = 0.0, yy = 0.0;
            for (const Vec2& q : plan) {
                const Vec2 d = q - mean;
                xx += d.x() * d.x();
                xy += d.x() * d.y();
                yy += d.y() * d.y();
            }
            const double angle = 0.5 * std::atan2(2.0 * xy, xx - yy);
            const Vec2 axis(std::cos(angle), std::sin(angle));
            std::vector<double> t;
            t.reserve(plan.size());
            for (const Vec2& q : plan) t.push_back(q.dot(axis));
            const auto cut = static_cast<std::ptrdiff_t>(t.size() / 100);
            std::nth_element(t.begin(), t.begin() + cut, t.end());
            const double first = t[static_cast<std::size_t>(cut)];
            std::nth_element(t.begin(), t.end() - 1 - cut, t.end());
            return *(t.end() - 1 - cut) - first;
        };
        const double top = length(low + 0.85 * (high - low));
        const double whole = length(low);
        return std::max(0.05, 1.0 - top / whole);
    }
};

struct Candidate {
    Vec3 down = Vec3::Zero();
    double contact = 0.0;
    double score = 0.0;
};

/// Tilts `down` in ever smaller steps while the contact grows.
void settle(const Lying& lying, Candidate& candidate) {
    constexpr std::array<double, 4> steps{6.0, 3.0, 1.5, 0.75};  // degrees
    constexpr int moves = 4;
    double best = lying.contact(candidate.down, fine_reach) * lying.opens(candidate.down);
    for (const double step : steps) {
        for (int move = 0; move < moves; ++move) {
            const Vec3 a = candidate.down.unitOrthogonal();
            const Vec3 b = candidate.down.cross(a);
            Vec3 better = candidate.down;
            for (int k = 0; k < 8; ++k) {
                const double angle = std::numbers::pi / 4.0 * k;
                const Vec3 tilted =
                    (candidate.down + std::tan(radians(step)) * (std::cos(angle) * a + std::sin(angle) * b))
                        .normalized();
                const double score = lying.contact(tilted, fine_reach) * lying.opens(tilted);
                if (score > best) {
                    best = score;
                    better = tilted;
                }
            }
            if (better == candidate.down) break;
            candidate.down = better;
        }
    }
    candidate.contact = lying.contact(candidate.down, fine_reach);
    candidate.score = best * lying.narrowing(candidate.down);
}

}  // namespace

std::vector<UpCandidate> find_up(const Samples& samples, const std::optional<Opening>& opening) {
    Lying lying;
    lying.opening = opening;
    const std::size_t stride = std::max<std::size_t>(1, samples.size() / samples_used);
    Box3 box;
    for (std::size_t i = stride / 2; i < samples.size(); i += stride) {
        lying.position.push_back(samples.position[i]);
        lying.normal.push_back(samples.normal[i]);
        box.add(samples.position[i]);
    }
    lying.extent = box.size().maxCoeff();
    for (Vec3& p : lying.position) p -= box.centre();

    const std::vector<Vec3> directions = sphere(coarse_directions);
    std::vector<Candidate> all(directions.size());
    parallel_for(all.size(), 50, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            all[i].down = directions[i];
            all[i].score = lying.contact(directions[i], coarse_reach) * lying.opens(directions[i]);
        }
    });
    std::stable_sort(all.begin(), all.end(),
                     [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
    std::vector<Candidate> finals;
    const double apart = std::cos(radians(20.0));
    for (const Candidate& c : all) {
        if (finals.size() == finalists) break;
        if (std::none_of(finals.begin(), finals.end(),
                         [&](const Candidate& f) { return f.down.dot(c.down) > apart; }))
            finals.push_back(c);
    }
    parallel_for(finals.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) settle(lying, finals[i]);
    });
    std::stable_sort(finals.begin(), finals.end(),
                     [](const Candidate& a, const Candidate& b) { return a.score > b.score; });

    std::vector<UpCandidate> found;
    const double distinct = std::cos(radians(30.0));
    for (const Candidate& f : finals) {
        if (found.size() == hypotheses) break;
        if (std::none_of(found.begin(), found.end(),
                         [&](const UpCandidate& u) { return -u.up.dot(f.down) > distinct; }))
            found.push_back({-f.down, f.score, f.contact});
    }
    return found;
}

}  // namespace archwright::scan
