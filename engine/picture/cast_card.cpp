#include "engine/picture/cast_card.hpp"

#include <algorithm>
#include <cmath>

#include "engine/picture/drafting.hpp"
#include "engine/picture/paragraph.hpp"

namespace archwright::picture {

namespace {

constexpr double margin = 7.0, gap = 8.0, words_aside = 12.0, legend_width = 74.0;
/// Words beside views are at least so wide; narrower cards have them below.
constexpr double least_text = 150.0;
/// A legend of a smaller view cannot be read.
constexpr double least_legend = 84.0;

struct Parts {
    double view = 0.0;  ///< side of a view
    double views_width = 0.0;
    bool legend = false;
    Box text;  ///< height not set
    std::vector<std::string> name, size, words;
    Type name_type, size_type, words_type;

    double text_height() const {
        return leading(name_type) * static_cast<double>(name.size()) +
               leading(size_type) * static_cast<double>(size.size()) + 3.0 +
               leading(words_type) * static_cast<double>(words.size());
    }
};

Parts parts_of(const Canvas& canvas, const Card& card, const CardStyle& style) {
    Parts p;
    const double inner = style.width - 2.0 * margin;
    const double n = static_cast<double>(card.views.size());
    const double between = gap * std::max(0.0, n - 1.0);
    const auto view_beside = [&](double legend) {
        return n > 0.0 ? std::max(24.0, std::min(style.view, std::floor((inner - legend - between) / n)))
                       : 0.0;
    };
    p.legend = card.legend.map != nullptr && view_beside(legend_width) >= least_legend;
    const double legend = p.legend ? legend_width : 0.0;
    p.view = view_beside(legend);
    p.views_width = n * p.view + between + legend;
    const double beside = inner - p.views_width - words_aside;
    const bool below = beside < least_text;
    p.text.x = below ? 0.0 : p.views_width + (n > 0.0 ? words_aside : 0.0);
    p.text.y = below && n > 0.0 ? p.view + gap : 0.0;
    p.text.w = below ? inner : inner - p.text.x;
    p.name_type = {style.large ? 14.5 : type::body, Weight::semibold, {}, Align::left};
    p.size_type = {style.large ? type::body : type::small, Weight::regular, {}, Align::left};
    p.words_type = p.size_type;
    p.name = lines_of(canvas, card.name, p.text.w, p.name_type);
    p.size = lines_of(canvas, card.size, p.text.w, p.size_type);
    p.words = lines_of(canvas, card.words, p.text.w, p.words_type);
    return p;
}

}  // namespace

Vec2 badge_half(const Canvas& canvas, const Badge& badge) {
    const Type type{type::small, Weight::semibold, {}, Align::centre};
    return {std::max(9.0, 0.5 * canvas.measure(badge.words, type) + 5.0), 9.0};
}

void draw_badge(Canvas& canvas, const Vec2& middle, const Theme& theme, const Badge& badge) {
    const Vec2 half = badge_half(canvas, badge);
    canvas.fill(Box{middle.x() - half.x(), middle.y() - half.y(), 2.0 * half.x(), 2.0 * half.y()},
                badge.colour, 1.0, half.y());
    canvas.write_middle(badge.words, middle, 2.0 * half.x(),
                        {type::small, Weight::semibold, theme.on_accent, Align::centre});
}

double card_height(const Canvas& canvas, const Card& card, const CardStyle& style) {
    const Parts p = parts_of(canvas, card, style);
    return std::ceil(2.0 * margin + std::max(p.view, p.text.y + p.text_height()));
}

void draw_card(Canvas& canvas, const Vec2& corner, const Theme& theme, const Card& card,
               const CardStyle& style) {
    Parts p = parts_of(canvas, card, style);
    const Vec2 at = corner + Vec2(margin, margin);
    for (std::size_t i = 0; i < card.views.size(); ++i) {
        const Box box{at.x() + (p.view + gap) * static_cast<double>(i), at.y(), p.view, p.view};
        canvas.fill(box, theme.board);
        canvas.clip(box);
        card.views[i].draw(box);
        const Type small{type::small, Weight::regular, theme.text, Align::left};
        const std::string& caption = card.views[i].caption;
        if (!caption.empty() && canvas.measure(caption, small) + 8.0 < box.w) {
            Box plate = plate_box(canvas, Vec2::Zero(), caption, small);
            plate.x = box.x + 3.0;
            plate.y = box.bottom() - plate.h - 3.0;
            draw_plate(canvas, plate, caption, small, theme);
        }
        canvas.unclip();
        canvas.frame(box, {theme.frame, 1.0});
        if (i == 0) {
            const Vec2 half = badge_half(canvas, card.badge);
            draw_badge(canvas, {box.x + half.x() + 3.0, box.y + 12.0}, theme, card.badge);
        }
    }
    if (p.legend)
        draw_legend(canvas, {at.x() + p.views_width - legend_width, at.y() - 4.0}, p.view - 44.0, theme,
                    card.legend);
    double y = at.y() + p.text.y;
    const auto write = [&](const std::vector<std::string>& lines, Type type, const Colour& colour) {
        type.colour = colour;
        for (const std::string& line : lines) {
            canvas.write_middle(line, {at.x() + p.text.x, y + 0.5 * leading(type)}, p.text.w + 1.0, type);
            y += leading(type);
        }
    };
    write(p.name, p.name_type, theme.text);
    write(p.size, p.size_type, theme.soft);
    y += 3.0;
    write(p.words, p.words_type, theme.text);
}

}  // namespace archwright::picture
