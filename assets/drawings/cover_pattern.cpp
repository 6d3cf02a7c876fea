#include "engine/pattern/pattern.hpp"

#include "assets/drawings/clay.hpp"
#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/text.hpp"

namespace archwright::drawings {

using design::Cover;
using picture::Align;
using picture::Axes;
using picture::Box;
using picture::Colour;

namespace {

constexpr double page_mm = 2.0;  // logical pixels

Axes pattern_axes(const Box& box, Side side) {
    Axes axes(side, Vec2::Zero(), page_mm);
    axes.origin = Vec2(box.centre().x(), box.bottom() - 28.0) - axes.at(0.0, -50.0);
    return axes;
}

std::vector<Vec2> flat_line(const Axes& axes, const pattern::Ring& ring) {
    std::vector<Vec2> line;
    for (const Vec2& p : ring) line.push_back(axes.at(p.y(), p.x()));
    return line;
}

Cover cover(const std::string& name, Cover::Kind kind, Cover::Length length) {
    Cover made;
    made.name = name;
    made.kind = kind;
    made.length = length;
    made.material = "EVA";
    return made;
}

// The foot and its shell as they stand, from above.
void cover_in_plan(Page& page, const Box& box, const Made& made, Side side) {
    const Axes axes = pattern_axes(box, side);
    const Box air = box.inset(1.0);
    flat_from_above(page, air, axes, side, made.received.standing.mesh, {},
                    [](double) { return Colour::hex(0xE9E6DF); });
    const surface::TrimRegion inside{surface::Outline(made.surfaced.trim.curve)};
    constexpr int per_span = 4;
    const Facets shell = facets(made.surfaced.carpet.surface, per_span, &inside);
    flat_from_above(page, air, axes, side, shell.mesh, {}, [](double) { return Colour::hex(0xDCE8F1); });
    pattern::Ring trim;
    for (const Vec3& p : in_space(made.surfaced.carpet.surface, made.surfaced.trim.curve))
        trim.emplace_back(p.head<2>());
    page.canvas().polyline(flat_line(axes, trim), true, page.ink(2.0));
    page.canvas().line(axes.at(0.0, -52.0), axes.at(0.0, 212.0), page.level());
    for (const auto& [id, name] : {std::pair(foot::LandmarkId::first_head_plantar, "1st head"),
                                   std::pair(foot::LandmarkId::fifth_head_plantar, "5th head")})
        if (const auto found = made.received.standing.landmarks.find(id);
            found != made.received.standing.landmarks.end()) {
            const Vec3& p = found->second.position;
            const Vec2 at = axes.at(p.y(), p.x());
            picture::draw_landmark(page.canvas(), at, page.theme());
            picture::draw_words(page.canvas(), at + Vec2(0.0, -18.0), name, Align::centre, page.plain());
        }
    page.ends(box, "lateral", "medial");
}

// The same laid flat, with the three ends a part may have.
void laid_flat(Page& page, const Box& box, const pattern::PatternSet& set, Side side) {
    const Axes axes = pattern_axes(box, side);
    const pattern::Pattern &full = set.patterns[0], &sulcus = set.patterns[1];
    const auto line = [&](const pattern::Ring& ring) { return flat_line(axes, ring); };
    page.canvas().fill({line(full.cut)}, Colour::hex(0xF3F1EC), 1.0);
    page.canvas().fill({line(full.shell_edge)}, Colour::hex(0xDCE8F1), 1.0);
    page.canvas().polyline(line(sulcus.cut), true, page.meaning(1.6));
    page.canvas().polyline(line(full.cut), true, page.ink(2.0));
    page.canvas().polyline(line(full.shell_edge), true, page.before());
    pattern::Ring axis;
    for (const Vec2& p : full.axis)
        if (p.x() > -62.0 && p.x() < 212.0) axis.push_back(p);
    page.canvas().polyline(line(axis), false, page.level());
    const auto foremost = [](const pattern::Ring& ring, double y) {
        Vec2 best(-1e300, 0.0);
        for (const Vec2& p : ring)
            if (std::abs(p.y() - y) < 1.0 && p.x() > best.x()) best = p;
        return best;
    };
    const auto name = [&](const pattern::Ring& ring, double y, const std::string& words, const Vec2& aside) {
        const Vec2 p = foremost(ring, y);
        const Vec2 at = axes.at(p.y(), p.x());
        picture::draw_leader(page.canvas(), at, at + aside, words,
                             aside.x() > 0.0 ? Align::left : Align::right, page.plain());
    };
    // lateral of the axis, where the three ends lie well apart
    const double out = -axes.sign;
    name(full.cut, -12.0, "toes", Vec2(52.0 * out, -26.0));
    name(sulcus.cut, -24.0, "sulcus", Vec2(62.0 * out, -30.0));
    name(full.shell_edge, -8.0, "shell", Vec2(30.0 * out, 34.0));
    page.ends(box, "lateral", "medial");
}

}  // namespace

Outcome<Drawing> cover_pattern() {
    auto specimen = make_specimen();
    if (!specimen) return specimen.fault();
    const auto made = make(*specimen);
    if (!made) return made.fault();
    auto shelled = make_shell(*specimen, *made);
    if (!shelled) return shelled.fault();
    build::Device device;
    device.side = specimen->side;
    device.received = std::make_shared<build::Received>(made->received);
    device.surfaced = std::make_shared<build::Surfaced>(made->surfaced);
    device.shelled = std::make_shared<build::Shelled>(std::move(*shelled));
    specimen->foot.covers = {cover("top", Cover::Kind::cover, Cover::Length::full),
                             cover("half", Cover::Kind::cover, Cover::Length::sulcus)};
    const auto set = pattern::draw_patterns(device, specimen->foot, "");
    if (!set) return set.fault();

    Page page(640);
    Box rest = page.whole();
    const Box strip = rest.cut_bottom(40.0);
    const Box left = page.panel(rest.cut_left(400.0), "A", "Foot and shell", "seen from above");
    const Box right = page.panel(rest, "B", "Laid flat",
                                 "stretch " + rounded(set->patterns[0].stretch_low, 2) + " to " +
                                     rounded(set->patterns[0].stretch_high, 2));
    cover_in_plan(page, left, *made, specimen->side);
    laid_flat(page, right, *set, specimen->side);
    page.keys(strip, {{Page::Key::Kind::after, "A: trim line; B: cut, full length"},
                      {Page::Key::Kind::meaning, "cut, to the sulcus"},
                      {Page::Key::Kind::before, "shell's edge"}});
    return page.finish();
}

}  // namespace archwright::drawings
