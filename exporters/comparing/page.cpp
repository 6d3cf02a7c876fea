#include "exporters/comparing/page.hpp"

#include <cairo/cairo-pdf.h>
#include <cairo/cairo-svg.h>

#include <cmath>
#include <memory>
#include <numbers>

#include "engine/picture/font.hpp"

namespace archwright::exporters::comparing {

namespace {

constexpr double points_per_mm = 72.0 / 25.4;

struct Free {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Surface = std::unique_ptr<cairo_surface_t, Free>;
using Context = std::unique_ptr<cairo_t, Free>;

cairo_t* pen(void* cairo) {
    return static_cast<cairo_t*>(cairo);
}

void take(cairo_t* cr, const picture::Colour& c) {
    cairo_set_source_rgb(cr, c.r, c.g, c.b);
}

cairo_status_t append_bytes(void* bytes, const unsigned char* data, unsigned int size) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), size);
    return CAIRO_STATUS_SUCCESS;
}

Fault page_fault(const std::string& what) {
    return {FaultKind::output, "write", what, {}};
}

std::optional<Fault> no_font() {
    if (picture::Canvas::has_font()) return std::nullopt;
    return page_fault("no font to write with: install the package fonts-inter or fonts-dejavu-core.");
}

void begin(cairo_t* cr) {
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
    cairo_paint(cr);
}

/// The library's number of a surface within its process is no part of a picture.
void drop_surface_numbers(std::string& svg) {
    std::size_t at = 0;
    while ((at = svg.find("\"surface", at)) != std::string::npos) {
        const std::size_t from = at + 8;
        std::size_t to = from;
        while (to < svg.size() && svg[to] >= '0' && svg[to] <= '9') ++to;
        svg.erase(from, to - from);
        at = from;
    }
}

}  // namespace

void Page::line(const Vec2& a, const Vec2& b, const picture::Colour& colour, double width_mm, bool dashed) {
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    cairo_set_line_width(cr, width_mm);
    const double dash = 1.2;
    cairo_set_dash(cr, &dash, dashed ? 1 : 0, 0.0);
    cairo_move_to(cr, a.x(), a.y());
    cairo_line_to(cr, b.x(), b.y());
    cairo_stroke(cr);
    cairo_set_dash(cr, nullptr, 0, 0.0);
}

void Page::polyline(const std::vector<Vec2>& points, const picture::Colour& colour, double width_mm) {
    if (points.empty()) return;
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    cairo_set_line_width(cr, width_mm);
    cairo_move_to(cr, points[0].x(), points[0].y());
    for (const Vec2& p : points) cairo_line_to(cr, p.x(), p.y());
    cairo_stroke(cr);
}

void Page::fill(const picture::Box& box, const picture::Colour& colour) {
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    cairo_rectangle(cr, box.x, box.y, box.w, box.h);
    cairo_fill(cr);
}

void Page::fill(const std::vector<std::vector<Vec2>>& rings, const picture::Colour& colour) {
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_new_path(cr);
    for (const std::vector<Vec2>& ring : rings) {
        if (ring.size() < 3) continue;
        cairo_move_to(cr, ring[0].x(), ring[0].y());
        for (const Vec2& p : ring) cairo_line_to(cr, p.x(), p.y());
        cairo_close_path(cr);
    }
    cairo_fill(cr);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
}

void Page::image(const picture::Image& image, const picture::Box& box) {
    if (image.width <= 0 || image.height <= 0) return;
    const Surface pixels(cairo_image_surface_create(CAIRO_FORMAT_RGB24, image.width, image.height));
    if (cairo_surface_status(pixels.get()) != CAIRO_STATUS_SUCCESS) return;
    unsigned char* data = cairo_image_surface_get_data(pixels.get());
    const int stride = cairo_image_surface_get_stride(pixels.get());
    for (int y = 0; y < image.height; ++y)
        for (int x = 0; x < image.width; ++x)
            *reinterpret_cast<std::uint32_t*>(data + y * stride + 4 * x) = image.at(x, y);
    cairo_surface_mark_dirty(pixels.get());
    cairo_t* cr = pen(cairo_);
    cairo_save(cr);
    cairo_translate(cr, box.x, box.y);
    cairo_scale(cr, box.w / image.width, box.h / image.height);
    cairo_set_source_surface(cr, pixels.get(), 0.0, 0.0);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_NEAREST);
    cairo_paint(cr);
    cairo_restore(cr);
}

