#include "engine/picture/font.hpp"

#include <cairo/cairo-ft.h>
#include FT_ADVANCES_H

#include <algorithm>
#include <mutex>

namespace archwright::picture {

namespace {

/// FreeType's advances are read through faces that hold their place in the file, one reader at a time.
std::mutex& face_lock() {
    static std::mutex lock;
    return lock;
}

FT_Library library() {
    static const FT_Library shared = [] {
        FT_Library made = nullptr;
        return FT_Init_FreeType(&made) == 0 ? made : nullptr;
    }();
    return shared;
}

double advance(FT_Face face, FT_UInt glyph) {
    FT_Fixed units = 0;
    if (FT_Get_Advance(face, glyph, FT_LOAD_NO_SCALE, &units) != 0) return 0.5;
    return static_cast<double>(units) / static_cast<double>(face->units_per_EM);
}

bool is_digit(char32_t c) {
    return c >= U'0' && c <= U'9';
}

}  // namespace

bool Font::add(const char* path) {
    FT_Face face = nullptr;
    if (library() == nullptr || FT_New_Face(library(), path, 0, &face) != 0) return false;
    Face added;
    added.ft = face;
    added.cairo = cairo_ft_font_face_create_for_ft_face(face, FT_LOAD_NO_HINTING);
    for (char32_t c = U'0'; c <= U'9'; ++c)
        added.digit = std::max(added.digit, advance(face, FT_Get_Char_Index(face, c)));
    faces_.push_back(added);
    return true;
}

const Font* Font::of(Weight weight) {
    // Debian's fonts-inter and fonts-dejavu-core
    static const Font* const regular = [] {
        const std::lock_guard guard(face_lock());
        auto* font = new Font;
        font->add("/usr/share/fonts/opentype/inter/Inter-Regular.otf");
        font->add("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf");
        return font;
    }();
    static const Font* const semibold = [] {
        const std::lock_guard guard(face_lock());
        auto* font = new Font;
        font->add("/usr/share/fonts/opentype/inter/Inter-SemiBold.otf");
        font->add("/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf");
        return font;
    }();
    const Font* font = weight == Weight::regular ? regular : semibold;
    return font->faces_.empty() ? nullptr : font;
}

SetText Font::set(std::u32string_view text) const {
    const std::lock_guard guard(face_lock());
    SetText out;
    out.glyphs.reserve(text.size());
    for (const char32_t c : text) {
        PlacedGlyph placed;
        for (std::size_t i = 0; i < faces_.size(); ++i) {
            const FT_UInt glyph = FT_Get_Char_Index(static_cast<FT_Face>(faces_[i].ft), c);
            if (glyph == 0) continue;
            placed.face = static_cast<int>(i);
            placed.glyph = glyph;
            break;
        }
        const Face& face = faces_[static_cast<std::size_t>(placed.face)];
        const double own = advance(static_cast<FT_Face>(face.ft), static_cast<FT_UInt>(placed.glyph));
        const double cell = is_digit(c) ? face.digit : own;
        placed.x = out.width + 0.5 * (cell - own);
        out.glyphs.push_back(placed);
        out.width += cell;
    }
    return out;
}

std::u32string code_points(std::string_view utf8) {
    std::u32string out;
    for (std::size_t i = 0; i < utf8.size();) {
        const auto lead = static_cast<unsigned char>(utf8[i]);
        const int more = lead < 0x80       ? 0
                         : lead >> 5 == 6  ? 1
                         : lead >> 4 == 14 ? 2
                         : lead >> 3 == 30 ? 3
                                           : -1;
        char32_t c = more == 0 ? lead : more < 0 ? 0xFFFD : lead & (0x3F >> more);
        std::size_t taken = 1;
        for (int k = 0; k < more; ++k, ++taken) {
            const auto next = i + taken < utf8.size() ? static_cast<unsigned char>(utf8[i + taken]) : 0;
            if (next >> 6 != 2) {
                c = 0xFFFD;
                break;
            }
            c = c << 6 | (next & 0x3Fu);
        }
        out.push_back(c);
        i += taken;
    }
    return out;
}

}  // namespace archwright::picture
