#include <algorithm>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/sole_plan.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"

namespace archwright::drawings {

using picture::Align;
using picture::Axes;
using picture::Box;

namespace {

constexpr double plain_arch_height_mm = 15.0;
constexpr double cutout_mm = 22.0, scallop_mm = 7.0, flange_mm = 16.0;

void features_in_plan(Page& page, const Box& box, const Made& made, const Made& plain, Side side) {
    const surface::TrimRule& rule = made.surfaced.rule;
    Axes axes(side, Vec2::Zero(), 2.25);
    axes.origin = Vec2(box.centre().x() - 2.0, box.bottom() - 26.0) - axes.at(0.0, -52.0);
    sole_in_plan(page, box, axes, side, made);
    const auto trim_of = [&](const Made& of) {
        return in_space(of.surfaced.carpet.surface, of.surfaced.trim.curve);
    };
    const std::vector<Vec3> trim = trim_of(made);
    page.canvas().polyline(in_plan(axes, trim_of(plain)), true, page.before());
    page.canvas().polyline(in_plan(axes, trim), true, page.ink(2.4));
    page.ends(box, "lateral", "medial");
    const double medial = axes.sign;
    const auto at = [&](double x, double y) { return axes.at(y, x); };

    // the cut-out: length back from the edge, width from the 1st head's border to the middle of its side
    const auto cut = surface::cutout_side(rule);
    if (!cut) return;
    surface::TrimRule uncut = rule;
    uncut.first_ray_cutout = {};
    const double border_y = rule.first_head.y(), to_y = cut->to_y, middle_y = 0.5 * (cut->from_y + cut->to_y);
    const Vec2 edge = at(surface::distal_edge_x(uncut, to_y), to_y),
               back = at(surface::distal_edge_x(rule, to_y), to_y);
    const Vec2 aside(46.0 * medial, 0.0);
    picture::draw_dimension(page.canvas(), edge, back, edge + aside, back + aside, "", page.strong());
    picture::draw_words(page.canvas(), 0.5 * (edge + back) + aside + Vec2(8.0 * medial, 0.0),
                        "length " + millimetres(rule.first_ray_cutout.length_mm, 0), outward(medial > 0.0),
                        page.strong());
    const Vec2 head = at(rule.first_head.x(), border_y), side_middle = at(rule.first_head.x(), middle_y);
    const Vec2 up(0.0, -16.0);
    picture::draw_dimension(page.canvas(), at(surface::distal_edge_x(uncut, middle_y), middle_y), head,
                            side_middle + up, head + up, "", page.strong());
    picture::draw_words(page.canvas(), 0.5 * (side_middle + head) + 2.0 * up,
                        "width " + millimetres(border_y - middle_y, 0), Align::centre, page.strong());
    picture::draw_landmark(page.canvas(), head, page.theme());

    // the scallop: at its middle, inward
    const double middle_x =
        rule.heel_centre.x() + (surface::scallop_station(rule) - surface::heel_station) /
                                   (surface::station_of_x(rule, rule.heel_centre.x() + 1.0, false) -
                                    surface::station_of_x(rule, rule.heel_centre.x(), false));
    const Vec3* innermost = nullptr;
    for (const Vec3& p : trim)
        if (p.y() < 0.0 && std::abs(p.x() - middle_x) < 2.0 &&
            (innermost == nullptr || std::abs(p.x() - middle_x) < std::abs(innermost->x() - middle_x)))
            innermost = &p;
    if (innermost != nullptr)
        picture::draw_leader(page.canvas(), at(innermost->x(), innermost->y()),
                             at(innermost->x(), innermost->y()) + Vec2(22.0 * medial, 18.0),
                             "scallop " + millimetres(scallop_mm, 0) + " deep", outward(medial > 0.0),
                             page.strong());
}

void flange_heights(Page& page, const Box& box, const surface::TrimRule& plain) {
    surface::TrimRule rule = plain;
    rule.lateral_flange.height_mm = flange_mm;
    const Box chart{box.x + 40.0, box.y + 42.0, box.w - 60.0, box.h - 92.0};
    constexpr double top = 20.0;
    const auto at = [&](double station, double mm) {
        return Vec2(chart.x + station * chart.w, chart.bottom() - mm / top * chart.h);
    };
    for (double mm = 0.0; mm <= top; mm += 4.0) {
        page.canvas().line(at(0.0, mm), at(1.0, mm), {page.theme().grid_50, 1.0});
        page.canvas().write_middle(rounded(mm, 0), at(0.0, mm) - Vec2(7.0, 0.0), 30.0,
                                   page.words(Align::right));
    }
    page.canvas().line(at(0.0, 0.0), at(1.0, 0.0), page.ink(1.4));
    page.canvas().write("mm", {box.x + 12.0, chart.y - 16.0}, 40.0, page.words());
    page.canvas().write("station along the border", {chart.x + 0.5 * chart.w, chart.bottom() + 38.0}, chart.w,
                        page.words(Align::centre));
    for (const double station : {0.0, rule.lateral_flange.from, rule.lateral_flange.to, 1.0}) {
        page.canvas().line(at(station, 0.0), at(station, 0.0) + Vec2(0.0, 5.0), {page.theme().ink, 1.2});
        page.canvas().write(exact(station), at(station, 0.0) + Vec2(0.0, 20.0), 60.0,
                            page.words(Align::centre));
    }
    const auto line_of = [&](const surface::TrimRule& of) {
        std::vector<Vec2> line;
        for (int i = 0; i <= 200; ++i)
            line.push_back(at(i / 200.0, surface::rule_height(of, i / 200.0, false)));
        return line;
    };
    page.canvas().polyline(line_of(plain), false, page.before());
    page.canvas().polyline(line_of(rule), false, page.meaning(2.2));
    const double middle = 0.5 * (rule.lateral_flange.from + rule.lateral_flange.to);
    picture::draw_dimension(page.canvas(), at(middle, 0.0), at(middle, flange_mm), at(middle, 0.0),
                            at(middle, flange_mm), "", page.strong());
    picture::draw_words(page.canvas(), at(middle, 0.5 * flange_mm) + Vec2(8.0, 0.0),
                        "height " + millimetres(flange_mm, 0), Align::left, page.strong());
}

}  // namespace

Outcome<Drawing> trim_features() {
    auto specimen = make_specimen({{}, plain_arch_height_mm});
    if (!specimen) return specimen.fault();
    specimen->foot.trim.lateral_border_mm = 9.0;
    const auto plain = make(*specimen);
    if (!plain) return plain.fault();
    specimen->foot.trim.first_ray_cutout.length_mm = cutout_mm;
    specimen->foot.trim.lateral_scallop.depth_mm = scallop_mm;
    const auto made = make(*specimen);
    if (!made) return made.fault();

    Page page(600);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    const Box left =
        page.panel(rest.cut_left(430.0), "A", "First-ray cut-out and lateral scallop", "in plan");
    const Box top = page.panel(rest, "B", "Lateral flange", "height of the lateral rule");
    features_in_plan(page, left, *made, *plain, specimen->side);
    flange_heights(page, top, plain->surfaced.rule);
    page.keys(strip, {{Page::Key::Kind::after, "trim line"},
                      {Page::Key::Kind::before, "without them"},
                      {Page::Key::Kind::meaning, "lateral rule with its flange"}});
    return page.finish();
}

}  // namespace archwright::drawings
