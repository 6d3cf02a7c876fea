#include "engine/examine/rough.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::examine {

namespace {
constexpr double fine_mm = 2.0, mean_mm = 5.0, least_ratio = 1.5, least_rms_mm = 0.08, least_area = 60.0;
constexpr float rough_border_mm = 10.0f;
}  // namespace

std::vector<RoughPatch> find_rough(const Relief& relief, const Mask& within, const Mask& leave_out) {
    Mask use(relief.seen.nu, relief.seen.nv), judged(use.nu, use.nv);
    for (std::size_t k = 0; k < use.size(); ++k) {
        use.a[k] = relief.seen.a[k] && !leave_out.a[k];
        judged.a[k] = relief.sole.a[k] && use.a[k] && relief.inside.a[k] > rough_border_mm && within.a[k];
    }
    // less its blur twice over: what is wider than some 12 mm leaves nothing
    Image fine = relief.height;
    for (int round = 0; round < 2; ++round) {
        const Image low = blurred(fine, use, fine_mm / relief.step());
        for (std::size_t k = 0; k < use.size(); ++k) fine.a[k] -= low.a[k];
    }
    Image squares(use.nu, use.nv);
    for (std::size_t k = 0; k < use.size(); ++k) squares.a[k] = use.a[k] ? fine.a[k] * fine.a[k] : 0.0f;
    Image level = blurred(squares, use, mean_mm / relief.step());
    for (float& x : level.a) x = std::sqrt(std::max(0.0f, x));
    const double usual = median_in(level, judged);
    if (!(usual > 0.0)) return {};
    const auto excess = [usual](float x) {
        return std::sqrt(std::max(0.0, static_cast<double>(x) * static_cast<double>(x) - usual * usual));
    };
    Mask high(use.nu, use.nv);
    for (std::size_t k = 0; k < use.size(); ++k)
        high.a[k] = judged.a[k] && static_cast<double>(level.a[k]) > least_ratio * usual &&
                    excess(level.a[k]) > least_rms_mm;
    const Labels parts = parts_of(high);
    std::vector<RoughPatch> found;
    for (std::size_t p = 0; p < parts.sizes.size(); ++p) {
        RoughPatch patch;
        patch.area = static_cast<double>(parts.sizes[p]) * relief.step() * relief.step();
        if (patch.area < least_area) continue;
        patch.nodes = Mask(use.nu, use.nv);
        patch.usual = usual;
        double weight = 0.0, greatest = 0.0;
        for (int i = 0; i < use.nu; ++i)
            for (int j = 0; j < use.nv; ++j) {
                const std::size_t k = use.index(i, j);
                if (parts.of.a[k] != static_cast<std::int32_t>(p)) continue;
                patch.nodes.a[k] = 1;
                const double w = excess(level.a[k]);
                patch.node += w * Vec2(i, j);
                weight += w;
                greatest = std::max(greatest, static_cast<double>(level.a[k]));
            }
        patch.node /= weight;
        patch.rms = excess(static_cast<float>(greatest));
        patch.ratio = greatest / usual;
        found.push_back(std::move(patch));
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const RoughPatch& a, const RoughPatch& b) { return a.area > b.area; });
    return found;
}

}  // namespace archwright::examine
