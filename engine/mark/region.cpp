#include "engine/mark/region.hpp"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "engine/mesh/topology.hpp"

namespace archwright::mark {

namespace {

constexpr double sure = 5.0, maybe = 3.0;  // standard deviations of plaster
constexpr double least_mm2 = 6.0;          // enclosed: a ring smaller than 3 mm inside is a spot
constexpr double most_mm2 = 4000.0;        // a quarter of a sole
constexpr double search_mm = 45.0;         // round a region, for what it encloses
constexpr double chord_gap_mm = 3.0;       // half the breadth of ink between two pieces of one area

std::vector<std::uint8_t> marks_of(const Skin& skin, const std::vector<std::int32_t>& points) {
    std::vector<std::uint8_t> marked(skin.size(), 0);
    for (const std::int32_t p : points) marked[static_cast<std::size_t>(p)] = 1;
    return marked;
}

double area_of(const Skin& skin, const std::vector<std::int32_t>& points) {
    double sum = 0.0;
    for (const std::int32_t p : points) sum += skin.area(p);
    return sum;
}

}  // namespace

std::vector<std::vector<std::int32_t>> connected(const Skin& skin, const std::vector<std::uint8_t>& marked) {
    std::vector<std::uint8_t> seen(marked.size(), 0);
    std::vector<std::vector<std::int32_t>> sets;
    for (std::size_t i = 0; i < marked.size(); ++i) {
        if (marked[i] == 0 || seen[i] != 0) continue;
        std::vector<std::int32_t> set{static_cast<std::int32_t>(i)};
        seen[i] = 1;
        for (std::size_t k = 0; k < set.size(); ++k)
            for (const std::int32_t next : skin.neighbours(set[k])) {
                const auto at = static_cast<std::size_t>(next);
                if (marked[at] == 0 || seen[at] != 0) continue;
                seen[at] = 1;
                set.push_back(next);
            }
        std::sort(set.begin(), set.end());
        sets.push_back(std::move(set));
    }
    return sets;
}

std::vector<std::vector<std::int32_t>> ink_regions(const Skin& skin, const InkField& ink) {
    std::vector<std::uint8_t> marked(skin.size(), 0);
    for (std::size_t i = 0; i < marked.size(); ++i) {
        if (ink.strength[i] > maybe) marked[i] = 1;
        if (marked[i] != 0) continue;
        // a single pale point between two dark ones: the pencil skipped, or noise
        int dark = 0;
        double strength = 0.0;
        for (const std::int32_t q : skin.neighbours(static_cast<std::int32_t>(i)))
            if (const double s = ink.strength[static_cast<std::size_t>(q)]; s > maybe) {
                ++dark;
                strength += s;
            }
        if (dark >= 2 && ink.strength[i] > 0.5 * maybe && strength > dark * sure) marked[i] = 1;
    }
    std::vector<std::vector<std::int32_t>> regions = connected(skin, marked);
    std::erase_if(regions, [&](const std::vector<std::int32_t>& region) {
        return std::none_of(region.begin(), region.end(),
                            [&](std::int32_t p) { return ink.strength[static_cast<std::size_t>(p)] > sure; });
    });
    return regions;
}

std::vector<std::int32_t> grown(const Skin&, Walker& walker, const std::vector<std::int32_t>& points,
                                double reach) {
    std::vector<std::int32_t> all = walker.from(points, reach, {}, {}).point;
    std::sort(all.begin(), all.end());
    return all;
}

std::vector<std::vector<std::int32_t>> enclosed_by(const Skin& skin, Walker& walker,
                                                   const std::vector<std::int32_t>& region,
                                                   double closing_mm) {
    const std::vector<std::int32_t> wall =
        closing_mm > 0.0 ? grown(skin, walker, region, closing_mm) : region;
    const std::vector<std::uint8_t> is_wall = marks_of(skin, wall);
    // only the neighbourhood: what reaches its edge is outside
    const std::vector<std::int32_t> near = grown(skin, walker, region, search_mm);
    const std::vector<std::uint8_t> is_near = marks_of(skin, near);
    std::vector<std::uint8_t> open(skin.size(), 0);
    for (const std::int32_t p : near)
        if (is_wall[static_cast<std::size_t>(p)] == 0) open[static_cast<std::size_t>(p)] = 1;
    std::vector<std::vector<std::int32_t>> pieces;
    std::vector<std::vector<std::int32_t>> sets = connected(skin, open);
    std::size_t largest = 0;
    for (std::size_t i = 0; i < sets.size(); ++i)
        if (area_of(skin, sets[i]) > area_of(skin, sets[largest])) largest = i;
    for (std::size_t i = 0; i < sets.size(); ++i) {
        const double area = area_of(skin, sets[i]);
        if (i == largest || area < least_mm2 || area > most_mm2) continue;
        const bool leaves = std::any_of(sets[i].begin(), sets[i].end(), [&](std::int32_t p) {
            if (skin.to_rim(p) <= 0.0) return true;
            const auto around = skin.neighbours(p);
            return std::any_of(around.begin(), around.end(),
                               [&](std::int32_t q) { return is_near[static_cast<std::size_t>(q)] == 0; });
        });
        if (!leaves) pieces.push_back(std::move(sets[i]));
    }
    if (pieces.empty()) return {};
    // closing: grown and shrunk by the same, what lies between two pieces of one area is filled
    std::vector<std::int32_t> all;
    for (const auto& piece : pieces) all.insert(all.end(), piece.begin(), piece.end());
    const double reach = chord_gap_mm + closing_mm;
    const std::vector<std::int32_t> wide = grown(skin, walker, all, reach);
    const std::vector<std::uint8_t> is_wide = marks_of(skin, wide);
    std::vector<std::int32_t> beyond;
    for (const std::int32_t p : wide)
        for (const std::int32_t q : skin.neighbours(p))
            if (is_wide[static_cast<std::size_t>(q)] == 0) beyond.push_back(q);
    std::sort(beyond.begin(), beyond.end());
    beyond.erase(std::unique(beyond.begin(), beyond.end()), beyond.end());
    std::vector<std::uint8_t> filled = is_wide;
    for (const std::int32_t p : walker.from(beyond, reach, {}, {}).point)
        filled[static_cast<std::size_t>(p)] = 0;
    for (const std::int32_t p : all) filled[static_cast<std::size_t>(p)] = 1;
    return connected(skin, filled);
}

std::vector<Vec3> outer_loop(const Skin& skin, const std::vector<std::int32_t>& points) {
    std::unordered_map<std::int32_t, std::int32_t> number;
    TriangleMesh part;
    for (const std::int32_t p : points) {
        number.emplace(p, static_cast<std::int32_t>(part.points.size()));
        part.points.push_back(skin.place(p));
    }
    for (const Triangle& t : skin.mesh().triangles) {
        const auto a = number.find(t[0]), b = number.find(t[1]), c = number.find(t[2]);
        if (a != number.end() && b != number.end() && c != number.end())
            part.triangles.push_back({a->second, b->second, c->second});
    }
    if (part.triangles.empty()) return {};
    std::vector<Vec3> longest;
    double most = 0.0;
    for (const BoundaryLoop& loop : boundary_loops(part, find_topology(part))) {
        if (loop.length <= most) continue;
        most = loop.length;
        longest.clear();
        for (const std::int32_t p : loop.points) longest.push_back(part.points[static_cast<std::size_t>(p)]);
    }
    return longest;
}

}  // namespace archwright::mark
