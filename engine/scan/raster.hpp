// Pictures read: PNG and JPEG, as rows of sRGB pixels.
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::scan {

/// A picture. Pixels run along rows from the upper left corner.
struct Raster {
    std::size_t width = 0, height = 0;
    std::vector<TriangleMesh::Colour> pixels;

    const TriangleMesh::Colour& pixel(std::size_t column, std::size_t row) const {
        return pixels[row * width + column];
    }
    /// Colour at a place counted in pixels: (0, 0) is the upper left corner of the picture, (0.5, 0.5) the
    /// middle of its first pixel. Between the middles of four pixels in proportion (on sRGB values); beyond
    /// the border as on it.
    TriangleMesh::Colour at(double x, double y) const;
};

/// What is read before a picture is refused: 80 million pixels (240 MB in memory; a camera takes 12 to 50),
/// and so many bytes of file.
inline constexpr std::size_t most_pixels = 80'000'000;
inline constexpr std::size_t most_picture_bytes = 400'000'000;

/// Reads PNG (any colour type and depth, by libpng; 16 bits are cut to 8, what is transparent is taken as on
/// white) or JPEG (by libjpeg-turbo; grey and colour, not CMYK). The content decides. Rows and columns are those
/// of the file. Faults (input) name the file: absent, neither format, more than most_pixels, damaged, cut
/// short, CMYK.
Outcome<Raster> read_raster(const std::filesystem::path& path);

/// A photograph as viewers show it: read_raster, turned and mirrored as the camera noted in it (EXIF 2.32, tag
/// 0x0112 Orientation, by libexif), so that pixels counted in a viewer are pixels here.
Outcome<Raster> read_photograph(const std::filesystem::path& path);

/// The same for bytes in memory; `name` stands in messages.
Outcome<Raster> read_raster_bytes(std::span<const std::byte> bytes, const std::string& name);

}  // namespace archwright::scan
