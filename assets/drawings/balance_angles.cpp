#include "assets/drawings/clay.hpp"
#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"

namespace archwright::drawings {

using foot::LandmarkId;
using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

/// More than the demonstration's own five degrees, and the heel stood so that both angles show.
constexpr double forefoot_deg = -9.0, heel_deg = 5.0;

void heel(Page& page, const Box& box, const build::Received& received, Side side) {
    const auto& marks = received.standing.landmarks;
    const Vec3 p = marks.at(LandmarkId::bisection_lower).position;
    const Vec3 q = marks.at(LandmarkId::bisection_upper).position;
    const double ground = box.bottom() - 34.0;
    const Axes axes(side, {box.centre().x(), ground}, 3.05);
    const Box air{box.x + 1.0, box.y, box.w - 2.0, ground - box.y};
    clay_from_behind(page, air, axes, side, received.standing.mesh, 20.0, 82.0);
    page.ground(box.inset(1.0), ground, "level");
    page.ends(box, "lateral", "medial");

    // the bisection through P and Q, and the upright through P
    const Vec2 at_p = axes.at(p.y(), p.z()), at_q = axes.at(q.y(), q.z());
    const Vec2 way = (at_q - at_p).normalized(), up(0.0, -1.0);
    const double radius = at_p.y() - box.y - 62.0;
    page.canvas().line(at_p, at_p + (radius + 16.0) * up, page.level());
    page.canvas().line(at_p - 20.0 * way, at_p + (radius + 16.0) * way, page.meaning());
    const Vec2 middle = picture::draw_angle(page.canvas(), at_p, radius, up, way, page.strong());
    picture::draw_words(page.canvas(), middle + Vec2(0.0, -30.0),
                        "\u03b2 = " + degrees_with_word(received.balance.after.heel_bisection->value),
                        Align::centre, page.strong());
    page.point(at_p, "P", {13.0, 4.0}, Align::left);
    page.point(at_q, "Q", {13.0, 4.0}, Align::left);
}

void heads(Page& page, const Box& box, const build::Received& received, Side side) {
    const auto& marks = received.standing.landmarks;
    const Vec3 first = marks.at(LandmarkId::first_head_plantar).position;
    const Vec3 fifth = marks.at(LandmarkId::fifth_head_plantar).position;
    const Axes axes(side, {box.centre().x(), box.bottom() - 112.0}, 3.4);
    page.ends(box, "lateral", "medial");
    const Plane plane{fifth.head<2>(), first.head<2>(), Plane::View::behind};
    page.cast(on_page(axes, section(received.standing.mesh, plane)));

    // the line through both heads, and the level through the 5th
    const Vec2 at_first = plane.page(axes, first), at_fifth = plane.page(axes, fifth);
    const double medial = axes.sign;  // which way that is on the page
    const Vec2 way = (at_first - at_fifth).normalized(), level(medial, 0.0);
    const double radius = (at_first - at_fifth).norm() + 52.0;
    page.canvas().line(at_fifth - 46.0 * level, at_fifth + (radius + 14.0) * level, page.level());
    page.canvas().line(at_fifth - 46.0 * way, at_fifth + (radius + 14.0) * way, page.meaning());
    const Vec2 middle = picture::draw_angle(page.canvas(), at_fifth, radius, level, way, page.strong());
    picture::draw_words(page.canvas(), middle + Vec2(0.0, 40.0),
                        "\u03c6 = " + degrees_with_word(received.balance.after.metatarsal_plane->value),
                        medial > 0.0 ? Align::right : Align::left, page.strong());
    page.point(at_first, "1st head", {-12.0 * medial, -27.0}, Align::centre);
    page.point(at_fifth, "5th head", {6.0 * medial, -24.0}, Align::centre);

    // which way is positive
    const Vec2 centre(box.centre().x(), box.y + 118.0);
    picture::draw_turn(page.canvas(), centre, 46.0, {-0.8 * medial, -0.6}, {-medial, 0.35}, page.plain());
    picture::draw_turn(page.canvas(), centre, 46.0, {0.8 * medial, 0.6}, {medial, -0.35}, page.plain());
    picture::draw_words(page.canvas(), centre + Vec2(0.0, -9.0), "+", Align::centre, page.strong());
    picture::draw_words(page.canvas(), centre + Vec2(0.0, 10.0), "inverted", Align::centre, page.plain());
    picture::draw_words(page.canvas(), centre - Vec2(0.0, 66.0), "positive: medial side up", Align::centre,
                        page.plain());
}

}  // namespace

Outcome<Drawing> balance_angles() {
    auto specimen = make_specimen({forefoot_deg, {}});
    if (!specimen) return specimen.fault();
    specimen->foot.balance.method = foot::Balance::Method::heel_bisection;
    specimen->foot.balance.heel_deg = heel_deg;
    const auto received = stand(*specimen);
    if (!received) return received.fault();
    const foot::Posture& posture = received->balance.after;

    Page page(492);
    Box rest = page.whole();
    Box strip = rest.cut_bottom(52.0);
    const Box left = page.panel(rest.cut_left(400.0), "A", "Heel", "seen from behind");
    const Box right = page.panel(rest, "B", "Metatarsal heads", "section, seen from behind");
    heel(page, left, *received, specimen->side);
    heads(page, right, *received, specimen->side);

    const double beta = posture.heel_bisection->value, phi = posture.metatarsal_plane->value;
    page.sentence({strip.x + 14.0, strip.y + 31.0}, strip.w - 28.0,
                  "Forefoot to rearfoot = \u03c6 \u2212 \u03b2 = " + degrees_with_word(phi - beta),
                  "(" + signed_degrees(phi) + " less " + signed_degrees(beta) +
                      "): the forefoot against the heel, however the cast stands");
    return page.finish();
}

}  // namespace archwright::drawings
