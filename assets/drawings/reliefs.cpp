#include <cmath>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"

namespace archwright::drawings {

using feature::Feature;
using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

constexpr double depth_mm = 2.5, width_mm = 12.0, flank_mm = 5.0, thin_wall_mm = 2.0;
constexpr double behind_mm = 22.0, dome_mm = 5.0, dome_length_mm = 32.0;

Feature groove(const surface::TrimRule& rule, Feature::Underside underside) {
    Feature f;
    f.name = "fascia";
    f.kind = Feature::Kind::groove;
    const double y = rule.heel_centre.y() - 6.0;  // lateral, where the sole is nearly level
    f.points = {{rule.heel_centre.x() + 18.0, y}, {rule.first_head.x() - 25.0, y}};
    f.depth_mm = depth_mm;
    f.width_mm = width_mm;
    f.flank_mm = flank_mm;
    f.underside = underside;
    if (underside == Feature::Underside::stays) f.least_wall_mm = thin_wall_mm;
    return f;
}

// Where the foot side of a section lies furthest from the carpet's line near a place across.
struct Deepest {
    Vec2 carpet, foot, under;
};
Deepest deepest_at(const surface::Shell& shell, const Plane& plane, const surface::TrimRegion& inside,
                   double across) {
    Deepest found;
    const auto at = [&](const surface::SplineSurface& side) {
        return Vec2(across, height_at(longest(section(side, plane, &inside)), across).value_or(0.0));
    };
    found.carpet = at(shell.carpet);
    found.foot = at(shell.foot_side);
    found.under = at(shell.underside);
    return found;
}

void across(Page& page, const Box& box, const Made& made, const build::Shelled& made_shell, Side side,
            const surface::TrimRegion& inside, bool kept) {
    const Vec2 from = made_shell.features.laid().front().shape.spine.front().p.head<2>(),
               to = made_shell.features.laid().front().shape.spine.back().p.head<2>();
    const Vec2 middle = 0.75 * from + 0.25 * to;
    const Plane plane = Plane::frontal(middle.x());
    const Deepest deep = deepest_at(made_shell.shell, plane, inside, middle.y());
    Axes axes(side, Vec2::Zero(), 7.0);
    axes.origin = box.centre() + Vec2(0.0, 24.0) - axes.at(deep.foot.x(), deep.foot.y());
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(made_shell.mesh.mesh, plane)));
    page.canvas().polyline(on_page(axes, longest(section(made_shell.shell.carpet, plane, &inside))), false,
                           page.before());
    page.canvas().unclip();
    page.ends(box, "lateral", "medial");
    const double medial = axes.sign;
    const Vec2 carpet = axes.at(deep.carpet.x(), deep.carpet.y()),
               foot = axes.at(deep.foot.x(), deep.foot.y()), under = axes.at(deep.under.x(), deep.under.y());
    if (kept) {
        const double level = carpet.y() - 46.0, half = 0.5 * width_mm * axes.scale;
        const Vec2 left(carpet.x() - half, level), right(carpet.x() + half, level);
        page.canvas().line(left, Vec2(left.x(), carpet.y() + 10.0), page.level());
        page.canvas().line(right, Vec2(right.x(), carpet.y() + 10.0), page.level());
        picture::draw_dimension(page.canvas(), left, right, left, right, "", page.strong());
        picture::draw_words(page.canvas(), Vec2(carpet.x(), level - 18.0),
                            "width " + millimetres(width_mm, 0) + " at half depth", Align::centre,
                            page.strong());
        picture::draw_dimension(page.canvas(), carpet, foot, carpet, foot, "", page.strong());
        picture::draw_leader(page.canvas(), 0.5 * (carpet + foot), carpet + Vec2(72.0 * medial, 84.0),
                             "depth " + millimetres(depth_mm), outward(medial > 0.0), page.strong());
        const Deepest edge = deepest_at(made_shell.shell, plane, inside, middle.y() - 0.5 * width_mm);
        const Vec2 flank = axes.at(edge.foot.x(), edge.foot.y());
        picture::draw_leader(page.canvas(), flank, flank + Vec2(-30.0 * medial, 96.0),
                             "flank over " + millimetres(flank_mm, 0), outward(medial < 0.0), page.plain());
    }
    picture::draw_dimension(page.canvas(), foot, under, foot, under, "", page.plain());
    const Vec2 note(kept ? 0.0 : 60.0 * medial, kept ? 46.0 : 70.0);
    picture::draw_leader(page.canvas(), 0.5 * (foot + under), under + note,
                         kept ? "wall kept" : "least wall " + millimetres(thin_wall_mm),
                         kept ? Align::centre : outward(medial > 0.0), page.plain());
}

