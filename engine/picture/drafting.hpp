// The marks that every drawing shares: heads, rulers, grids, scale bars, legends, plates and glyphs.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/picture/camera.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::picture {

/// A flat drawing in true scale, the same both ways: page = origin + scale (sign * across, -up).
/// Seen from above (across y, up x), from behind (across y, up z) and from medial (across x, up z) alike the
/// sign is -1 for a right foot and 1 for a left one.
struct Axes {
    Vec2 origin;
    double scale = 1.0;  ///< logical pixels per mm
    double sign = -1.0;

    Axes(Side side, const Vec2& origin_, double scale_)
        : origin(origin_), scale(scale_), sign(-handed(side)) {}
    Vec2 at(double across, double up) const { return origin + scale * Vec2(sign * across, -up); }
    double across(double page_x) const { return sign * (page_x - origin.x()) / scale; }
    double up(double page_y) const { return (origin.y() - page_y) / scale; }
};

/// A view's head: a strip with a letter on a disc (or none), its name, and a word about it.
void draw_head(Canvas& canvas, const Box& strip, const Theme& theme, std::string_view letter,
               std::string_view name, std::string_view detail);
/// A letter on an accent disc, 16 across.
void draw_disc_letter(Canvas& canvas, const Vec2& at, const Theme& theme, std::string_view letter);
/// The boxed L or R, 26 across, with its top left corner at `at`.
void draw_side_letter(Canvas& canvas, const Vec2& at, const Theme& theme, Side side);
/// The mm grid behind a drawing: 10 and 50 mm.
void draw_grid(Canvas& canvas, const Box& box, const Theme& theme, const Axes& axes);
/// Rulers in mm along the top and the left edge: ticks every 5, 10 and 50, figures at 50.
inline constexpr double ruler_breadth = 18.0;
void draw_rulers(Canvas& canvas, const Box& top, const Box& left, const Theme& theme, const Axes& axes);

/// Longest of 50, 20 and 10 mm that takes at most `room` pixels; 10 when none does.
double scale_bar_mm(double scale, double room);
/// The bar with its half mark and its length in words, on a plate; its lower right corner at `corner`.
/// Returns the plate.
Box draw_scale_bar(Canvas& canvas, const Vec2& corner, double room, const Theme& theme, double scale);

/// A map's legend: bar 14 x `length`, title above, figures to the right; its top left corner at `at`.
/// Returns the room it took.
Box draw_legend(Canvas& canvas, const Vec2& at, double length, const Theme& theme, const MapScale& scale);

/// Keeps labels off each other and within a box.
class Labels {
  public:
    explicit Labels(const Box& within) : within_(within) {}
    void keep_off(const Box& box) { taken_.push_back(box); }
    bool free(const Box& box) const;
    /// Writes beside `at` on a plate: tries the sides in the given order of preference ("rlab": right, left,
    /// above, below), then further away. Returns false and writes nothing when there is no room.
    bool beside(Canvas& canvas, const Vec2& at, double away, std::string_view text, const Type& type,
                const Theme& theme, std::string_view preference);

  private:
    Box within_;
    std::vector<Box> taken_;
};

/// A word on a small plate, centred. Returns the plate.
Box plate_box(const Canvas& canvas, const Vec2& centre, std::string_view text, const Type& type);
void draw_plate(Canvas& canvas, const Box& box, std::string_view text, const Type& type, const Theme& theme);

/// The glyph of a verdict, 14 across: circle with tick, diamond with exclamation, filled square with bar.
void draw_verdict(Canvas& canvas, const Vec2& centre, const Theme& theme, Verdict verdict);
Colour verdict_colour(const Theme& theme, Verdict verdict);

/// A landmark: circle of 11 with cross arms 3 beyond.
void draw_landmark(Canvas& canvas, const Vec2& at, const Theme& theme);
/// Short trade word of a landmark for drawings, for example "1st head"; empty for those not drawn in plan.
const char* plan_word(foot::LandmarkId id);

}  // namespace archwright::picture
