#include <cmath>
#include <utility>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plane_cut.hpp"

namespace archwright::drawings {

using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

constexpr double skive_depth_mm = 4.0;

/// A section's line before and after the skive, by the height of both.
struct Cut {
    Line before, after;
    /// Where the two are furthest apart, up the page.
    double deepest = 0.0, depth = 0.0;
};

Cut cut_by(const surface::DressStep& step, const Plane& plane, const surface::TrimRegion& inside) {
    Cut cut{longest(section(step.before, plane, &inside)), longest(section(step.after, plane, &inside))};
    for (const Vec2& p : cut.before) {
        const auto above = height_at(cut.after, p.x()), below = height_at(cut.before, p.x());
        if (above && below && *above - *below > cut.depth) {
            cut.depth = *above - *below;
            cut.deepest = p.x();
        }
    }
    return cut;
}

void draw_cut(Page& page, const Box& box, const Axes& axes, const Made& made, const Plane& plane,
              const Cut& cut) {
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.cut_off(between(axes, cut.before, cut.after));
    page.canvas().polyline(on_page(axes, cut.before), false, page.before());
    page.canvas().polyline(on_page(axes, cut.after), false, page.ink(2.2));
    page.canvas().unclip();
}

/// Both ends of a section's line, lateral first.
std::pair<Vec2, Vec2> ends_of(const Line& line) {
    return line.front().x() < line.back().x() ? std::pair{line.front(), line.back()}
                                              : std::pair{line.back(), line.front()};
}

void skive_in_frontal(Page& page, const Box& box, const Made& made, const Cut& cut, const Plane& plane,
                      const surface::SkivePlane& skive, const surface::Skive& asked, Side side) {
    const Axes axes(side, {box.centre().x() - 20.0, box.bottom() - 84.0}, 6.6);
    draw_cut(page, box, axes, made, plane, cut);
    page.ends(box, "lateral", "medial");
    const double medial = axes.sign;

    // the plane, from before it leaves the heel to beyond the border, and the level it is measured from
    const auto on_plane = [&](double y) { return axes.at(y, skive.offset + skive.slope * y); };
    const auto [lateral_end, medial_end] = ends_of(cut.before);
    const double inner = lateral_end.x() + 0.3 * (medial_end.x() - lateral_end.x());
    const double outer = medial_end.x() + 13.0;
    page.canvas().line(on_plane(inner), on_plane(outer), page.meaning());
    const Vec2 vertex = on_plane(inner), level(medial, 0.0);
    const double reach = std::abs(on_plane(outer).x() - vertex.x());
    page.canvas().line(vertex, vertex + reach * level, page.level());
    const Vec2 middle = picture::draw_angle(page.canvas(), vertex, reach - 12.0, level,
                                            on_plane(outer) - vertex, page.strong());
    picture::draw_words(page.canvas(), middle + Vec2(10.0 * medial, 4.0),
                        "angle " + rounded(asked.angle_deg, 0) + "\u00b0",
                        medial > 0.0 ? Align::left : Align::right, page.strong());
    // the depth: upright, before the edge is rounded
    const Vec2 under = axes.at(cut.deepest, height_at(cut.before, cut.deepest).value_or(0.0)),
               over = on_plane(cut.deepest);
    picture::draw_dimension(page.canvas(), over, under, over, under, "", page.strong());
    picture::draw_leader(page.canvas(), 0.5 * (over + under), under + Vec2(34.0 * medial, 46.0),
                         "depth " + millimetres((under.y() - over.y()) / axes.scale),
                         medial > 0.0 ? Align::left : Align::right, page.strong());
    // where the plane leaves the heel
    double edge = cut.deepest;
    for (const Vec2& p : cut.before)
        if (p.x() < edge && skive.offset + skive.slope * p.x() > p.y()) edge = p.x();
    const Vec2 corner = axes.at(edge, height_at(cut.after, edge).value_or(0.0));
    picture::draw_leader(page.canvas(), corner, corner + Vec2(-44.0 * medial, 46.0),
                         "edge rounded over " + millimetres(asked.blend_mm, 0),
                         medial > 0.0 ? Align::right : Align::left, page.plain());
}

void sagittal(Page& page, const Box& box, const Made& made, const surface::Skive& asked, Side side, double y,
              const surface::TrimRegion& inside) {
    const Plane plane = Plane::sagittal(y);
    const Cut cut = cut_by(made.surfaced.dressed.steps.back(), plane, inside);
    const double from = made.surfaced.rule.heel_centre.x();
    Axes axes(side, Vec2::Zero(), 4.4);
    axes.origin = Vec2(box.centre().x(), box.bottom() - 76.0) - axes.at(from - 1.0, 0.0);
    draw_cut(page, box, axes, made, plane, cut);
    page.ends(box, "heel", "toes");

    const double whole = from + asked.forward_mm, end = whole + asked.fade_mm;
    const double row = axes.at(0.0, 0.0).y() + 44.0;
    const auto on = [&](double x) { return axes.at(x, height_at(cut.before, x).value_or(0.0) - 3.0); };
    const auto at = [&](double x) { return Vec2(axes.at(x, 0.0).x(), row); };
    page.canvas().line(on(from), axes.at(from, 26.0), page.level());
    picture::draw_words(page.canvas(), axes.at(from, 26.0) - Vec2(0.0, 12.0), "heel centre", Align::centre,
                        page.plain());
    picture::draw_dimension(page.canvas(), on(from), on(whole), at(from), at(whole), "", page.plain());
    picture::draw_words(page.canvas(), at(from) - Vec2(axes.sign * 22.0, 0.0),
                        "whole to " + millimetres(asked.forward_mm, 0),
                        axes.sign > 0.0 ? Align::right : Align::left, page.plain());
    picture::draw_dimension(page.canvas(), on(whole), on(end), at(whole), at(end),
                            "fade " + millimetres(asked.fade_mm, 0), page.plain());
}

void cup(Page& page, const Box& box, const Made& made, const TriangleMesh& shell, Side side,
         const surface::TrimRegion& inside) {
    const surface::TrimLine& trim = made.surfaced.trim;
    const Plane plane = Plane::frontal(made.surfaced.rule.heel_centre.x());
    const Cut cut = cut_by(made.surfaced.dressed.steps.back(), plane, inside);
    const double datum = *made.surfaced.dressed.datum_z;
    const Axes axes(side, {box.centre().x(), box.bottom() - 76.0}, 3.6);
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(shell, plane)));
    page.canvas().polyline(on_page(axes, cut.before), false, page.before());
    page.canvas().polyline(on_page(axes, cut.after), false, page.ink(2.2));
    page.canvas().unclip();
    page.ends(box, "lateral", "medial");

    const auto [lateral_end, medial_end] = ends_of(cut.after);
    const double out = 11.5;
    page.canvas().line(axes.at(lateral_end.x() - out - 5.0, datum),
                       axes.at(medial_end.x() + out + 5.0, datum), page.level());
    const auto depth = [&](const Vec2& end, double across, double figure) {
        const Vec2 low = axes.at(across, datum), high = axes.at(across, datum + figure);
        picture::draw_dimension(page.canvas(), low, axes.at(end.x(), datum + figure), low, high,
                                millimetres(figure), page.strong());
    };
    depth(lateral_end, lateral_end.x() - out, trim.cup_lateral_mm);
    depth(medial_end, medial_end.x() + out, trim.cup_medial_mm);
    picture::draw_words(page.canvas(), axes.at(0.0, datum) + Vec2(0.0, 40.0),
                        "from the lowest point before the skive", Align::centre, page.plain());
}

}  // namespace