void dome(Page& page, const Box& box, const Made& made, const build::Shelled& made_shell, Side side,
          const surface::TrimRegion& inside) {
    const auto& landmarks = made.received.standing.landmarks;
    const auto head = landmarks.find(foot::LandmarkId::second_head_plantar);
    const Vec3 second = head != landmarks.end()
                            ? head->second.position
                            : Vec3(0.5 * (made.surfaced.rule.first_head + made.surfaced.rule.fifth_head));
    const Plane plane = Plane::sagittal(second.y());
    Axes axes(side, Vec2::Zero(), 4.6);
    axes.origin = box.centre() + Vec2(20.0, 10.0) - axes.at(second.x() - 24.0, second.z());
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(made_shell.mesh.mesh, plane)));
    const Line carpet = longest(section(made_shell.shell.carpet, plane, &inside));
    page.canvas().polyline(on_page(axes, carpet), false, page.before());
    page.canvas().unclip();
    page.ends(box, "heel", "toes");
    const double edge = second.x() - behind_mm, rear = edge - dome_length_mm,
                 top = edge - 0.4 * dome_length_mm;
    const auto on = [&](double x) { return axes.at(x, height_at(carpet, x).value_or(second.z())); };
    const double row = axes.at(0.0, second.z()).y() + 62.0;
    const auto at = [&](double x) { return Vec2(axes.at(x, 0.0).x(), row); };
    picture::draw_dimension(page.canvas(), on(edge), axes.at(second.x(), second.z()), at(edge),
                            at(second.x()), "", page.strong());
    picture::draw_words(page.canvas(), at(second.x()) + Vec2(axes.sign * 12.0, 0.0),
                        "behind " + millimetres(behind_mm, 0), outward(axes.sign > 0.0), page.strong());
    picture::draw_dimension(page.canvas(), on(rear), on(edge), at(rear), at(edge),
                            "length " + millimetres(dome_length_mm, 0), page.plain());
    const Line raised = longest(section(made_shell.shell.foot_side, plane, &inside));
    const Vec2 high = axes.at(top, height_at(raised, top).value_or(0.0));
    picture::draw_dimension(page.canvas(), on(top), high, on(top), high, "", page.plain());
    picture::draw_leader(page.canvas(), high, high + Vec2(-axes.sign * 60.0, -56.0),
                         "height " + millimetres(dome_mm, 0), outward(axes.sign < 0.0), page.plain());
    page.point(axes.at(second.x(), second.z()), "2nd head", Vec2(axes.sign * 10.0, -24.0),
               outward(axes.sign > 0.0));
}

}  // namespace

Outcome<Drawing> reliefs() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    specimen->foot.balance.method = foot::Balance::Method::heel_bisection;
    const auto made = make(*specimen);
    if (!made) return made.fault();
    const auto shell_with = [&](const Feature& f) {
        specimen->foot.features = {f};
        return make_shell(*specimen, *made);
    };
    Feature raised;
    raised.name = "dome";
    raised.kind = Feature::Kind::metatarsal_dome;
    raised.behind_mm = behind_mm;
    raised.height_mm = dome_mm;
    raised.length_mm = dome_length_mm;
    raised.width_mm = 26.0;
    raised.underside = Feature::Underside::stays;
    const auto kept = shell_with(groove(made->surfaced.rule, Feature::Underside::follows));
    if (!kept) return kept.fault();
    const auto thinned = shell_with(groove(made->surfaced.rule, Feature::Underside::stays));
    if (!thinned) return thinned.fault();
    const auto domed = shell_with(raised);
    if (!domed) return domed.fault();
    const surface::TrimRegion inside{surface::Outline(made->surfaced.trim.curve)};

    Page page(640);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    Box row = rest.cut_top(320.0);
    const Box left = page.panel(row.cut_left(400.0), "A", "Groove, wall kept", "seen from behind");
    const Box right = page.panel(row, "B", "The same, underside stays", "the wall thins");
    const Box below = page.panel(rest, "C", "Metatarsal dome", "section at the 2nd head, seen from medial");
    across(page, left, *made, *kept, specimen->side, inside, true);
    across(page, right, *made, *thinned, specimen->side, inside, false);
    dome(page, below, *made, *domed, specimen->side, inside);
    page.keys(strip, {{Page::Key::Kind::before, "dressed foot side"},
                      {Page::Key::Kind::shell, "shell"},
                      {Page::Key::Kind::cast, "cast"}});
    return page.finish();
}

}  // namespace archwright::drawings
