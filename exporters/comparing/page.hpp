// A printed page in mm: lines, areas and words, for PDF, SVG and PNG alike.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/picture/canvas.hpp"
#include "engine/picture/image.hpp"

namespace archwright::exporters::comparing {

/// A page under the pen. Origin in the upper left corner, mm.
class Page {
  public:
    explicit Page(void* cairo) : cairo_(cairo) {}

    struct Type {
        double size_mm = 3.2;
        picture::Weight weight = picture::Weight::regular;
        picture::Colour colour = picture::Colour::hex(0x1B242B);
    };

    void line(const Vec2& a, const Vec2& b, const picture::Colour& colour, double width_mm = 0.2,
              bool dashed = false);
    void polyline(const std::vector<Vec2>& points, const picture::Colour& colour, double width_mm);
    void fill(const picture::Box& box, const picture::Colour& colour);
    /// What lies within an odd number of these rings.
    void fill(const std::vector<std::vector<Vec2>>& rings, const picture::Colour& colour);
    /// A picture drawn over the whole box, pixel by pixel, never smoothed.
    void image(const picture::Image& image, const picture::Box& box);
    void frame(const picture::Box& box, const picture::Colour& colour, double width_mm = 0.2);
    /// One of several marks that stay apart without colour too: disc, square, triangle, diamond, ring, cross.
    void mark(const Vec2& at, int kind, double size_mm, const picture::Colour& colour);

    static double measure(std::string_view text, const Type& type);
    /// With the baseline at y.
    void write(std::string_view text, const Vec2& at, const Type& type,
               picture::Align align = picture::Align::left);
    /// On as many lines as it takes; returns the y below the last.
    double paragraph(std::string_view text, const Vec2& at, double width_mm, const Type& type);
    /// Broken at blanks and at ends of lines; a word wider than the line is broken too.
    static std::vector<std::string> lines_of(std::string_view text, double width_mm, const Type& type);
    static double leading(const Type& type) { return 1.4 * type.size_mm; }

  private:
    void* cairo_;
};

using Draw = std::function<void(Page&)>;

/// Pages of one size as a PDF (no date, no clock: same pages, same bytes). Faults (output): no font, or what
/// the library says.
Outcome<std::string> pages_pdf(const std::vector<Draw>& pages, double width_mm, double height_mm,
                               const std::string& title);
Outcome<std::string> page_svg(const Draw& page, double width_mm, double height_mm);
Outcome<picture::Image> page_image(const Draw& page, double width_mm, double height_mm, double pixels_per_mm);

}  // namespace archwright::exporters::comparing
