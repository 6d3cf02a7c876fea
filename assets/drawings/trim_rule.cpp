#include "engine/surface/trim_rule.hpp"

#include <algorithm>
#include <cmath>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/sole_plan.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"

namespace archwright::drawings {

using foot::LandmarkId;
using picture::Align;
using picture::Axes;
using picture::Box;
using surface::arch_station;
using surface::heel_station;

namespace {

/// A foot whose flange comes out as asked: under a high arch the line stands above its rule.
constexpr double arch_height_mm = 15.0;

/// x of a station of a side: the inverse of station_of_x.
double x_of_station(const surface::TrimRule& rule, double station, bool medial) {
    const double from = rule.heel_centre.x(), unit = surface::station_of_x(rule, from + 1.0, medial) -
                                                     surface::station_of_x(rule, from, medial);
    return from + (station - heel_station) / unit;
}

/// Where the line crosses x on one side of the axis, outermost.
Vec2 crossing(const std::vector<Vec3>& line, const surface::TrimRule& rule, double x, bool medial) {
    Vec2 best(x, surface::axis_y(rule, x));
    double most = 0.0;
    for (std::size_t k = 0; k < line.size(); ++k) {
        const Vec3 &a = line[k], &b = line[(k + 1) % line.size()];
        if ((a.x() > x) == (b.x() > x)) continue;
        const double y = a.y() + (x - a.x()) / (b.x() - a.x()) * (b.y() - a.y());
        const double out = (medial ? 1.0 : -1.0) * (y - surface::axis_y(rule, x));
        if (out > most) {
            most = out;
            best.y() = y;
        }
    }
    return best;
}

/// The rule's distal edge, its chord and their dimensions.
void distal_edge(Page& page, const Axes& axes, const surface::TrimRule& rule) {
    const auto at = [&](double x, double y) { return axes.at(y, x); };
    std::vector<Vec2> edge;
    constexpr int steps = 40;
    const double y1 = rule.first_head.y(), y5 = rule.fifth_head.y();
    for (int i = 0; i <= steps; ++i) {
        const double y = y5 + (y1 - y5) * i / steps;
        edge.push_back(at(surface::distal_edge_x(rule, y), y));
    }
    page.canvas().line(edge.front(), edge.back(), page.level());
    page.canvas().polyline(edge, false, page.meaning());
    const double medial = axes.sign;
    const auto behind = [&](const Vec3& head, double mm, double out, const std::string& words) {
        const Vec2 p = at(head.x(), head.y()), q = at(surface::distal_edge_x(rule, head.y()), head.y());
        const Vec2 aside(out, 0.0);
        picture::draw_dimension(page.canvas(), p, q, p + aside, q + aside, "", page.strong());
        picture::draw_words(page.canvas(), 0.5 * (p + q) + 1.4 * aside, words + millimetres(mm, 0),
                            outward(out > 0.0), page.strong());
        picture::draw_landmark(page.canvas(), p, page.theme());
    };
    behind(rule.first_head, rule.distal_first_mm, 20.0 * medial, "");
    behind(rule.fifth_head, rule.distal_fifth_mm, -20.0 * medial, "");
    picture::draw_words(page.canvas(), at(rule.first_head.x(), y1) + Vec2(12.0 * medial, -19.0), "1st head",
                        outward(medial > 0.0), page.plain());
    picture::draw_words(page.canvas(), at(rule.fifth_head.x(), y5) + Vec2(-2.0 * medial, -20.0), "5th head",
                        outward(medial < 0.0), page.plain());
    const double y = 0.5 * (y1 + y5);
    const Vec2 middle = 0.5 * (edge.front() + edge.back()), bowed = at(surface::distal_edge_x(rule, y), y);
    picture::draw_leader(page.canvas(), 0.5 * (middle + bowed), bowed + Vec2(-10.0 * medial, -44.0),
                         "bow " + millimetres(rule.distal_bow_mm, 0), Align::centre, page.strong());
}

void rule_in_plan(Page& page, const Box& box, const Made& made, Side side) {
    const surface::TrimRule& rule = made.surfaced.rule;
    const surface::SplineSurface& surface = made.surfaced.carpet.surface;
    Axes axes(side, Vec2::Zero(), 2.25);
    axes.origin = Vec2(box.centre().x() - 2.0, box.bottom() - 26.0) - axes.at(0.0, -52.0);
    sole_in_plan(page, box, axes, side, made);
    const std::vector<Vec3> trim = in_space(surface, made.surfaced.trim.curve);
    page.canvas().polyline(in_plan(axes, trim), true, page.ink(2.4));
    page.ends(box, "lateral", "medial");
    const double medial = axes.sign;

    // axis and heel centre
    const Vec2 heel = axes.at(rule.heel_centre.y(), rule.heel_centre.x());
    const double front = 0.5 * (rule.first_head.x() + rule.fifth_head.x()) - 22.0, rear = -48.0;
    page.canvas().line(axes.at(surface::axis_y(rule, rear), rear),
                       axes.at(surface::axis_y(rule, front), front), page.level());
    distal_edge(page, axes, rule);
    picture::draw_landmark(page.canvas(), heel, page.theme());
    picture::draw_words(page.canvas(), heel + Vec2(0.0, -20.0), "heel centre", Align::centre, page.plain());

    // stations along both borders
    for (const bool on_medial : {true, false})
        for (const double station : {heel_station, arch_station, 0.8}) {
            const Vec2 p = crossing(trim, rule, x_of_station(rule, station, on_medial), on_medial);
            const Vec2 at = axes.at(p.y(), p.x());
            const double out = on_medial ? medial : -medial;
            page.canvas().line(at - Vec2(9.0 * out, 0.0), at + Vec2(12.0 * out, 0.0), page.meaning(1.5));
            picture::draw_words(page.canvas(), at + Vec2(16.0 * out, 0.0), exact(station), outward(out > 0.0),
                                page.plain());
        }
    const Vec2 back = axes.at(surface::axis_y(rule, rear), rear);
    picture::draw_words(page.canvas(), back + Vec2(10.0 * medial, 0.0), "station 0", outward(medial > 0.0),
                        page.plain());
    // a corner
    const auto corner = std::max_element(
        trim.begin(), trim.end(), [](const Vec3& a, const Vec3& b) { return a.x() + a.y() < b.x() + b.y(); });
    const Vec2 at = axes.at(corner->y(), corner->x());
    picture::draw_leader(page.canvas(), at, at + Vec2(34.0 * medial, 30.0),
                         "radius " + millimetres(rule.corner_radius_mm, 0), outward(medial > 0.0),
                         page.plain());
}

/// Heights of the rule over the stations, and where the line came out.
void rule_heights(Page& page, const Box& box, const Made& made) {
    const surface::TrimRule& rule = made.surfaced.rule;
    const Box chart{box.x + 40.0, box.y + 42.0, box.w - 60.0, box.h - 92.0};
    constexpr double top = 24.0;
    const auto at = [&](double station, double mm) {
        return Vec2(chart.x + station * chart.w, chart.bottom() - mm / top * chart.h);
    };
    // on which lowest point a height stands
    page.canvas().fill({{at(0.0, 0.0), at(0.0, top), at(heel_station, top), at(heel_station, 0.0)}},
                       page.theme().cast, 0.45);
    double blended = heel_station;
    while (surface::cup_share(blended) > 0.0 && blended < 1.0) blended += 0.005;
    page.canvas().fill({{at(heel_station, 0.0), at(heel_station, top), at(blended, top), at(blended, 0.0)}},
                       page.theme().cast, 0.2);
    for (double mm = 0.0; mm <= top; mm += 4.0) {
        page.canvas().line(at(0.0, mm), at(1.0, mm), {page.theme().grid_50, 1.0});
        page.canvas().write_middle(rounded(mm, 0), at(0.0, mm) - Vec2(7.0, 0.0), 30.0,
                                   page.words(Align::right));
    }
    for (const double station : {0.0, heel_station, arch_station, 1.0}) {
        page.canvas().line(at(station, 0.0), at(station, 0.0) + Vec2(0.0, 5.0), {page.theme().ink, 1.2});
        page.canvas().write(exact(station), at(station, 0.0) + Vec2(0.0, 20.0), 60.0,
                            page.words(Align::centre));
    }
    page.canvas().line(at(0.0, 0.0), at(1.0, 0.0), page.ink(1.4));
    page.canvas().write("mm", {box.x + 12.0, chart.y - 16.0}, 40.0, page.words());
    page.canvas().write("station along the border", {chart.x + 0.5 * chart.w, chart.bottom() + 38.0}, chart.w,
                        page.words(Align::centre));
    for (const bool medial : {false, true}) {
        std::vector<Vec2> line;
        for (int i = 0; i <= 200; ++i) {
            const double station = i / 200.0;
            line.push_back(at(station, surface::rule_height(rule, station, medial)));
        }
        page.canvas().polyline(line, false, medial ? page.meaning(2.2) : page.ink(2.2));
        for (const surface::TrimStation& station : made.surfaced.trim.stations)
            if (station.medial == medial)
                page.canvas().disc(at(station.station, station.height_mm), 1.7,
                                   medial ? page.theme().accent : page.theme().ink, 0.75);
    }
    page.canvas().write("cup depth, from the", at(0.0, top) + Vec2(6.0, -20.0), chart.w, page.words());
    page.canvas().write("heel\u2019s lowest point", at(0.0, top) + Vec2(6.0, -5.0), chart.w, page.words());
    page.canvas().write("from the section\u2019s lowest point", at(1.0, top) + Vec2(0.0, -5.0), chart.w,
                        page.words(Align::right));
    const Vec2 flange = at(arch_station, rule.medial_flange_mm);
    picture::draw_leader(page.canvas(), flange, flange + Vec2(-14.0, -17.0),
                         "medial flange " + millimetres(rule.medial_flange_mm, 0), Align::right,
                         page.strong());
    const Vec2 border = at(arch_station, rule.lateral_border_mm);
    picture::draw_leader(page.canvas(), border, border + Vec2(-16.0, 40.0),
                         "lateral border " + millimetres(rule.lateral_border_mm, 0), Align::right,
                         page.plain());
    const Vec2 end = at(1.0, rule.distal_height_mm);
    picture::draw_leader(page.canvas(), end, end + Vec2(-16.0, 12.0),
                         "distal height " + millimetres(rule.distal_height_mm, 0), Align::right,
                         page.plain());
}

/// The section at the arch's station, on the medial side, with its heights.
void arch_of_rule(Page& page, const Box& box, const Made& made, const TriangleMesh& shell, Side side) {
    const surface::TrimRule& rule = made.surfaced.rule;
    const surface::TrimLine& trim = made.surfaced.trim;
    const Plane plane = Plane::frontal(x_of_station(rule, arch_station, true));
    const surface::TrimRegion inside{surface::Outline(trim.curve)};
    const Line line = longest(section(made.surfaced.carpet.surface, plane, &inside));
    double low = 1e300;
    for (const Vec2& p : line) low = std::min(low, p.y());
    const bool from_lateral = line.front().x() < line.back().x();
    const Vec2 medial_end = from_lateral ? line.back() : line.front();
    Axes axes(side, {box.centre().x(), box.bottom() - 30.0}, 2.9);
    axes.origin.x() -= axes.sign * 26.0;
    page.canvas().clip(box.inset(1.0));
    page.cast(on_page(axes, section(made.received.standing.mesh, plane)));
    const auto wall = on_page(axes, section(shell, plane));
    page.canvas().fill(wall, page.theme().board, 0.8);
    page.canvas().fill(wall, page.theme().ink, page.theme().shell_tint);
    page.canvas().hatch(wall, 10.0, {page.theme().ink, 0.8, 0.75});
    for (const auto& ring : wall) page.canvas().polyline(ring, true, {page.theme().ink, 1.2});
    page.canvas().polyline(on_page(axes, line), false, page.ink(2.2));
    page.canvas().unclip();
    page.ends(box, "lateral", "medial");
    const double out = medial_end.x() + 12.0;
    page.canvas().line(axes.at(std::min(line.front().x(), line.back().x()) - 6.0, low),
                       axes.at(out + 6.0, low), page.level());
    picture::draw_dimension(page.canvas(), axes.at(out, low), axes.at(medial_end.x(), medial_end.y()),
                            axes.at(out, low), axes.at(out, medial_end.y()),
                            millimetres(medial_end.y() - low), page.strong());
}

}  // namespace

Outcome<Drawing> trim_rule() {
    const auto specimen = make_specimen({{}, arch_height_mm});
    if (!specimen) return specimen.fault();
    const auto made = make(*specimen);
    if (!made) return made.fault();
    const auto shell = make_shell(*specimen, *made);
    if (!shell) return shell.fault();

    Page page(600);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    const Box left = page.panel(rest.cut_left(410.0), "A", "Trim line in plan", "seen from above");
    const Box top = page.panel(rest.cut_top(320.0), "B", "Heights of its rule", "dots: as found on the foot");
    const Box low = page.panel(rest, "C", "Medial flange", "section at station 0.6");
    rule_in_plan(page, left, *made, specimen->side);
    rule_heights(page, top, *made);
    arch_of_rule(page, low, *made, shell->mesh.mesh, specimen->side);
    page.keys(strip, {{Page::Key::Kind::after, "trim line; lateral rule"},
                      {Page::Key::Kind::meaning, "distal edge of the rule; medial rule"},
                      {Page::Key::Kind::shell, "shell"}});
    return page.finish();
}

}  // namespace archwright::drawings
