#include <algorithm>
#include <cmath>

#include "assets/demo/demo_job.hpp"
#include "assets/drawings/clay.hpp"
#include "assets/drawings/drawings.hpp"
#include "assets/drawings/sole_plan.hpp"
#include "assets/generator/demo.hpp"
#include "engine/base/text.hpp"
#include "engine/mark/find_ink.hpp"

namespace archwright::drawings {

using picture::Align;
using picture::Axes;
using picture::Box;
using picture::Colour;

namespace {

/// Axes that put the foot's length into a panel.
Axes axes_in(const Box& box) {
    constexpr double scale = 1.75, under_mm = -58.0;
    Axes axes(Side::left, Vec2::Zero(), scale);
    axes.origin = Vec2(box.centre().x(), box.bottom() - 18.0) - axes.at(0.0, under_mm);
    return axes;
}

void as_scanned(Page& page, const Box& box, const foot::Standing& standing) {
    // brightness in steps, so that the file stays small
    constexpr double levels = 24.0;
    std::vector<double> brightness;
    for (const TriangleMesh::Colour& c : standing.mesh.colours)
        brightness.push_back(std::round(levels * (0.30 * c[0] + 0.59 * c[1] + 0.11 * c[2]) / 255.0) / levels);
    const Colour dark = Colour::hex(0x201C38), light = Colour::hex(0xF4EFE4);
    flat_from_above(page, box.inset(1.0), axes_in(box), Side::left, standing.mesh, brightness,
                    [&](double value) { return picture::mix(dark, light, std::clamp(value, 0.0, 1.0)); });
    page.ends(box, "lateral", "medial");
}

void as_found(Page& page, const Box& box, const foot::Standing& standing,
              const std::vector<mark::InkMark>& ink) {
    const Axes axes = axes_in(box);
    const Colour skin = Colour::hex(0xE9E6DF);
    flat_from_above(page, box.inset(1.0), axes, Side::left, standing.mesh, {}, [&](double) { return skin; });
    page.ends(box, "lateral", "medial");
    for (const mark::InkMark& one : ink) {
        const std::vector<Vec2> line = in_plan(axes, one.points);
        if (one.kind == mark::Kind::spot)
            page.canvas().disc(line.front(), 0.5 * one.breadth_mm * axes.scale, page.theme().accent, 0.5);
        else
            page.canvas().polyline(line, one.kind == mark::Kind::area, page.meaning(2.2));
        const Vec2 at = one.kind == mark::Kind::line ? line[line.size() * 9 / 10] : line.front();
        const double out = axes.sign;  // to medial
        const bool spot = one.kind == mark::Kind::spot;
        const Vec2 aside = spot                           ? Vec2(0.0, -46.0)
                           : one.kind == mark::Kind::line ? Vec2(46.0 * out, -46.0)
                                                          : Vec2(46.0 * out, 34.0);
        picture::draw_leader(page.canvas(), at, at + aside, one.name + ", " + rounded(one.confidence, 2),
                             spot ? Align::centre : outward(out > 0.0), page.strong());
    }
}

}  // namespace

Outcome<Drawing> marks() {
    const auto cast = generator::demo_cast();
    if (!cast) return cast.fault();
    const auto standing = demo::demo_standing(*cast);
    if (!standing) return standing.fault();
    const auto ink = mark::find_ink(*standing);
    if (!ink) return ink.fault();

    Page page(600);
    Box rest = page.whole();
    const Box left = page.panel(rest.cut_left(400.0), "A", "The cast as scanned", "ink under uneven light");
    const Box right = page.panel(rest, "B", "Marks found", "usual name, confidence");
    as_scanned(page, left, *standing);
    as_found(page, right, *standing, *ink);
    return page.finish();
}

}  // namespace archwright::drawings
