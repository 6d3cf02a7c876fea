// A picture in memory and on disk.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/picture/colour.hpp"

namespace archwright::picture {

/// RGB, 8 bits a channel, row by row from the top left; each pixel 0x00RRGGBB.
struct Image {
    int width = 0, height = 0;
    std::vector<std::uint32_t> pixels;

    Image() = default;
    Image(int w, int h, const Colour& fill)
        : width(w),
          height(h),
          pixels(static_cast<std::size_t>(w) * static_cast<std::size_t>(h), fill.packed()) {}
    std::uint32_t& at(int x, int y) { return pixels[index(x, y)]; }
    std::uint32_t at(int x, int y) const { return pixels[index(x, y)]; }

  private:
    std::size_t index(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) + static_cast<std::size_t>(x);
    }
};

/// The PNG file's bytes (ISO/IEC 15948, RGB, 8 bits); the same image gives the same bytes.
Outcome<std::string> encode_png(const Image& image);

/// Writes a PNG whole or not at all. Faults: an empty image, a place that cannot be written.
Outcome<Done> write_png(const Image& image, const std::filesystem::path& target);

}  // namespace archwright::picture
