// The page that every drawing is made on: size, panels, pens, and what a test wants to know of it.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/picture/dimension.hpp"
#include "engine/picture/drafting.hpp"
#include "engine/picture/image.hpp"

namespace archwright::drawings {

/// A finished drawing.
struct Drawing {
    std::string name;  ///< of its file, without ".png"
    picture::Image image;
    std::vector<std::string> written;    ///< every text on it
    std::vector<std::string> shortened;  ///< texts that had to be cut to fit: none, or it is a bad drawing
    std::vector<picture::Box> texts;     ///< where they stand, logical pixels
    picture::Box whole;                  ///< the page
};

/// Width of every page in logical pixels, and device pixels each.
inline constexpr int page_width = 800;
inline constexpr double page_scale = 1.75;

/// A page in the light theme: panels side by side or stacked, each with a head.
class Page {
  public:
    explicit Page(int height);

    picture::Canvas& canvas() { return canvas_; }
    const picture::Theme& theme() const { return theme_; }
    /// All of it; cut panels off it.
    picture::Box whole() const { return {0.0, 0.0, static_cast<double>(page_width), height_}; }
    /// A panel with its head (letter on a disc, name, a word about it); returns what is left to draw in.
    picture::Box panel(const picture::Box& box, std::string_view letter, std::string_view name,
                       std::string_view detail);

    // Pens.
    picture::Pen ink(double width = 1.6) const { return {theme_.ink, width, 1.0, {}, true}; }
    picture::Pen before() const { return {theme_.soft, 1.4, 1.0, {5.0, 3.5}}; }  ///< what stood there before
    picture::Pen level() const { return {theme_.faint, 1.0, 1.0, {10.0, 3.0, 2.0, 3.0}}; }  ///< axes, levels
    picture::Pen meaning(double width = 1.8) const { return {theme_.accent, width, 1.0, {}, true}; }
    /// Dimensions in ink, and those of what the drawing defines in the accent.
    picture::DimensionStyle plain() const;
    picture::DimensionStyle strong() const;
    picture::Type words(picture::Align align = picture::Align::left) const;

    /// The cast in section: tint and outline.
    void cast(const std::vector<std::vector<Vec2>>& rings);
    /// The shell in section: tint, hatch and outline.
    void shell(const std::vector<std::vector<Vec2>>& rings);
    /// Plaster added, and plaster cut off, between two lines.
    void added(const std::vector<Vec2>& ring);
    void cut_off(const std::vector<Vec2>& ring);
    /// The plane z = 0 with ticks below, across a box.
    void ground(const picture::Box& box, double y, std::string_view words);
    /// A word at each end of a view: medial and lateral, or heel and toes.
    void ends(const picture::Box& box, std::string_view left, std::string_view right);
    /// A point the drawing defines, with its name beside.
    void point(const Vec2& at, std::string_view name, const Vec2& offset, picture::Align align);
    /// A key: small samples with their words in a row; returns where it ended.
    struct Key {
        enum class Kind { added, cut_off, before, after, cast, shell, meaning } kind;
        std::string words;
    };
    void keys(const picture::Box& strip, const std::vector<Key>& keys);
    /// A line of text in a strip, the first part semibold.
    void sentence(const Vec2& at, double room, std::string_view strong, std::string_view rest);

    Drawing finish() const;

  private:
    double height_;
    picture::Canvas canvas_;
    const picture::Theme& theme_;
};

/// How words stand beside a place so that they run away from it.
picture::Align outward(bool to_right);

/// "5.0\u00b0 inverted", with a true minus and its sign: "+5.0\u00b0", "\u22124.0\u00b0".
std::string signed_degrees(double degrees);
std::string degrees_with_word(double degrees);
/// "4.0 mm".
std::string millimetres(double mm, int decimals = 1);

}  // namespace archwright::drawings
