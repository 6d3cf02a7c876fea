#include "engine/picture/image.hpp"

#include <cairo/cairo.h>

#include "engine/base/file.hpp"

namespace archwright::picture {

namespace {

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

}  // namespace

Outcome<std::string> encode_png(const Image& image) {
    if (image.width <= 0 || image.height <= 0)
        return Fault{FaultKind::internal, "picture", "The picture has no pixels; nothing was written.", {}};
    // cairo only reads these pixels, though its interface takes them as writable
    auto* data = reinterpret_cast<unsigned char*>(const_cast<std::uint32_t*>(image.pixels.data()));
    cairo_surface_t* surface = cairo_image_surface_create_for_data(data, CAIRO_FORMAT_RGB24, image.width,
                                                                   image.height, 4 * image.width);
    std::string bytes;
    const cairo_status_t status = cairo_surface_write_to_png_stream(surface, append, &bytes);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS)
        return Fault{FaultKind::internal,
                     "picture",
                     std::string("The picture could not be encoded: ") + cairo_status_to_string(status) + ".",
                     {}};
    return bytes;
}

Outcome<Done> write_png(const Image& image, const std::filesystem::path& target) {
    const Outcome<std::string> bytes = encode_png(image);
    if (!bytes) return bytes.fault();
    return write_file(target, *bytes);
}

}  // namespace archwright::picture
