// Colours, their perceptual space, and the two themes of the house.
#pragma once

#include <cstdint>

#include "engine/base/vec.hpp"

namespace archwright::picture {

/// An sRGB colour, each channel 0..1, with no alpha: opacity belongs to the act of painting.
struct Colour {
    double r = 0.0, g = 0.0, b = 0.0;

    /// 0xRRGGBB.
    static constexpr Colour hex(std::uint32_t rgb) {
        return {((rgb >> 16) & 255) / 255.0, ((rgb >> 8) & 255) / 255.0, (rgb & 255) / 255.0};
    }
    /// 0xRRGGBB, each channel rounded and held within 0..255.
    std::uint32_t packed() const;
    Colour operator*(double f) const { return {r * f, g * f, b * f}; }
    Colour operator+(const Colour& c) const { return {r + c.r, g + c.g, b + c.b}; }
};

/// t = 0: a, t = 1: b, straight in sRGB.
inline Colour mix(const Colour& a, const Colour& b, double t) {
    return a * (1.0 - t) + b * t;
}

/// OKLab (B. Ottosson, A perceptual color space for image processing, 2020): L 0..1, a, b.
Vec3 to_oklab(const Colour& colour);
Colour from_oklab(const Vec3& lab);

/// Contrast of two colours, 1..21 (WCAG 2.1, relative luminance).
double contrast(const Colour& a, const Colour& b);

/// Colours by use. Every text colour stands out from every ground it is used on by 4.5 or more.
struct Theme {
    Colour panel, head, board;  ///< panels; heads of views and rulers; views
    Colour rule, frame;         ///< separators; frames of boxes
    Colour text, soft, faint;   ///< text in three strengths
    Colour accent, on_accent;   ///< the one ink blue, and what stands on it
    Colour pass, look, look_fill, stop, stop_fill;
    Colour grid_10, grid_50;       ///< lines every 10 and 50 mm
    Colour ink;                    ///< drawing lines
    Colour cast;                   ///< the scanned surface
    double cast_tint, shell_tint;  ///< opacity of filled sections
    bool dark;

    /// Parts of their own: foam beside the shell's blue and the colours of its wall.
    Colour foam() const { return dark ? Colour::hex(0xC8A878) : Colour::hex(0xB89060); }
};
const Theme& theme(bool dark);

}  // namespace archwright::picture
