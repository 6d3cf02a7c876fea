// One thing found on a cast, or done to it, as it stands in a list: views with their captions, then words.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/picture/canvas.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::picture {

/// A word or a number on a coloured pill.
struct Badge {
    std::string words;
    Colour colour;
};
Vec2 badge_half(const Canvas& canvas, const Badge& badge);
void draw_badge(Canvas& canvas, const Vec2& middle, const Theme& theme, const Badge& badge);

struct Card {
    struct View {
        std::string caption;  ///< on a plate below; may be empty
        std::function<void(const Box&)> draw;
    };
    Badge badge;
    std::vector<View> views;  ///< square, side by side
    MapScale legend;          ///< of the last view, beside it; none without a map
    std::string name, size, words;
};

/// How wide and how large cards are drawn.
struct CardStyle {
    double width = 400.0;  ///< of the whole card
    double view = 112.0;   ///< of a view, at most
    bool large = false;    ///< words in the size of body text
};

/// Height the card takes; nothing of its words is left out.
double card_height(const Canvas& canvas, const Card& card, const CardStyle& style);
void draw_card(Canvas& canvas, const Vec2& corner, const Theme& theme, const Card& card,
               const CardStyle& style);

}  // namespace archwright::picture
