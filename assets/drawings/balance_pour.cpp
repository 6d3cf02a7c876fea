#include <cmath>

#include "assets/drawings/clay.hpp"
#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"
#include "engine/foot/arch.hpp"

namespace archwright::drawings {

using foot::LandmarkId;
using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

/// One of the two inversions that were tested (docs/balance.md).
constexpr double pour_deg = 15.0;
constexpr double pour_scale = 3.0;

void poured_heel(Page& page, const Box& box, const build::Received& received, Side side, double beta) {
    const auto& marks = received.standing.landmarks;
    const Vec3 p = marks.at(LandmarkId::bisection_lower).position;
    const Vec3 q = marks.at(LandmarkId::bisection_upper).position;
    const double ground = box.bottom() - 32.0;
    const Axes axes(side, {box.centre().x() + 10.0, ground}, pour_scale);
    const Box air{box.x + 1.0, box.y, box.w - 2.0, ground - box.y};
    clay_from_behind(page, air, axes, side, received.standing.mesh, 20.0, 74.0);
    page.ground(box.inset(1.0), ground, "cast plane");
    page.ends(box, "lateral", "medial");

    const Vec2 at_p = axes.at(p.y(), p.z()), at_q = axes.at(q.y(), q.z());
    const Vec2 way = (at_q - at_p).normalized(), up(0.0, -1.0);
    const double radius = at_p.y() - box.y - 62.0;
    page.canvas().line(at_p, at_p + (radius + 14.0) * up, page.level());
    page.canvas().line(at_p - 18.0 * way, at_p + (radius + 14.0) * way, page.meaning());
    Vec2 middle = at_p + radius * up;
    if (std::abs(beta) > 0.05)
        middle = picture::draw_angle(page.canvas(), at_p, radius, up, way, page.strong());
    picture::draw_words(page.canvas(), middle + Vec2(0.0, -26.0), degrees_with_word(beta), Align::centre,
                        page.strong());
    page.point(at_p, "", Vec2::Zero(), Align::left);
    page.point(at_q, "", Vec2::Zero(), Align::left);
}

/// The section through the apex of the arch, and how high that stands.
Outcome<Done> poured_arch(Page& page, const Box& box, const build::Received& received, Side side) {
    const TriangleMesh& mesh = received.standing.mesh;
    const auto survey = foot::survey(mesh, false);
    const double y = 0.5 * received.standing.landmarks.at(LandmarkId::first_head_plantar).position.y();
    const auto apex = survey ? foot::arch_apex(mesh, *survey, y) : std::nullopt;
    if (!apex) return Fault{FaultKind::internal, "drawings", "The foot shows no arch.", {}};
    const double ground = box.bottom() - 32.0;
    const Axes axes(side, {box.centre().x(), ground}, pour_scale);
    const Plane plane = Plane::frontal(apex->x());
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(mesh, plane)));
    page.canvas().unclip();
    page.ground(box.inset(1.0), ground, "cast plane");
    const Vec2 top = plane.page(axes, *apex), low(top.x(), ground);
    const Vec2 below = top + Vec2(0.0, 5.0);  // clear of the point's mark
    picture::draw_dimension(page.canvas(), low, below, low, below, millimetres(apex->z()), page.strong());
    page.point(top, "", Vec2::Zero(), Align::left);
    return Done{};
}

}  // namespace

Outcome<Drawing> balance_pour() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    foot::Balance& asked = specimen->foot.balance;
    asked.method = foot::Balance::Method::heel_bisection;
    const auto upright = stand(*specimen);
    if (!upright) return upright.fault();
    asked.method = foot::Balance::Method::inverted_pour;
    asked.pour_deg = pour_deg;
    const auto poured = stand(*specimen);
    if (!poured) return poured.fault();

    Page page(640);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(52.0);
    Box top = rest.cut_top(372.0);
    const Box one = page.panel(top.cut_left(400.0), "A", "Heel upright", "seen from behind");
    const Box two = page.panel(top, "B", "The same cast, poured inverted", "seen from behind");
    const Box three =
        page.panel(rest.cut_left(400.0), "C", "Apex of the arch, upright", "section, seen from behind");
    const Box four = page.panel(rest, "D", "Apex of the arch, poured", "section, seen from behind");
    poured_heel(page, one, *upright, specimen->side, upright->balance.after.heel_bisection->value);
    poured_heel(page, two, *poured, specimen->side, poured->balance.after.heel_bisection->value);
    if (const auto drawn = poured_arch(page, three, *upright, specimen->side); !drawn) return drawn.fault();
    if (const auto drawn = poured_arch(page, four, *poured, specimen->side); !drawn) return drawn.fault();
    page.sentence({strip.x + 14.0, strip.y + 31.0}, strip.w - 28.0,
                  "Of " + rounded(pour_deg, 0) + "\u00b0 about " +
                      rounded(*poured->balance.heel_effect_deg, 0) + "\u00b0 are expected at the heel (5:1).",
                  "The arch stands higher and has to be refilled.");
    return page.finish();
}

}  // namespace archwright::drawings
