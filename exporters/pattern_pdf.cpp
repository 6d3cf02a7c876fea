#include <cairo/cairo-pdf.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "engine/base/text.hpp"
#include "engine/picture/font.hpp"
#include "exporters/pattern_files.hpp"

namespace archwright::exporters {

namespace {

constexpr double points_per_mm = 72.0 / 25.4;

Fault failed(const std::string& what) {
    return Fault{FaultKind::output, "write", "PDF: " + what + ".", {}};
}

cairo_status_t append(void* bytes, const unsigned char* data, unsigned int size) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), size);
    return CAIRO_STATUS_SUCCESS;
}

struct Free {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* context) const { cairo_destroy(context); }
};

void draw(cairo_t* cr, const PatternSheet::Stroke& stroke) {
    if (stroke.points.empty()) return;
    cairo_set_line_width(cr, stroke.width_mm);
    cairo_set_dash(cr, stroke.dashes.data(), static_cast<int>(stroke.dashes.size()), 0.0);
    cairo_move_to(cr, stroke.points[0].x(), stroke.points[0].y());
    for (std::size_t i = 1; i < stroke.points.size(); ++i)
        cairo_line_to(cr, stroke.points[i].x(), stroke.points[i].y());
    if (stroke.closed) cairo_close_path(cr);
    cairo_stroke(cr);
}

// Glyph by glyph as the words were measured, with their text, so that they can be searched and copied.
void write(cairo_t* cr, const PatternSheet::Words& words) {
    const picture::Font* font = picture::Font::of(words.weight);
    if (font == nullptr) return;
    const std::u32string letters = picture::code_points(words.text);
    const picture::SetText set = font->set(letters);
    cairo_set_font_size(cr, words.size_mm);
    std::size_t byte = 0;
    for (std::size_t begin = 0; begin < set.glyphs.size();) {
        std::size_t end = begin;
        std::vector<cairo_glyph_t> glyphs;
        std::vector<cairo_text_cluster_t> clusters;
        const std::size_t from = byte;
        while (end < set.glyphs.size() && set.glyphs[end].face == set.glyphs[begin].face) {
            glyphs.push_back(
                {set.glyphs[end].glyph, words.at.x() + words.size_mm * set.glyphs[end].x, words.at.y()});
            const char32_t c = letters[end];
            const int bytes = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
            clusters.push_back({bytes, 1});
            byte += static_cast<std::size_t>(bytes);
            ++end;
        }
        cairo_set_font_face(cr, font->face(set.glyphs[begin].face));
        cairo_show_text_glyphs(cr, words.text.data() + from, static_cast<int>(byte - from), glyphs.data(),
                               static_cast<int>(glyphs.size()), clusters.data(),
                               static_cast<int>(clusters.size()), static_cast<cairo_text_cluster_flags_t>(0));
        begin = end;
    }
}

}  // namespace

Outcome<std::string> pattern_pdf(const PatternSheet& sheet) {
    std::string bytes;
    const std::unique_ptr<cairo_surface_t, Free> surface(cairo_pdf_surface_create_for_stream(
        append, &bytes, points_per_mm * sheet.width_mm, points_per_mm * sheet.height_mm));
    cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_4);
    const std::string date = (sheet.date.empty() ? "1970-01-01" : sheet.date) + "T00:00:00Z";
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, sheet.title.c_str());
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATOR, "Archwright");
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, date.c_str());
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_MOD_DATE, date.c_str());
    {
        const std::unique_ptr<cairo_t, Free> cr(cairo_create(surface.get()));
        cairo_scale(cr.get(), points_per_mm, points_per_mm);
        cairo_set_source_rgb(cr.get(), 0.0, 0.0, 0.0);
        cairo_set_line_join(cr.get(), CAIRO_LINE_JOIN_ROUND);
        cairo_set_line_cap(cr.get(), CAIRO_LINE_CAP_BUTT);
        for (const PatternSheet::Stroke& stroke : sheet.strokes) draw(cr.get(), stroke);
        for (const PatternSheet::Words& words : sheet.words) write(cr.get(), words);
        cairo_show_page(cr.get());
        if (const cairo_status_t status = cairo_status(cr.get()); status != CAIRO_STATUS_SUCCESS)
            return failed(cairo_status_to_string(status));
    }
    cairo_surface_finish(surface.get());
    if (const cairo_status_t status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
        return failed(cairo_status_to_string(status));
    return bytes;
}

Outcome<Done> verify_pattern_pdf(std::string_view bytes, const PatternSheet& sheet) {
    if (!bytes.starts_with("%PDF-1.4") || bytes.rfind("%%EOF") == std::string_view::npos)
        return failed("the file is not whole");
    const std::string_view label = "/MediaBox [";
    const std::size_t at = bytes.find(label);
    if (at == std::string_view::npos || bytes.find(label, at + 1) != std::string_view::npos)
        return failed("the file has no single page");
    std::string_view rest = bytes.substr(at + label.size());
    for (const double wanted : {0.0, 0.0, points_per_mm * sheet.width_mm, points_per_mm * sheet.height_mm}) {
        rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
        const std::size_t end = std::min(rest.find_first_of(" ]"), rest.size());
        const auto number = parse_number(rest.substr(0, end));
        constexpr double rounded_pt = 0.01;  // cairo writes so many digits
        if (!number || std::abs(*number - wanted) > rounded_pt)
            return failed("its page is not " + rounded(sheet.width_mm, 1) + " by " +
                          rounded(sheet.height_mm, 1) + " mm");
        rest.remove_prefix(end);
    }
    return Done{};
}

}  // namespace archwright::exporters
