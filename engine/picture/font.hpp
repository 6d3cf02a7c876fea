// Fonts read straight from the packages' files.
#pragma once

#include <cairo/cairo.h>

#include <cstdint>
#include <string_view>
#include <vector>

#include "engine/picture/canvas.hpp"

namespace archwright::picture {

/// One glyph of a laid-out text: which face, which glyph, and where its origin stands (em = 1).
struct PlacedGlyph {
    int face = 0;
    unsigned long glyph = 0;
    double x = 0.0;
};

/// A text set in one line.
struct SetText {
    std::vector<PlacedGlyph> glyphs;
    double width = 0.0;  ///< em = 1
};

/// The faces of one weight: Inter, and DejaVu Sans for what Inter lacks. Lives as long as the process, since
/// cairo keeps faces in its own caches; safe to use from several threads.
class Font {
  public:
    /// Null when neither package is installed.
    static const Font* of(Weight weight);

    SetText set(std::u32string_view text) const;
    cairo_font_face_t* face(int index) const { return faces_[static_cast<std::size_t>(index)].cairo; }

  private:
    struct Face {
        void* ft = nullptr;  ///< FT_Face
        cairo_font_face_t* cairo = nullptr;
        double digit = 0.0;  ///< advance of every digit, em = 1
    };
    std::vector<Face> faces_;

    bool add(const char* path);
};

/// UTF-8 to code points; bytes that are not UTF-8 become U+FFFD.
std::u32string code_points(std::string_view utf8);

}  // namespace archwright::picture