void Page::frame(const picture::Box& box, const picture::Colour& colour, double width_mm) {
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    cairo_set_line_width(cr, width_mm);
    cairo_rectangle(cr, box.x, box.y, box.w, box.h);
    cairo_stroke(cr);
}

void Page::mark(const Vec2& at, int kind, double size_mm, const picture::Colour& colour) {
    cairo_t* cr = pen(cairo_);
    take(cr, colour);
    const double r = 0.5 * size_mm;
    cairo_set_line_width(cr, 0.35);
    const auto polygon = [&](int corners, double turn, double radius) {
        for (int i = 0; i < corners; ++i) {
            const double a = turn + 2.0 * std::numbers::pi * i / corners;
            cairo_line_to(cr, at.x() + radius * std::sin(a), at.y() - radius * std::cos(a));
        }
        cairo_close_path(cr);
    };
    cairo_new_path(cr);
    switch (kind % 6) {
        case 0:
            cairo_arc(cr, at.x(), at.y(), r, 0.0, 2.0 * std::numbers::pi);
            cairo_fill(cr);
            break;
        case 1:
            cairo_rectangle(cr, at.x() - 0.85 * r, at.y() - 0.85 * r, 1.7 * r, 1.7 * r);
            cairo_fill(cr);
            break;
        case 2:
            polygon(3, 0.0, 1.25 * r);
            cairo_fill(cr);
            break;
        case 3:
            polygon(4, 0.0, 1.25 * r);
            cairo_fill(cr);
            break;
        case 4:
            cairo_arc(cr, at.x(), at.y(), 0.85 * r, 0.0, 2.0 * std::numbers::pi);
            cairo_stroke(cr);
            break;
        default:
            cairo_move_to(cr, at.x() - r, at.y() - r);
            cairo_line_to(cr, at.x() + r, at.y() + r);
            cairo_move_to(cr, at.x() + r, at.y() - r);
            cairo_line_to(cr, at.x() - r, at.y() + r);
            cairo_stroke(cr);
    }
}

double Page::measure(std::string_view text, const Type& type) {
    const picture::Font* font = picture::Font::of(type.weight);
    return font == nullptr ? 0.0 : type.size_mm * font->set(picture::code_points(text)).width;
}

void Page::write(std::string_view text, const Vec2& at, const Type& type, picture::Align align) {
    const picture::Font* font = picture::Font::of(type.weight);
    if (font == nullptr || text.empty()) return;
    cairo_t* cr = pen(cairo_);
    take(cr, type.colour);
    cairo_set_font_size(cr, type.size_mm);
    const std::u32string letters = picture::code_points(text);
    const picture::SetText set = font->set(letters);
    const double share = align == picture::Align::left ? 0.0 : align == picture::Align::centre ? 0.5 : 1.0;
    const double x = at.x() - share * type.size_mm * set.width;
    // glyph by glyph as they were measured, with their text, so that words can be searched and copied
    std::size_t byte = 0;
    for (std::size_t first = 0; first < set.glyphs.size();) {
        std::size_t end = first;
        std::vector<cairo_glyph_t> glyphs;
        std::vector<cairo_text_cluster_t> clusters;
        const std::size_t from = byte;
        while (end < set.glyphs.size() && set.glyphs[end].face == set.glyphs[first].face) {
            glyphs.push_back({set.glyphs[end].glyph, x + type.size_mm * set.glyphs[end].x, at.y()});
            const char32_t c = letters[end];
            const int bytes = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
            clusters.push_back({bytes, 1});
            byte += static_cast<std::size_t>(bytes);
            ++end;
        }
        cairo_set_font_face(cr, font->face(set.glyphs[first].face));
        cairo_show_text_glyphs(cr, text.data() + from, static_cast<int>(byte - from), glyphs.data(),
                               static_cast<int>(glyphs.size()), clusters.data(),
                               static_cast<int>(clusters.size()), static_cast<cairo_text_cluster_flags_t>(0));
        first = end;
    }
}

