#include "exporters/comparing/difference_sheet.hpp"

#include <algorithm>
#include <cmath>

#include "engine/picture/drafting.hpp"
#include "engine/picture/paragraph.hpp"
#include "engine/picture/renderer.hpp"
#include "engine/picture/sheet.hpp"

namespace archwright::exporters::comparing {

namespace {

using namespace picture;

constexpr int sheet_pixels_w = 1500;
constexpr double bar_h = 44.0, words_w = 430.0, view_h = 760.0, pad = 14.0;
constexpr double no_counterpart = 1e9;  ///< told apart from every distance after interpolation

void draw_view(Canvas& canvas, const Box& box, const Theme& theme, const DifferenceSheet& sheet,
               const DifferenceView& view, const MapScale& scale) {
    canvas.fill(box, theme.board);
    canvas.frame(box, {theme.frame, 1.0});
    Image image(static_cast<int>(box.w), static_cast<int>(box.h), theme.board);
    Camera camera(sheet.side, view.from_below ? Vec3::UnitZ() : Vec3(-Vec3::UnitZ()), Vec3::UnitX(), 0.0);
    std::vector<Vec3> corners;
    for (std::size_t i = 0; i < view.mesh->triangles.size(); i += 5)
        corners.push_back(view.mesh->points[static_cast<std::size_t>(view.mesh->triangles[i][0])]);
    if (!corners.empty()) {
        camera.fit(corners, Box{0.0, 0.0, box.w, box.h}, 30.0);
        std::vector<double> values = *view.mm;
        values.resize(view.mesh->points.size(), std::nan(""));
        for (double& value : values)
            if (!std::isfinite(value)) value = no_counterpart;
        const Light light(camera);
        Body body;
        body.mesh = view.mesh;
        body.values = &values;
        body.shader = [&](const Fragment& f) {
            const bool known = std::abs(f.value) < 1e-3 * no_counterpart;
            return (known ? scale.colour(f.value) : Colour::hex(0xA9B0B4)) * light.on_map(f);
        };
        render({{body}, {}, nullptr}, camera, image);
    }
    canvas.place(image, box);
    canvas.write(view.title, {box.x + 10.0, box.y + 20.0}, box.w - 20.0,
                 {type::body, Weight::semibold, theme.text, Align::left});
    const Type soft{type::small, Weight::regular, theme.soft, Align::left};
    // from above a right foot's medial side lies left, from below right
    const bool medial_left = (sheet.side == Side::right) != view.from_below;
    canvas.write(medial_left ? "medial" : "lateral", {box.x + 10.0, box.bottom() - 12.0}, 80.0, soft);
    Type right = soft;
    right.align = Align::right;
    canvas.write(medial_left ? "lateral" : "medial", {box.right() - 10.0, box.bottom() - 12.0}, 80.0, right);
}

}  // namespace

double map_limit(const std::vector<const std::vector<double>*>& values) {
    std::vector<double> sizes;
    for (const std::vector<double>* all : values)
        for (const double mm : *all)
            if (std::isfinite(mm)) sizes.push_back(std::abs(mm));
    if (sizes.empty()) return 1.0;
    const auto at = sizes.begin() + static_cast<std::ptrdiff_t>(0.99 * static_cast<double>(sizes.size() - 1));
    std::nth_element(sizes.begin(), at, sizes.end());
    const double greatest = std::max(*at, 0.1), ten = std::pow(10.0, std::floor(std::log10(greatest)));
    for (const double step : {1.0, 2.0, 5.0})
        if (step * ten >= greatest) return step * ten;
    return 10.0 * ten;
}

Outcome<DrawnSheet> draw_difference_sheet(const DifferenceSheet& sheet) {
    if (!Canvas::has_font())
        return Fault{FaultKind::output,
                     "picture",
                     "no font to write with: install the package fonts-inter or fonts-dejavu-core.",
                     {}};
    const Theme& look = theme(false);
    // the words decide how tall the sheet is
    const Type plain{type::body, Weight::regular, look.text, Align::left},
        strong{type::body, Weight::semibold, look.text, Align::left};
    struct Set {
        std::vector<std::string> lines;
        const DifferenceSheet::Line* of;
    };
    std::vector<Set> set;
    double tall = 0.0;
    {
        const Canvas probe(10, 10, 1.0, look.panel);
        for (const DifferenceSheet::Line& line : sheet.lines) {
            const double indent = line.verdict ? 24.0 : 0.0;
            set.push_back({lines_of(probe, typeset(line.text), words_w - 2.0 * pad - indent,
                                    line.strong ? strong : plain),
                           &line});
            tall += leading(plain) * static_cast<double>(set.back().lines.size()) + 7.0;
        }
    }
    const double height = std::max(view_h, tall + 2.0 * pad);
    Canvas canvas(sheet_pixels_w, static_cast<int>(bar_h + height + 2.0 * pad), 1.0, look.panel);
    draw_title_bar(canvas, {0.0, 0.0, static_cast<double>(sheet_pixels_w), bar_h}, look, sheet.side,
                   sheet.code, sheet.title);
    std::vector<const std::vector<double>*> values;
    for (const DifferenceView& view : sheet.views) values.push_back(view.mm);
    DrawnSheet out;
    out.scale_mm = map_limit(values);
    const MapScale scale = round_symmetric_scale(ColourMap::deviation(), out.scale_mm, sheet.legend.c_str());
    Box page{pad, bar_h + pad, sheet_pixels_w - 2.0 * pad, height};
    Box words = page.cut_right(words_w);
    Box legend = page.cut_right(122.0);
    const auto count = static_cast<double>(std::max<std::size_t>(sheet.views.size(), 1));
    const double each = std::floor((page.w - pad * (count - 1.0)) / count);
    for (std::size_t i = 0; i < sheet.views.size(); ++i)
        draw_view(canvas,
                  {page.x + static_cast<double>(i) * (each + pad), page.y, each, std::min(page.h, view_h)},
                  look, sheet, sheet.views[i], scale);
    draw_legend(canvas, {legend.x + 10.0, legend.y + 12.0}, 240.0, look, scale);
    double y = words.y + pad;
    for (const Set& one : set) {
        const double indent = one.of->verdict ? 24.0 : 0.0;
        if (one.of->verdict) draw_verdict(canvas, {words.x + pad + 8.0, y + 2.0}, look, *one.of->verdict);
        for (const std::string& line : one.lines) {
            canvas.write(line, {words.x + pad + indent, y + 6.0}, words.w - pad - indent,
                         one.of->strong ? strong : plain);
            y += leading(plain);
        }
        y += 7.0;
    }
    out.image = canvas.take();
    out.written = canvas.written();
    out.shortened = canvas.shortened();
    return out;
}

}  // namespace archwright::exporters::comparing
