#include <cmath>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/surface/post.hpp"

namespace archwright::drawings {

using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

constexpr double angle_deg = 5.0, motion_deg = 4.0, lift_mm = 4.0, flat_mm = 20.0;

// A floor's line in a frontal section, from one place across to another.
Vec2 on_floor(const surface::Post& post, const Axes& axes, double x, double y) {
    return axes.at(y, surface::floor_point(post, {x, y}).z());
}

void frontal(Page& page, const Box& box, const Made& made, const build::Shelled& shell, Side side,
             double motion) {
    const surface::Post& post = shell.shell.posts.front();
    const Vec3& heel = made.surfaced.rule.heel_centre;
    const Plane plane = Plane::frontal(heel.x());
    Axes axes(side, Vec2::Zero(), 4.4);
    const double floor = surface::floor_point(post, heel.head<2>()).z();
    axes.origin = Vec2(box.centre().x(), box.bottom() - 78.0) - axes.at(heel.y(), floor);
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(shell.mesh.mesh, plane)));
    page.canvas().unclip();
    page.ends(box, "lateral", "medial");
    const double medial = axes.sign, reach = 36.0;
    const auto floor_at = [&](double y) { return on_floor(post, axes, heel.x(), heel.y() + y); };
    const auto angle_at = [&](const Vec2& vertex, const Vec2& end, double degrees, double radius,
                              const std::string& word) {
        const Vec2 level(end.x() > vertex.x() ? 1.0 : -1.0, 0.0);
        page.canvas().line(vertex, vertex + std::abs(end.x() - vertex.x()) * level, page.level());
        page.canvas().line(vertex, end, page.meaning());
        if (std::abs(degrees) > 0.5)
            picture::draw_angle(page.canvas(), vertex, radius, level, end - vertex, page.strong());
        picture::draw_words(page.canvas(), Vec2(end.x(), std::max(end.y(), vertex.y()) + 22.0), word,
                            Align::centre, page.strong());
    };
    if (motion > 0.0) {
        const Vec2 hinge = floor_at(0.0);
        angle_at(hinge, floor_at(-reach + 4.0), angle_deg, 120.0, signed_degrees(angle_deg));
        angle_at(hinge, floor_at(reach - 4.0), angle_deg - motion, 120.0, signed_degrees(angle_deg - motion));
        page.point(hinge, "hinge", Vec2(0.0, 26.0), Align::centre);
        picture::draw_words(page.canvas(), Vec2(box.centre().x(), box.bottom() - 18.0),
                            "it rolls from the lateral face to the medial", Align::centre, page.plain());
    } else {
        const Vec2 vertex = floor_at(reach - 4.0), end = floor_at(-reach);
        angle_at(vertex, end, angle_deg, 250.0, "");
        picture::draw_words(page.canvas(), Vec2(box.centre().x() - 10.0 * medial, vertex.y() + 24.0),
                            "inverted by " + rounded(angle_deg, 0) + "\u00b0: thicker at the medial side",
                            Align::centre, page.strong());
    }
}

void along(Page& page, const Box& box, const Made& made, const build::Shelled& shell, Side side) {
    const surface::TrimRule& rule = made.surfaced.rule;
    const double y = rule.heel_centre.y();
    const Plane plane = Plane::sagittal(y);
    const surface::Post& rear = shell.shell.posts.front();
    Axes axes(side, Vec2::Zero(), 2.5);
    const double floor = surface::floor_point(rear, rule.heel_centre.head<2>()).z();
    const double middle = 0.5 * (rule.heel_centre.x() + rule.first_head.x()) - 4.0;
    axes.origin = Vec2(box.centre().x(), box.bottom() - 60.0) - axes.at(middle, floor);
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(shell.mesh.mesh, plane)));
    // the ground under both floors
    const auto ground = [&](double x) { return axes.at(x, surface::floor_point(rear, {x, y}).z()); };
    page.canvas().line(ground(rule.heel_centre.x() - 40.0), ground(rule.first_head.x() + 20.0),
                       page.meaning(1.4));
    page.canvas().unclip();
    page.ends(box, "heel", "toes");
    const surface::TrimRegion inside{surface::Outline(made.surfaced.trim.curve)};
    const Line under = longest(section(shell.shell.underside, plane, &inside));
    double low_x = rule.heel_centre.x(), least = 1e300;
    for (const Vec2& p : under) {
        const double h = p.y() - surface::floor_point(rear, {p.x(), y}).z();
        if (h < least && p.x() < middle) {
            least = h;
            low_x = p.x();
        }
    }
    const Vec2 top = axes.at(low_x, height_at(under, low_x).value_or(0.0)), foot = ground(low_x);
    picture::draw_dimension(page.canvas(), top, foot, top, foot, "", page.strong());
    picture::draw_leader(page.canvas(), 0.5 * (top + foot), foot + Vec2(0.0, 34.0),
                         "height " + millimetres(least), Align::centre, page.strong());
    const Vec2 front = ground(rule.first_head.x() - 20.0);
    picture::draw_words(page.canvas(), front + Vec2(0.0, 34.0), "forefoot post", Align::centre, page.plain());
    picture::draw_words(page.canvas(), ground(middle + 6.0) + Vec2(0.0, 34.0), "one ground", Align::centre,
                        page.plain());
}