std::vector<std::string> Page::lines_of(std::string_view text, double width_mm, const Type& type) {
    std::vector<std::string> lines;
    std::string line;
    const auto end_line = [&] {
        if (!line.empty()) lines.push_back(line);
        line.clear();
    };
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of(" \n\r\t"), text.size());
        std::string word(text.substr(0, end));
        const bool ends_line = end < text.size() && text[end] == '\n';
        text.remove_prefix(std::min(end + 1, text.size()));
        if (!line.empty() && !word.empty() && measure(line + " " + word, type) > width_mm) end_line();
        // a word that fills more than a line goes on in the next, between two characters
        while (measure(word, type) > width_mm) {
            std::size_t fits = 0;
            for (std::size_t at = 0; at < word.size();) {
                std::size_t next = at + 1;
                while (next < word.size() && (static_cast<unsigned char>(word[next]) & 0xC0U) == 0x80U)
                    ++next;
                if (fits > 0 && measure(std::string_view(word).substr(0, next), type) > width_mm) break;
                fits = at = next;
            }
            if (fits == 0 || fits >= word.size()) break;  // one character wider than the line
            lines.push_back(word.substr(0, fits));
            word.erase(0, fits);
        }
        if (!word.empty()) line += (line.empty() ? "" : " ") + word;
        if (ends_line) end_line();
    }
    end_line();
    return lines;
}

double Page::paragraph(std::string_view text, const Vec2& at, double width_mm, const Type& type) {
    double y = at.y();
    for (const std::string& line : lines_of(text, width_mm, type)) {
        write(line, {at.x(), y}, type);
        y += leading(type);
    }
    return y;
}

Outcome<std::string> pages_pdf(const std::vector<Draw>& pages, double width_mm, double height_mm,
                               const std::string& title) {
    if (auto fault = no_font()) return *fault;
    std::string bytes;
    const Surface surface(cairo_pdf_surface_create_for_stream(append_bytes, &bytes, points_per_mm * width_mm,
                                                              points_per_mm * height_mm));
    cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_4);
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "Archwright");
    for (const auto when : {CAIRO_PDF_METADATA_CREATE_DATE, CAIRO_PDF_METADATA_MOD_DATE})
        cairo_pdf_surface_set_metadata(surface.get(), when, "1970-01-01T00:00:00Z");
    {
        const Context cr(cairo_create(surface.get()));
        cairo_scale(cr.get(), points_per_mm, points_per_mm);
        for (const Draw& draw : pages) {
            begin(cr.get());
            Page page(cr.get());
            draw(page);
            cairo_show_page(cr.get());
        }
    }
    cairo_surface_finish(surface.get());
    if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
        return page_fault(std::string("PDF: ") + cairo_status_to_string(status) + ".");
    return bytes;
}

Outcome<std::string> page_svg(const Draw& draw, double width_mm, double height_mm) {
    if (auto fault = no_font()) return *fault;
    std::string bytes;
    const Surface surface(cairo_svg_surface_create_for_stream(append_bytes, &bytes, points_per_mm * width_mm,
                                                              points_per_mm * height_mm));
    {
        const Context cr(cairo_create(surface.get()));
        cairo_scale(cr.get(), points_per_mm, points_per_mm);
        begin(cr.get());
        Page page(cr.get());
        draw(page);
    }
    cairo_surface_finish(surface.get());
    if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
        return page_fault(std::string("SVG: ") + cairo_status_to_string(status) + ".");
    drop_surface_numbers(bytes);
    return bytes;
}

Outcome<picture::Image> page_image(const Draw& draw, double width_mm, double height_mm,
                                   double pixels_per_mm) {
    if (auto fault = no_font()) return *fault;
    const int width = static_cast<int>(std::lround(width_mm * pixels_per_mm)),
              height = static_cast<int>(std::lround(height_mm * pixels_per_mm));
    const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    {
        const Context cr(cairo_create(surface.get()));
        cairo_scale(cr.get(), pixels_per_mm, pixels_per_mm);
        begin(cr.get());
        Page page(cr.get());
        draw(page);
    }
    cairo_surface_flush(surface.get());
    if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
        return page_fault(std::string("PNG: ") + cairo_status_to_string(status) + ".");
    picture::Image image(width, height, picture::Colour::hex(0xFFFFFF));
    const unsigned char* data = cairo_image_surface_get_data(surface.get());
    const int stride = cairo_image_surface_get_stride(surface.get());
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x)
            image.at(x, y) = *reinterpret_cast<const std::uint32_t*>(data + y * stride + 4 * x) & 0x00FFFFFFU;
    return image;
}

}  // namespace archwright::exporters::comparing
