#include "engine/scan/raster.hpp"

#include <libexif/exif-data.h>
#include <png.h>
#include <turbojpeg.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

#include "engine/base/file.hpp"

namespace archwright::scan {

namespace {

constexpr const char* save_again = " Save the picture again as PNG or JPEG.";

Fault bad(const std::string& name, const std::string& what) {
    return {FaultKind::input, "read", name + ": " + what + save_again, {}};
}

std::optional<Fault> too_large(const std::string& name, std::size_t width, std::size_t height) {
    if (width > 0 && height > 0 && height <= most_pixels / width) return std::nullopt;
    return Fault{FaultKind::input,
                 "read",
                 name + ": the picture is " + std::to_string(width) + " x " + std::to_string(height) +
                     " pixels; from 1 to " + std::to_string(most_pixels) +
                     " are read. Make it smaller first.",
                 {}};
}

Outcome<Raster> read_png(std::span<const std::byte> bytes, const std::string& name) {
    png_image image;
    std::memset(&image, 0, sizeof image);
    image.version = PNG_IMAGE_VERSION;
    const auto release = [](png_image* held) { png_image_free(held); };
    const std::unique_ptr<png_image, decltype(release)> guard(&image, release);
    const auto damaged = [&] {
        return bad(name, std::string("the PNG cannot be read (") + image.message + ").");
    };
    if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) == 0) return damaged();
    if (auto trouble = too_large(name, image.width, image.height)) return *trouble;
    image.format = PNG_FORMAT_RGB;
    Raster raster;
    raster.width = image.width;
    raster.height = image.height;
    raster.pixels.resize(raster.width * raster.height);
    const png_color white{255, 255, 255};
    const int whole = png_image_finish_read(&image, &white, raster.pixels.data(),
                                            static_cast<png_int_32>(3 * raster.width), nullptr);
    // a warning means that something was left out or repaired: a cast's ink is not guessed at
    if (whole == 0 || (image.warning_or_error & PNG_IMAGE_ERROR) != 0) return damaged();
    return raster;
}

Outcome<Raster> read_jpeg(std::span<const std::byte> bytes, const std::string& name) {
    const auto release = [](void* handle) { tjDestroy(handle); };
    const std::unique_ptr<void, decltype(release)> reader(tjInitDecompress(), release);
    if (!reader) return bad(name, "there is no memory for a JPEG.");
    const auto* data = reinterpret_cast<const unsigned char*>(bytes.data());
    const auto size = static_cast<unsigned long>(bytes.size());
    int width = 0, height = 0, subsampling = 0, colours = 0;
    const auto damaged = [&] {
        return bad(name, std::string("the JPEG cannot be read, or is cut short (") +
                             tjGetErrorStr2(reader.get()) + ").");
    };
    if (tjDecompressHeader3(reader.get(), data, size, &width, &height, &subsampling, &colours) != 0)
        return damaged();
    if (auto trouble = too_large(name, static_cast<std::size_t>(width), static_cast<std::size_t>(height)))
        return *trouble;
    if (colours == TJCS_CMYK || colours == TJCS_YCCK)
        return bad(name, "the JPEG has printing colours (CMYK), not those of a camera.");
    Raster raster;
    raster.width = static_cast<std::size_t>(width);
    raster.height = static_cast<std::size_t>(height);
    raster.pixels.resize(raster.width * raster.height);
    if (tjDecompress2(reader.get(), data, size, raster.pixels.data()->data(), width, 0, height, TJPF_RGB,
                      TJFLAG_ACCURATEDCT) != 0)
        return damaged();
    return raster;
}

/// What the camera noted of how it was held: 1 to 8 as in EXIF; 1 (as stored) where nothing is noted.
int orientation(std::span<const std::byte> bytes) {
    const auto release = [](ExifData* held) { exif_data_unref(held); };
    const std::unique_ptr<ExifData, decltype(release)> data(
        exif_data_new_from_data(reinterpret_cast<const unsigned char*>(bytes.data()),
                                static_cast<unsigned>(bytes.size())),
        release);
    if (!data) return 1;
    const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
    if (entry == nullptr || entry->format != EXIF_FORMAT_SHORT || entry->components != 1 || entry->size < 2)
        return 1;
    const int noted = exif_get_short(entry->data, exif_data_get_byte_order(data.get()));
    return noted >= 1 && noted <= 8 ? noted : 1;
}

/// The picture as it is seen when the place of its stored first row and first column is `noted` (EXIF).
Raster as_seen(Raster stored, int noted) {
    if (noted == 1) return stored;
    const bool on_its_side = noted >= 5;
    const bool from_right = noted == 2 || noted == 3 || noted == 7 || noted == 8;
    const bool from_below = noted == 3 || noted == 4 || noted == 6 || noted == 7;
    Raster seen;
    seen.width = on_its_side ? stored.height : stored.width;
    seen.height = on_its_side ? stored.width : stored.height;
    seen.pixels.reserve(stored.pixels.size());
    for (std::size_t row = 0; row < seen.height; ++row)
        for (std::size_t column = 0; column < seen.width; ++column) {
            std::size_t x = on_its_side ? row : column, y = on_its_side ? column : row;
            if (from_right) x = stored.width - 1 - x;
            if (from_below) y = stored.height - 1 - y;
            seen.pixels.push_back(stored.pixel(x, y));
        }
    return seen;
}

}  // namespace

TriangleMesh::Colour Raster::at(double x, double y) const {
    const auto place = [](double value, std::size_t count, std::size_t& low, std::size_t& high) {
        const double most = static_cast<double>(count - 1);
        const double inside = std::isfinite(value) ? std::clamp(value - 0.5, 0.0, most) : 0.0;
        low = static_cast<std::size_t>(inside);
        high = std::min(low + 1, count - 1);
        return inside - static_cast<double>(low);
    };
    std::size_t left = 0, right = 0, upper = 0, lower = 0;
    const double s = place(x, width, left, right), t = place(y, height, upper, lower);
    TriangleMesh::Colour colour{};
    for (std::size_t k = 0; k < 3; ++k) {
        const double above = (1.0 - s) * pixel(left, upper)[k] + s * pixel(right, upper)[k];
        const double below = (1.0 - s) * pixel(left, lower)[k] + s * pixel(right, lower)[k];
        colour[k] = static_cast<std::uint8_t>(std::lround((1.0 - t) * above + t * below));
    }
    return colour;
}

Outcome<Raster> read_raster_bytes(std::span<const std::byte> bytes, const std::string& name) {
    const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
    if (text.substr(0, 4) == "\x89PNG") return read_png(bytes, name);
    if (text.substr(0, 3) == "\xFF\xD8\xFF") return read_jpeg(bytes, name);
    return bad(name, text.empty() ? "it is empty (0 bytes)." : "it is neither PNG nor JPEG.");
}

Outcome<Raster> read_raster(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_picture_bytes);
    if (!file) return file.fault();
    return read_raster_bytes(file->bytes(), path.filename().string());
}

Outcome<Raster> read_photograph(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_picture_bytes);
    if (!file) return file.fault();
    auto stored = read_raster_bytes(file->bytes(), path.filename().string());
    if (!stored) return stored;
    return as_seen(std::move(*stored), orientation(file->bytes()));
}

}  // namespace archwright::scan
