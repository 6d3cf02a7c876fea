#include "engine/examine/crease.hpp"

#include <algorithm>
#include <cmath>

#include "engine/examine/oriented.hpp"

namespace archwright::examine {

namespace {

constexpr double least_length_mm = 10.0, least_height_mm = 0.15, least_trough_share = 0.75,
                 most_width_mm = 4.6;
constexpr double most_regained = 1.35;

// A ridge seen through triangles is blurred by a tent as wide as their edges.
void regain(Crease& crease, double edge_mm) {
    const double seen = crease.width * sigma_of_width, lost = edge_mm * edge_mm / 6.0;
    const double sigma =
        std::sqrt(std::max(seen * seen - lost, seen * seen / (most_regained * most_regained)));
    crease.height *= seen / sigma;
    crease.height_sd *= seen / sigma;
    crease.width = sigma / sigma_of_width;
}

double strength(const Crease& c) {
    return std::abs(c.height) * c.share * c.length;
}

// A filter answers beside a line too, weaker and mostly the other way round.
bool beside(const Crease& weak, const Crease& strong, double step_mm) {
    constexpr double lobe_mm = 9.0, same_mm = 4.0, lobe_height = 0.7, most = 0.5;
    const bool same = weak.height * strong.height > 0.0;
    if (!same && std::abs(weak.height) > lobe_height * std::abs(strong.height)) return false;
    std::size_t near = 0;
    for (const Vec2& p : weak.nodes) {
        double nearest = 1e300;
        for (const Vec2& q : strong.nodes) nearest = std::min(nearest, (p - q).squaredNorm());
        near += std::sqrt(nearest) * step_mm < (same ? same_mm : lobe_mm);
    }
    return static_cast<double>(near) > most * static_cast<double>(weak.nodes.size());
}

}  // namespace

std::vector<Crease> find_creases(const Relief& relief, const Response& ridges) {
    const double sd = robust_sd(ridges.size, relief.sole);
    TraceSettings settings;
    settings.low = std::max(0.10, 1.35 * sd);
    settings.high = std::max(0.16, 1.9 * sd);
    settings.gap = 1.0;
    settings.least_length = least_length_mm / relief.step();
    settings.smooth = 3.0 / relief.step();
    std::vector<Crease> all;
    for (const int sign : {1, -1})
        for (Trace& trace : traces(ridges, sign, settings)) {
            const Section section = measure_section(relief.height, relief.step(), trace.points);
            if (section.height * sign < least_height_mm || section.share < least_trough_share) continue;
            Crease crease{std::move(trace.points), trace.length * relief.step(),
                          section.height,          section.height_sd,
                          section.width,           section.share};
            regain(crease, relief.edge_mm);
            if (crease.width > most_width_mm) continue;
            all.push_back(std::move(crease));
        }
    std::stable_sort(all.begin(), all.end(),
                     [](const Crease& a, const Crease& b) { return strength(a) > strength(b); });
    std::vector<Crease> kept;
    for (Crease& crease : all)
        if (std::none_of(kept.begin(), kept.end(),
                         [&](const Crease& strong) { return beside(crease, strong, relief.step()); }))
            kept.push_back(std::move(crease));
    return kept;
}

double share_in(const std::vector<Vec2>& nodes, const Mask& mask) {
    std::size_t in = 0;
    for (const Vec2& p : nodes) {
        const int i = static_cast<int>(std::lround(p.x())), j = static_cast<int>(std::lround(p.y()));
        in += mask.has(i, j) && mask.at(i, j) ? 1 : 0;
    }
    return nodes.empty() ? 0.0 : static_cast<double>(in) / static_cast<double>(nodes.size());
}

Mask band(const std::vector<Vec2>& nodes, const Relief& relief, double within_mm) {
    Mask line(relief.seen.nu, relief.seen.nv);
    for (const Vec2& p : nodes) {
        const int i = static_cast<int>(std::lround(p.x())), j = static_cast<int>(std::lround(p.y()));
        if (line.has(i, j)) line.at(i, j) = 1;
    }
    return grown(line, within_mm / relief.step());
}

}  // namespace archwright::examine
