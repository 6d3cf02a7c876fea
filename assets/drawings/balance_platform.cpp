#include <algorithm>
#include <cmath>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/units.hpp"

namespace archwright::drawings {

using foot::LandmarkId;
using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

/// More than the demonstration's own five degrees, so that the wedge shows.
constexpr double inverted_forefoot_deg = -9.0, intrinsic_deg = -5.0;

struct Heads {
    Vec3 first, fifth;
};

/// The part of a surface's section that lies on the cast: up to a height over its lowest point, and not past
/// a place across. Beyond, the surface runs on by itself.
Line sole_part(const std::vector<Line>& lines, double height, double furthest) {
    const Line line = longest(lines);
    double low = 1e300;
    for (const Vec2& p : line) low = std::min(low, p.y());
    return longest(parts(line, [&](const Vec2& p) { return p.y() < low + height && p.x() < furthest; }));
}

/// Cast, surface before and after, and what was added between them.
void step_in_section(Page& page, const Box& box, const Axes& axes, const Made& made, const Plane& plane,
                     const Line& before, const Line& after) {
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    page.added(between(axes, before, after));
    page.canvas().polyline(on_page(axes, before), false, page.before());
    page.canvas().polyline(on_page(axes, after), false, page.ink(2.2));
    page.canvas().unclip();
}

void across(Page& page, const Box& box, const Made& made, const Heads& heads, Side side, double tilt,
            double forefoot) {
    const surface::DressStep& step = made.surfaced.dressed.steps.front();
    const Axes axes(side, {box.centre().x() + 42.0, box.bottom() - 66.0}, 6.4);
    const double furthest = heads.first.y() + 7.0;
    const Plane plane{heads.fifth.head<2>(), heads.first.head<2>(), Plane::View::behind};
    step_in_section(page, box, axes, made, plane, sole_part(section(step.before, plane), 22.0, furthest),
                    sole_part(section(step.after, plane), 22.0, furthest));
    page.ends(box, "lateral", "medial");

    const Vec2 at_first = plane.page(axes, heads.first), at_fifth = plane.page(axes, heads.fifth);
    const double medial = axes.sign;
    const Vec2 level(medial, 0.0);
    // the forefoot's plane through both heads, the platform's through the lower one: both read at the 1st
    // head's side against the level
    const Vec2 heads_way = (at_first - at_fifth).normalized();
    const Vec2 platform_way =
        Vec2(medial * std::cos(radians(tilt)), -std::sin(radians(tilt)));  // up is less on the page
    const double span = (at_first - at_fifth).norm();
    page.canvas().line(at_first - (span + 52.0) * level, at_first, page.level());
    page.canvas().line(at_first - (span + 52.0) * heads_way, at_first + 60.0 * heads_way,
                       {page.theme().soft, 1.2});
    page.canvas().line(at_first - (span + 52.0) * platform_way, at_first + 60.0 * platform_way,
                       page.meaning());
    const double outer = span + 36.0, inner = span - 96.0;
    const Vec2 f = picture::draw_angle(page.canvas(), at_first, outer, -level, -heads_way, page.plain());
    picture::draw_words(page.canvas(), f + Vec2(-7.0 * medial, 0.0), "F = " + degrees_with_word(forefoot),
                        medial > 0.0 ? Align::right : Align::left, page.plain());
    const Vec2 t = picture::draw_angle(page.canvas(), at_first, inner, -level, -platform_way, page.strong());
    picture::draw_leader(page.canvas(), t, t + Vec2(26.0 * medial, 44.0),
                         "platform, tilted F \u2212 I = " + degrees_with_word(tilt),
                         medial > 0.0 ? Align::left : Align::right, page.strong());
    page.point(at_first, "1st head", {-6.0 * medial, -24.0}, Align::centre);
    page.point(at_fifth, "5th head", {10.0 * medial, -26.0}, Align::centre);
}

void along(Page& page, const Box& box, const Made& made, const Heads& heads, Side side,
           const foot::Balance& asked) {
    const surface::DressStep& step = made.surfaced.dressed.steps.front();
    const double y = heads.fifth.y(), head_x = heads.fifth.x();
    constexpr double scale = 6.2;
    Axes axes(side, Vec2::Zero(), scale);
    axes.origin = Vec2(box.centre().x(), box.bottom() - 84.0) - axes.at(head_x - 26.0, heads.fifth.z());
    const Plane plane = Plane::sagittal(y);
    const Line before = sole_part(section(step.before, plane), 30.0, head_x + 7.0),
               after = sole_part(section(step.after, plane), 30.0, head_x + 7.0);
    step_in_section(page, box, axes, made, plane, before, after);
    page.ends(box, "heel", "toes");

    const double whole = head_x - asked.platform_length_mm, end = whole - asked.platform_blend_mm;
    const double low = axes.at(0.0, height_at(after, head_x).value_or(0.0)).y() + 34.0;
    const auto on = [&](double x) { return axes.at(x, height_at(after, x).value_or(0.0)); };
    const auto at = [&](double x) { return Vec2(axes.at(x, 0.0).x(), low); };
    picture::draw_dimension(page.canvas(), on(whole), on(head_x), at(whole), at(head_x),
                            millimetres(asked.platform_length_mm, 0), page.plain());
    picture::draw_dimension(page.canvas(), on(end), on(whole), at(end), at(whole),
                            "blend " + millimetres(asked.platform_blend_mm, 0), page.plain());
    page.point(plane.page(axes, heads.fifth), "5th head", {4.0, -22.0}, Align::centre);
}

}  // namespace

Outcome<Drawing> balance_platform() {
    auto specimen = make_specimen({inverted_forefoot_deg, {}});
    if (!specimen) return specimen.fault();
    foot::Balance& asked = specimen->foot.balance;
    asked.method = foot::Balance::Method::heel_bisection;
    asked.heel_deg = 0.0;
    asked.forefoot = foot::Balance::Forefoot::platform;
    asked.intrinsic_deg = intrinsic_deg;
    const auto made = make(*specimen);
    if (!made) return made.fault();
    const auto& marks = made->received.standing.landmarks;
    const Heads heads{marks.at(LandmarkId::first_head_plantar).position,
                      marks.at(LandmarkId::fifth_head_plantar).position};
    const double forefoot = made->received.balance.after.forefoot->value;
    const double tilt = *made->received.balance.platform_deg;

    Page page(610);
    Box rest = page.whole();
    Box strip = rest.cut_bottom(84.0);
    const Box top =
        page.panel(rest.cut_top(296.0), "A", "Platform across the heads", "section, seen from behind");
    const Box low = page.panel(rest, "B", "Platform back from the 5th head", "section, seen from medial");
    across(page, top, *made, heads, specimen->side, tilt, forefoot);
    along(page, low, *made, heads, specimen->side, asked);
    page.keys(strip.cut_top(38.0), {{Page::Key::Kind::cast, "cast"},
                                    {Page::Key::Kind::before, "its surface before"},
                                    {Page::Key::Kind::after, "after"},
                                    {Page::Key::Kind::added, "plaster added"}});
    page.sentence(
        {strip.x + 14.0, strip.y + 22.0}, strip.w - 28.0,
        "I = " + degrees_with_word(intrinsic_deg) + " is corrected.",
        "What remains, F \u2212 I = " + degrees_with_word(foot::remainder_deg(forefoot, intrinsic_deg, 0.0)) +
            ", is left to a post.");
    return page.finish();
}

}  // namespace archwright::drawings