Outcome<Drawing> skive() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    specimen->foot.balance.method = foot::Balance::Method::heel_bisection;
    surface::Skive& asked = specimen->foot.dress.medial_skive;
    asked.depth_mm = skive_depth_mm;
    const auto made = make(*specimen);
    if (!made) return made.fault();
    const auto shell = make_shell(*specimen, *made);
    if (!shell) return shell.fault();
    const auto& step = made->surfaced.dressed.steps.back();
    surface::DressSite site;
    site.rule = made->surfaced.rule;
    constexpr int per_span = 4;
    const auto before =
        surface::sample_points(step.before, surface::Lattice::over(step.before.u, step.before.v, per_span));
    const auto plane = surface::lay_skive(before, asked, true, site);
    if (!plane) return plane.fault();

    // the frontal section in which the plane cuts deepest
    Vec3 deepest = Vec3::Zero();
    double most = -1e300;
    for (const Vec3& p : before)
        if (p.x() <= plane->end_x && plane->slope * p.y() - p.z() > most) {
            most = plane->slope * p.y() - p.z();
            deepest = p;
        }
    const surface::TrimRegion inside{surface::Outline(made->surfaced.trim.curve)};
    const Plane across = Plane::frontal(deepest.x());
    Cut cut = cut_by(step, across, inside);
    cut.deepest = deepest.y();

    Page page(636);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    const Box top = page.panel(rest.cut_top(330.0), "A", "Medial heel skive",
                               "section where it is deepest, seen from behind");
    const Box left = page.panel(rest.cut_left(400.0), "B", "Extent", "section, seen from medial");
    const Box right = page.panel(rest, "C", "Cup depth", "section at the heel centre");
    skive_in_frontal(page, top, *made, cut, across, *plane, asked, specimen->side);
    sagittal(page, left, *made, asked, specimen->side, deepest.y(), inside);
    cup(page, right, *made, shell->mesh.mesh, specimen->side, inside);
    page.keys(strip, {{Page::Key::Kind::before, "before the skive"},
                      {Page::Key::Kind::after, "after"},
                      {Page::Key::Kind::cut_off, "cut off"},
                      {Page::Key::Kind::meaning, "plane"},
                      {Page::Key::Kind::shell, "shell"}});
    return page.finish();
}

}  // namespace archwright::drawings
