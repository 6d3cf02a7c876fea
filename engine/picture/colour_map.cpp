#include "engine/picture/colour_map.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::picture {

ColourMap::ColourMap(const std::array<std::uint32_t, 9>& control_points) {
    std::array<Vec3, 9> lab;
    for (std::size_t i = 0; i < 9; ++i) lab[i] = to_oklab(Colour::hex(control_points[i]));
    for (std::size_t i = 0; i < 256; ++i) {
        const double position = static_cast<double>(i) * 8.0 / 255.0;
        const std::size_t k = std::min<std::size_t>(static_cast<std::size_t>(position), 7);
        const double t = position - static_cast<double>(k);
        steps_[i] = from_oklab((1.0 - t) * lab[k] + t * lab[k + 1]);
    }
}

const ColourMap& ColourMap::wall() {
    static const ColourMap map(
        {0xF4E8B0, 0xC2D49B, 0x8CC09A, 0x5EA89C, 0x3E8D9C, 0x306F96, 0x325089, 0x333271, 0x2A1B4A});
    return map;
}
const ColourMap& ColourMap::height() {
    static const ColourMap map(
        {0x2B2140, 0x4E3055, 0x734266, 0x985569, 0xB96E6C, 0xD38C70, 0xE6AE7E, 0xF2D19F, 0xFAF1D8});
    return map;
}
const ColourMap& ColourMap::deviation() {
    static const ColourMap map(
        {0x123F73, 0x346BA4, 0x679ACA, 0xA9C6DC, 0xF2F0EC, 0xE4C097, 0xCB8E49, 0xA0621A, 0x6F3C06});
    return map;
}
const ColourMap& ColourMap::utilisation() {
    static const ColourMap map(
        {0xEEF1EC, 0xD9D5C7, 0xCEB6A2, 0xC49684, 0xB6776E, 0xA25A61, 0x894056, 0x6A2C49, 0x4B1B3B});
    return map;
}

const Colour& ColourMap::at(double t) const {
    const double held = t >= 0.0 ? std::min(t, 1.0) : 0.0;  // also catches NaN
    return steps_[static_cast<std::size_t>(std::lround(held * 255.0))];
}

namespace {

/// The 1-2-5 number nearest above range / 6.
double round_tick(double range) {
    const double raw = range / 6.0;
    const double decade = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double step : {1.0, 2.0, 5.0})
        if (raw <= step * decade) return step * decade;
    return 10.0 * decade;
}
int decimals_of(double tick) {
    return std::clamp(static_cast<int>(std::ceil(-std::log10(tick))), 0, 3);
}
/// Ranges below this are shown one least tick to either side; no map of ours resolves less (mm).
constexpr double least_range = 0.05;

}  // namespace

MapScale round_scale(const ColourMap& map, double low, double high, const char* title) {
    if (!(high - low >= least_range)) {
        const double middle = std::isfinite(low + high) ? 0.5 * (low + high) : 0.0;
        low = middle - 0.5;
        high = middle + 0.5;
    }
    const double tick = round_tick(high - low);
    // a hair inside, so that a limit standing on a tick but for rounding does not gain a further one
    const double hair = 1e-3;
    return {&map,
            tick * std::floor(low / tick + hair),
            tick * std::ceil(high / tick - hair),
            tick,
            decimals_of(tick),
            title};
}

MapScale round_symmetric_scale(const ColourMap& map, double greatest, const char* title) {
    const double limit = std::isfinite(greatest) ? std::max(greatest, least_range) : 1.0;
    MapScale scale = round_scale(map, 0.0, limit, title);
    const double tick = round_tick(2.0 * scale.high);
    scale.tick = tick;
    scale.decimals = decimals_of(tick);
    scale.high = tick * std::ceil(scale.high / tick - 1e-3);
    scale.low = -scale.high;
    return scale;
}

}  // namespace archwright::picture
