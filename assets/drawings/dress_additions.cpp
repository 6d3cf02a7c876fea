#include <algorithm>
#include <array>
#include <cmath>

#include "assets/drawings/clay.hpp"
#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"
#include "engine/picture/level_curves.hpp"

namespace archwright::drawings {

using foot::LandmarkId;
using picture::Align;
using picture::Axes;
using picture::Box;
using picture::Colour;

namespace {

/// Bands of a millimetre, from half a millimetre on, pale to strong.
constexpr std::array<std::uint32_t, 5> band_colours{0xF4F2EC, 0xF6E8CB, 0xEBCF94, 0xDDB25C, 0xC7902F};
Colour band_colour(double mm) {
    return Colour::hex(band_colours[static_cast<std::size_t>(std::clamp(mm + 0.5, 0.0, 4.0))]);
}

void additions_in_plan(Page& page, const Box& box, const Made& made, Side side) {
    const auto& steps = made.surfaced.dressed.steps;
    const surface::SplineSurface &before = steps.front().before, &after = steps.back().after;
    const surface::TrimRegion inside{surface::Outline(made.surfaced.trim.curve)};
    constexpr int per_span = 4;
    const Facets facets = drawings::facets(after, per_span, &inside);
    std::vector<double> moved;
    for (std::size_t k = 0; k < facets.uv.size(); ++k)
        moved.push_back((facets.mesh.points[k] - before.point(facets.uv[k])).norm());

    const auto& marks = made.received.standing.landmarks;
    const Box3 extent = made.received.standing.mesh.box();
    Axes axes(side, Vec2::Zero(), 2.02);
    axes.origin = Vec2(box.centre().x() + 12.0, box.centre().y() - 14.0) -
                  axes.at(extent.centre().y(), extent.centre().x());
    const Box air = box.inset(1.0);
    flat_from_above(page, air, axes, side, made.received.standing.mesh, {},
                    [](double) { return Colour::hex(0xE9E6DF); });
    flat_from_above(page, air, axes, side, facets.mesh, moved, band_colour);
    const auto on_page = [&](const std::vector<Vec3>& points) {
        std::vector<Vec2> line;
        for (const Vec3& p : points) line.push_back(axes.at(p.y(), p.x()));
        return line;
    };
    for (const double level : {0.5, 1.5, 2.5, 3.5})
        for (const picture::Chain& chain : picture::level_curves(facets.mesh, moved, level))
            page.canvas().polyline(on_page(chain.points), chain.closed, {page.theme().look, 0.9, 0.8});
    page.canvas().polyline(on_page(in_space(after, made.surfaced.trim.curve)), true, page.ink(2.0));
    page.ends(box, "lateral", "medial");

    // what is what, beside the foot
    constexpr double left_words = 116.0, right_words = 106.0;
    const auto name = [&](const Vec2& plan_place, double drop, const std::string& words) {
        const Vec2 at = axes.at(plan_place.y(), plan_place.x());
        const bool to_right = at.x() > box.centre().x();
        const double x = to_right ? box.right() - right_words : box.x + left_words;
        picture::draw_leader(page.canvas(), at, {x, at.y() + drop}, words,
                             to_right ? Align::left : Align::right, page.plain());
    };
    const surface::TrimRule& rule = made.surfaced.rule;
    const surface::DressFigure& fill = made.surfaced.figures.front();
    name(fill.where.head<2>(), 26.0, "arch fill");
    const double side_x = 0.55 * rule.fifth_head.x();
    name({side_x, surface::axis_y(rule, side_x) - 0.86 * surface::border_reach(rule, side_x, false)}, -26.0,
         "lateral expansion");
    const double half = surface::heel_half_width(rule);
    name({rule.heel_centre.x() - 0.6 * half, rule.heel_centre.y() + 0.62 * half}, 14.0, "heel expansion");
    for (const LandmarkId id : {LandmarkId::first_head_plantar, LandmarkId::fifth_head_plantar}) {
        const Vec3 p = marks.at(id).position;
        const Vec2 at = axes.at(p.y(), p.x());
        picture::draw_landmark(page.canvas(), at, page.theme());
        picture::draw_words(page.canvas(), at + Vec2(0.0, -19.0), picture::plan_word(id), Align::centre,
                            page.plain());
    }

    // the bands
    double x = box.x + 14.0;
    const double y = box.bottom() - 24.0;
    x = page.canvas().write_middle("plaster added, mm", {x, y}, 200.0, page.words()).right() + 12.0;
    for (std::size_t k = 1; k < band_colours.size(); ++k) {
        const Box swatch{x, y - 8.0, 34.0, 16.0};
        page.canvas().fill(swatch, Colour::hex(band_colours[k]));
        page.canvas().frame(swatch, {page.theme().look, 0.9});
        picture::Type type = page.words(Align::centre);
        page.canvas().write_middle(rounded(static_cast<double>(k), 0), swatch.centre(), 30.0, type);
        x += 38.0;
    }
    page.canvas().write_middle("\u00b1 0.5", {x + 4.0, y}, 60.0, page.words());
}

/// A frontal section and where it stands.
struct Frontal {
    Axes axes;
    double ground;  ///< page y of the cast plane
    Line before, after;
};
/// Draws cast and surface before and after, the surfaces as far as the trim line.
Frontal additions_in_frontal(Page& page, const Box& box, const Made& made, Side side, double x) {
    const double ground = box.bottom() - 36.0;
    constexpr double scale = 3.3, room_for_figures = 22.0;
    const auto& steps = made.surfaced.dressed.steps;
    const surface::TrimRegion inside{surface::Outline(made.surfaced.trim.curve)};
    const Plane plane = Plane::frontal(x);
    Frontal f{Axes(side, {box.centre().x(), ground}, scale), ground,
              longest(section(steps.front().before, plane, &inside)),
              longest(section(steps.back().after, plane, &inside))};
    f.axes.origin.x() -= f.axes.sign * room_for_figures;
    page.ground(box.inset(1.0), ground, "cast plane");
    page.canvas().clip({box.x + 1.0, box.y, box.w - 2.0, ground - box.y});
    page.cast(on_page(f.axes, section(made.received.standing.mesh, plane)));
    page.canvas().unclip();
    page.added(between(f.axes, f.before, f.after));
    page.canvas().polyline(on_page(f.axes, f.before), false, page.before());
    page.canvas().polyline(on_page(f.axes, f.after), false, page.ink(2.2));
    page.ends(box, "lateral", "medial");
    return f;
}

/// The arch as captured and as delivered, above the cast plane.
Outcome<Done> arch_section(Page& page, const Box& box, const Made& made, Side side) {
    const double y = 0.5 * made.received.standing.landmarks.at(LandmarkId::first_head_plantar).position.y();
    const surface::TrimRule& rule = made.surfaced.rule;
    Vec2 apex(0.0, -1e300);
    for (const Vec2& p : longest(section(made.surfaced.dressed.steps.front().before, Plane::sagittal(y))))
        if (p.x() > rule.heel_centre.x() && p.x() < rule.first_head.x() && p.y() > apex.y()) apex = p;
    const Frontal f = additions_in_frontal(page, box, made, side, apex.x());
    const auto captured = height_at(f.before, y), delivered = height_at(f.after, y);
    if (!captured || !delivered) return Fault{FaultKind::internal, "drawings", "The foot shows no arch.", {}};
    const Vec2 top = f.axes.at(y, *captured), low = f.axes.at(y, *delivered);
    picture::draw_dimension(page.canvas(), {low.x(), f.ground}, low, {low.x(), f.ground}, low,
                            millimetres(*delivered), page.strong());
    const double out = f.axes.at(rule.first_head.y() + 16.0, 0.0).x();
    picture::draw_dimension(page.canvas(), {out, f.ground}, top, {out, f.ground}, {out, top.y()},
                            millimetres(*captured), page.plain());
    return Done{};
}

}  // namespace

Outcome<Drawing> dress_additions() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    surface::Dress& asked = specimen->foot.dress;
    asked.arch_fill_mm = 4.0;
    asked.lateral_expansion_mm = 3.0;
    asked.heel_expansion_medial_mm = asked.heel_expansion_posterior_mm = 2.0;
    asked.heel_expansion_lateral_mm = 3.0;
    const auto made = make(*specimen);
    if (!made) return made.fault();

    Page page(604);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    const Box left = page.panel(rest.cut_left(402.0), "A", "Additions in plan", "seen from above");
    const Box arch = page.panel(rest.cut_top(282.0), "B", "Apex of the arch", "section, seen from behind");
    const Box heel = page.panel(rest, "C", "Heel centre", "section, seen from behind");
    additions_in_plan(page, left, *made, specimen->side);

    if (const auto drawn = arch_section(page, arch, *made, specimen->side); !drawn) return drawn.fault();
    additions_in_frontal(page, heel, *made, specimen->side, made->surfaced.rule.heel_centre.x());
    page.keys(strip, {{Page::Key::Kind::cast, "cast"},
                      {Page::Key::Kind::before, "surface as captured"},
                      {Page::Key::Kind::after, "as delivered, to the trim line"},
                      {Page::Key::Kind::added, "plaster added"}});
    return page.finish();
}

}  // namespace archwright::drawings
