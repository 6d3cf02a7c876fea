#include "engine/picture/colour.hpp"

#include <algorithm>
#include <cmath>

namespace archwright::picture {

namespace {

double linear(double c) {
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}
double encoded(double c) {
    return c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1.0 / 2.4) - 0.055;
}
double luminance(const Colour& c) {
    return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
}

}  // namespace

std::uint32_t Colour::packed() const {
    const auto byte = [](double c) {
        return static_cast<std::uint32_t>(std::lround(std::clamp(c, 0.0, 1.0) * 255.0));
    };
    return byte(r) << 16 | byte(g) << 8 | byte(b);
}

Vec3 to_oklab(const Colour& colour) {
    const double r = linear(colour.r), g = linear(colour.g), b = linear(colour.b);
    const double l = std::cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
    const double m = std::cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
    const double s = std::cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
    return {0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
            1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
            0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s};
}

Colour from_oklab(const Vec3& lab) {
    const auto cube = [](double x) { return x * x * x; };
    const double l = cube(lab[0] + 0.3963377774 * lab[1] + 0.2158037573 * lab[2]);
    const double m = cube(lab[0] - 0.1055613458 * lab[1] - 0.0638541728 * lab[2]);
    const double s = cube(lab[0] - 0.0894841775 * lab[1] - 1.2914855480 * lab[2]);
    const auto channel = [](double c) { return std::clamp(encoded(c), 0.0, 1.0); };
    return {channel(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
            channel(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
            channel(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

double contrast(const Colour& a, const Colour& b) {
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

const Theme& theme(bool dark) {
    const auto c = &Colour::hex;
    static const Theme light_theme{c(0xF4F4F1), c(0xEBECE8), c(0xFBFBF9), c(0xD3D6D1), c(0xA9AFAB),
                                   c(0x1B2228), c(0x4C565E), c(0x5A646B), c(0x1C5582), c(0xFFFFFF),
                                   c(0x1C6848), c(0x7E4F00), c(0xF6E8CB), c(0xA3291D), c(0xF6DDD8),
                                   c(0xE6E9E6), c(0xCBD1CE), c(0x14202A), c(0xD9D5CC), 0.22,
                                   0.16,        false};
    static const Theme dark_theme{c(0x1B1F23), c(0x22272C), c(0x15191C), c(0x30363B), c(0x545D64),
                                  c(0xE6E9E7), c(0xA9B2B8), c(0x9AA4AB), c(0x84BEE8), c(0x0E1A24),
                                  c(0x74C8A0), c(0xE2B154), c(0x40331A), c(0xF2907F), c(0x47231E),
                                  c(0x20262A), c(0x343C42), c(0xF2F4F3), c(0xA9A69F), 0.10,
                                  0.22,        true};
    return dark ? dark_theme : light_theme;
}

}  // namespace archwright::picture