void flat(Page& page, const Box& box, const Made& made, const build::Shelled& shell, Side side) {
    const surface::Post& post = shell.shell.posts.front();
    Vec2 middle = Vec2::Zero();
    const std::vector<Vec2> outline = surface::Outline(post.curve).points();
    for (const Vec2& uv : outline)
        middle += shell.shell.underside.point(uv).head<2>() / static_cast<double>(outline.size());
    const Plane plane = Plane::frontal(middle.x());
    Axes axes(side, Vec2::Zero(), 5.2);
    const double floor = surface::floor_point(post, middle).z();
    axes.origin = Vec2(box.centre().x(), box.bottom() - 70.0) - axes.at(middle.y(), floor);
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.shell(on_page(axes, section(shell.mesh.mesh, plane)));
    page.canvas().unclip();
    page.ends(box, "lateral", "medial");
    const auto at = [&](double y) { return on_floor(post, axes, middle.x(), middle.y() + y); };
    const Vec2 down(0.0, 26.0);
    picture::draw_dimension(page.canvas(), at(-0.5 * flat_mm), at(0.5 * flat_mm), at(-0.5 * flat_mm) + down,
                            at(0.5 * flat_mm) + down, "", page.strong());
    picture::draw_words(page.canvas(), at(0.0) + 2.0 * down, millimetres(flat_mm, 0) + " built up",
                        Align::centre, page.strong());
}

}  // namespace

Outcome<Drawing> posts() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    specimen->foot.balance.method = foot::Balance::Method::heel_bisection;
    const auto made = make(*specimen);
    if (!made) return made.fault();
    feature::Posts asked;
    asked.rearfoot.on = true;
    asked.rearfoot.angle_deg = angle_deg;
    asked.rearfoot.height_mm = lift_mm;
    const auto shell_with = [&](const feature::Posts& of) {
        specimen->foot.posts = of;
        return make_shell(*specimen, *made);
    };
    const auto plain = shell_with(asked);
    if (!plain) return plain.fault();
    feature::Posts two = asked;
    two.rearfoot.motion_deg = motion_deg;
    const auto moving = shell_with(two);
    if (!moving) return moving.fault();
    feature::Posts both;
    both.rearfoot.on = true;
    both.rearfoot.height_mm = lift_mm;
    both.forefoot.on = true;
    both.forefoot.height_mm = 1.5;
    specimen->foot.posts = both;  // a forefoot post that levels the forefoot
    both.forefoot.extrinsic_deg = build::forefoot_face_deg(made->received, specimen->foot).value_or(0.0);
    const auto level = shell_with(both);
    if (!level) return level.fault();
    feature::Posts disc;
    disc.flat_contact.on = true;
    disc.flat_contact.diameter_mm = flat_mm;
    const auto stood = shell_with(disc);
    if (!stood) return stood.fault();

    Page page(660);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    Box first = rest.cut_top(310.0);
    const Box a = page.panel(first.cut_left(400.0), "A", "Rearfoot post", "at the heel centre, from behind");
    const Box b = page.panel(first, "B", "With motion", "two faces, hinge rounded over 4 mm");
    const Box c = page.panel(rest.cut_left(470.0), "C", "Lift", "both floors share one ground");
    const Box d = page.panel(rest, "D", "Flat contact", "no wall ground away");
    frontal(page, a, *made, *plain, specimen->side, 0.0);
    frontal(page, b, *made, *moving, specimen->side, motion_deg);
    along(page, c, *made, *level, specimen->side);
    flat(page, d, *made, *stood, specimen->side);
    page.keys(strip, {{Page::Key::Kind::shell, "shell and post"},
                      {Page::Key::Kind::cast, "cast"},
                      {Page::Key::Kind::meaning, "floor, ground"}});
    return page.finish();
}

}  // namespace archwright::drawings
