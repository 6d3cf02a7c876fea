// Our own text routine: the pen keeps its fraction, each glyph stands on a whole pixel; what does not fit is
// shortened and reported.
#include <algorithm>
#include <cmath>

#include "editor/ui/look.hpp"

namespace archwright::editor::ui {

namespace {

/// UTF-8 to code points; what is none becomes U+FFFD.
std::vector<unsigned> letters_of(std::string_view text) {
    std::vector<unsigned> out;
    for (std::size_t i = 0; i < text.size();) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const std::size_t length = byte < 0x80    ? 1
                                   : byte >= 0xF0 ? 4
                                   : byte >= 0xE0 ? 3
                                   : byte >= 0xC0 ? 2
                                                  : 0;
        if (length == 0 || i + length > text.size()) {
            out.push_back(0xFFFD);
            ++i;
            continue;
        }
        unsigned code = length == 1 ? byte : byte & (0xFFu >> (length + 1));
        bool good = true;
        for (std::size_t k = 1; k < length; ++k) {
            const auto next = static_cast<unsigned char>(text[i + k]);
            good = good && (next & 0xC0) == 0x80;
            code = code << 6 | (next & 0x3Fu);
        }
        out.push_back(good ? code : 0xFFFD);
        i += good ? length : 1;
    }
    return out;
}

/// Half the height of the small letters and the ascent of Inter, parts of the em; ImGui's size is 1.21 em.
constexpr double small_half = 0.273, ascent = 0.969, em_of_size = 1.0 / 1.21;

}  // namespace

double Look::advance(const std::vector<unsigned>& letters, Face face) const {
    double sum = 0;
    for (const unsigned code : letters) {
        const ImFontGlyph* glyph = font(face)->FindGlyph(static_cast<ImWchar>(code));
        if (glyph != nullptr) sum += static_cast<double>(glyph->AdvanceX);
    }
    return sum / scale;
}

double Look::measure(std::string_view text, Face face) const {
    return advance(letters_of(text), face);
}

double Look::line_height(Face face) const {
    return static_cast<double>(font(face)->FontSize) / scale * 1.22;
}

double Look::write(std::string_view words, const Vec2& where, double room, Face face, const Colour& colour,
                   Align align, bool report) {
    if (words.empty()) return 0;
    std::vector<unsigned> letters = letters_of(words);
    const ImFont* f = font(face);
    for (const unsigned code : letters)
        if (f->FindGlyphNoFallback(static_cast<ImWchar>(code)) == nullptr) {
            const std::string text(words);
            if (missing_.find(text) == std::string::npos) missing_ += text + "\n";
        }
    double width = advance(letters, face);
    if (width > room + 0.01) {
        if (report) overflows_.push_back({part, std::string(words), width, room});
        while (!letters.empty()) {
            letters.pop_back();
            while (!letters.empty() && letters.back() == ' ') letters.pop_back();
            letters.push_back(0x2026);
            width = advance(letters, face);
            if (width <= room) break;
            letters.pop_back();
        }
        if (letters.empty()) return 0;
    }
    const double shift = align == Align::left ? 0 : align == Align::right ? width : 0.5 * width;
    const double size = static_cast<double>(f->FontSize), em = size * em_of_size;
    double pen = (where.x() - shift) * scale;
    const double baseline = std::round(where.y() * scale + small_half * em);
    const double top = baseline - std::round(ascent * em);
    const ImU32 col = ink(colour);
    list->PushTextureID(f->ContainerAtlas->TexID);
    for (const unsigned code : letters) {
        const ImFontGlyph* glyph = f->FindGlyph(static_cast<ImWchar>(code));
        if (glyph == nullptr) continue;
        if (glyph->Visible != 0) {
            const auto x = static_cast<float>(std::round(pen)), y = static_cast<float>(top);
            list->PrimReserve(6, 4);
            list->PrimRectUV({x + glyph->X0, y + glyph->Y0}, {x + glyph->X1, y + glyph->Y1},
                             {glyph->U0, glyph->V0}, {glyph->U1, glyph->V1}, col);
        }
        pen += static_cast<double>(glyph->AdvanceX);
    }
    list->PopTextureID();
    return width;
}

double Look::text(std::string_view words, const Vec2& where, double room, Face face, const Colour& colour,
                  Align align) {
    return write(words, where, room, face, colour, align, true);
}

double Look::name(std::string_view words, const Vec2& where, double room, Face face, const Colour& colour,
                  Align align) {
    return write(words, where, room, face, colour, align, false);
}

double Look::paragraph(std::string_view words, const Vec2& top_left, double width, int most, Face face,
                       const Colour& colour) {
    std::vector<std::string> lines{""};
    for (std::size_t i = 0; i < words.size();) {
        const std::size_t end = std::min(words.find(' ', i), words.size());
        const std::string word(words.substr(i, end - i));
        const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
        if (!lines.back().empty() && measure(longer, face) > width)
            lines.push_back(word);
        else
            lines.back() = longer;
        i = end + 1;
    }
    const bool cut = static_cast<int>(lines.size()) > most;
    if (cut) {
        overflows_.push_back({part, std::string(words), static_cast<double>(lines.size()), double(most)});
        lines.resize(static_cast<std::size_t>(most));
        lines.back() += "\u2026";
    }
    const double height = line_height(face);
    double y = top_left.y() + 0.5 * height;
    for (const std::string& one : lines) {
        write(one, {top_left.x(), y}, width, face, colour, Align::left, !cut);
        y += height;
    }
    return height * static_cast<double>(lines.size());
}

}  // namespace archwright::editor::ui
