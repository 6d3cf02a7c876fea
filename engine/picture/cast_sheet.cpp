#include "engine/picture/cast_sheet.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/picture/badges.hpp"
#include "engine/picture/cast_card.hpp"
#include "engine/picture/cast_look.hpp"
#include "engine/picture/cast_words.hpp"
#include "engine/picture/finding_outline.hpp"
#include "engine/picture/paragraph.hpp"
#include "engine/picture/repair_change.hpp"

namespace archwright::picture {

namespace {

using examine::Finding;

/// The range of the relief on every sheet, so that casts compare: a fault of 1 mm takes two thirds of it.
constexpr double relief_limit_mm = 1.5;
constexpr double head_height = 30.0, bar_height = 44.0, card_gap = 4.0;
constexpr double close_view_mm = 52.0, most_close_mm = 130.0, side_view_mm = 140.0;
constexpr double tallest = 6000.0;  // as the settings of every sheet

/// What is drawn, worked out once.
struct Shown {
    const build::Received& received;
    const build::Examined& examined;
    Side side;
    const CastSheetCase& named;
    const Theme& theme;
    SoleRelief sole;
    MapScale relief;
    RepairChange change;
    MapScale moved;
    std::vector<std::vector<Chain>> finding_outlines, repair_outlines;  ///< none: not on the sole
    std::vector<Vec3> finding_normals, repair_normals;                  ///< of the cast, for what is not

    Shown(const build::Received& r, const build::Examined& e, Side s, const CastSheetCase& n, const Theme& t)
        : received(r), examined(e), side(s), named(n), theme(t), sole(e.map) {
        relief = round_symmetric_scale(ColourMap::deviation(), relief_limit_mm, "Relief, mm");
        change = change_of(r, sole, close_view_mm);
        moved = round_symmetric_scale(ColourMap::deviation(), change.greatest_mm, "Moved, mm");
        moved.tick = moved.high;  // its bar is short
        const Vec3 down = -Vec3::UnitZ();
        for (const auto& call : e.calls) {
            finding_outlines.push_back(outline_of(call.finding, sole));
            finding_normals.push_back(finding_outlines.back().empty() ? normal_at(call.finding.place) : down);
        }
        for (std::size_t i = 0; i < repairs(); ++i) {
            const std::vector<Vec3> points = zone(i);
            const bool seen = std::any_of(points.begin(), points.end(),
                                          [&](const Vec3& p) { return sole.shows(p, on_sole_mm); });
            repair_outlines.push_back(seen ? reach_outline(sole, points, figure(i).reach_mm)
                                           : std::vector<Chain>{});
            repair_normals.push_back(repair_outlines.back().empty() ? normal_at(zone(i).front()) : down);
        }
    }

    std::size_t repairs() const { return received.repaired ? received.repaired->figures.size() : 0; }
    const examine::RepairFigure& figure(std::size_t i) const { return received.repaired->figures[i]; }
    /// In the order of the figures.
    const design::Repair* asked(std::size_t i) const {
        return named.foot != nullptr && i < named.foot->repairs.size() ? &named.foot->repairs[i] : nullptr;
    }
    /// Place or line of a repair, design frame.
    std::vector<Vec3> zone(std::size_t i) const {
        const foot::Frame& frame = received.standing.frame;
        std::vector<Vec3> points;
        if (const design::Repair* one = asked(i))
            for (const Vec3& p : one->points) points.push_back(frame.to_design(p));
        if (points.empty()) points.push_back(frame.to_design(figure(i).place));
        return points;
    }
    bool on_sole(std::size_t call) const { return !finding_outlines[call].empty(); }
    /// Normal of the cast round what of it is nearest to a place.
    Vec3 normal_at(const Vec3& place) const {
        constexpr double round_mm = 4.0;
        const TriangleMesh& cast = received.standing.mesh;
        const auto distance = [&](const Triangle& t) {
            return (cast.points[static_cast<std::size_t>(t[0])] - place).norm();
        };
        double least = 1e300;
        for (const Triangle& t : cast.triangles) least = std::min(least, distance(t));
        Vec3 sum = Vec3::Zero();
        for (std::size_t t = 0; t < cast.triangles.size(); ++t)
            if (distance(cast.triangles[t]) <= least + round_mm) sum += cast.normal2(t);
        return sum.isZero() ? Vec3(Vec3::UnitZ()) : Vec3(sum.normalized());
    }
    Badge badge(std::size_t call) const {
        return {std::to_string(call + 1), !examined.calls[call].open() ? theme.pass : theme.look};
    }
    Badge repair_badge(std::size_t i) const { return {"R" + std::to_string(i + 1), theme.accent}; }
};

class CastSheet {
  public:
    CastSheet(Canvas& canvas, const Shown& shown) : canvas_(canvas), theme_(shown.theme), shown_(shown) {}

    void sole(Box box);
    /// All cards at their places below `top`; what does not fit above `bottom` is left out and counted.
    /// Returns where the last one ends. Draws nothing when `draw` is false.
    double cards(const Box& box, double view, bool large, bool draw);

  private:
    void print(const Box& box, const CastLook& look);
    void outline(const CastLook& look, const std::vector<Chain>& chains, const Pen& core);
    void outline(const CastLook& look, std::size_t call);
    void legend(Box aside);
    void ink(const Box& box, const CastLook& look, Labels& labels);
    void badges(const Box& box, const CastLook& look, Labels& labels, const std::vector<Box>& corners);
    Card finding_card(std::size_t call);
    Card repair_card(std::size_t i);
    double head(const Box& box, double y, const char* name, const std::string& detail, bool draw);

    Canvas& canvas_;
    const Theme& theme_;
    const Shown& shown_;
};

void CastSheet::print(const Box& box, const CastLook& look) {
    Body cast;
    cast.mesh = &shown_.received.standing.mesh;
    cast.shader = look.plaster(theme_);
    Body relief;
    relief.mesh = &shown_.sole.mesh();
    relief.values = &shown_.sole.values();
    relief.shader = look.map(theme_, shown_.relief);
    look.draw(canvas_, box, {cast});
    look.draw(canvas_, box, {relief});  // over the cast: the two are one surface but for pinholes
}

void CastSheet::outline(const CastLook& look, const std::vector<Chain>& chains, const Pen& core) {
    const Pen casing{theme_.board, core.width + 2.0, 0.75};
    for (const Pen& pen : {casing, core})
        for (const Chain& chain : chains) {
            std::vector<Vec2> page;
            for (const Vec3& p : chain.points) page.push_back(look.at(p));
            canvas_.polyline(page, chain.closed, pen);
        }
}

void CastSheet::outline(const CastLook& look, std::size_t call) {
    const bool certain = shown_.examined.calls[call].finding.certainty == Finding::Certainty::certain;
    outline(look, shown_.finding_outlines[call],
            {theme_.ink, 1.5, 1.0, certain ? std::vector<double>{} : std::vector<double>{4.0, 3.0}});
}

void CastSheet::legend(Box aside) {
    const Box bar = draw_legend(canvas_, {aside.x, aside.y + 12.0}, 176.0, theme_, shown_.relief);
    double y = bar.bottom() + 8.0;
    const Type small{type::small, Weight::regular, theme_.soft, Align::left};
    const double room = aside.w - 12.0;
    const auto say = [&](const char* words) {
        for (const std::string& line : lines_of(canvas_, words, room, small)) {
            canvas_.write_middle(line, {aside.x + 6.0, y}, room + 1.0, small);
            y += leading(small);
        }
        y += 8.0;
    };
    say("Height over the plane of what lies round each place, some 20 mm across.");
    say("+ away from the foot");
    say("\u2212 into the foot");
    say("Striped: beyond the scale");
    const double x = aside.x + 6.0;
    const auto key = [&](const Pen& pen, const char* words) {
        canvas_.line({x, y}, {x + 22.0, y}, pen);
        y += 11.0;
        say(words);
    };
    if (!shown_.examined.calls.empty()) {
        key({theme_.ink, 1.5}, "a fault");
        key({theme_.ink, 1.5, 1.0, {4.0, 3.0}}, "a question");
    }
    if (shown_.repairs() > 0) key({theme_.accent, 1.6, 1.0, {1.5, 2.5}}, "made anew");
}

void CastSheet::ink(const Box& box, const CastLook& look, Labels& labels) {
    if (shown_.named.foot == nullptr) return;
    const Colour colour = theme_.dark ? Colour::hex(0xC9A7F0) : Colour::hex(0x4B2C83);
    const foot::Frame& frame = shown_.received.standing.frame;
    for (const design::Mark& mark : shown_.named.foot->marks) {
        if (mark.refused) continue;
        std::vector<Vec2> page;
        for (const Vec3& p : mark.points) {
            const Vec3 here = frame.to_design(p);
            if (shown_.sole.shows(here, on_sole_mm)) page.push_back(look.at(here));
        }
        if (page.empty()) continue;
        if (mark.kind == design::Mark::Kind::spot) {
            const double radius = std::clamp(0.5 * look.scale() * mark.breadth_mm, 4.0, 12.0);
            canvas_.disc(page.front(), radius + 1.5, theme_.board, 0.9);
            canvas_.disc(page.front(), radius, colour);
        } else if (page.size() > 1) {
            const bool closed = mark.kind == design::Mark::Kind::area && page.size() == mark.points.size();
            canvas_.polyline(page, closed, {theme_.board, 4.6, 0.8});
            canvas_.polyline(page, closed, {colour, 2.2});
        }
        const Vec2 at = page[page.size() / 2];
        if (box.contains(at))
            labels.beside(canvas_, at, 8.0, mark.open() ? mark.name + "?" : mark.name,
                          {type::small, Weight::semibold, colour, Align::left}, theme_, "rlab");
    }
}

void CastSheet::badges(const Box& box, const CastLook& look, Labels& labels,
                       const std::vector<Box>& corners) {
    std::vector<Badge> all;
    std::vector<Vec2> anchors, half;
    const auto add = [&](const Badge& badge, const std::vector<Chain>& chains) {
        // the outline's place furthest up and to the right; of a line, where it begins
        std::optional<Vec2> best;
        for (const Chain& chain : chains)
            for (const Vec3& p : chain.points) {
                const Vec2 at = look.at(p);
                if (!best || at.x() - at.y() > best->x() - best->y()) best = at;
            }
        if (!best) return;
        all.push_back(badge);
        anchors.push_back(*best);
        half.push_back(badge_half(canvas_, badge));
    };
    for (std::size_t i = 0; i < shown_.repairs(); ++i) add(shown_.repair_badge(i), shown_.repair_outlines[i]);
    for (std::size_t i = 0; i < shown_.examined.calls.size(); ++i)
        add(shown_.badge(i), shown_.finding_outlines[i]);
    const std::vector<Vec2> places = place_badges(anchors, half, box.inset(3.0), corners);
    for (std::size_t i = 0; i < all.size(); ++i) {
        canvas_.line(anchors[i], places[i], {theme_.board, 2.6, 0.75});
        canvas_.line(anchors[i], places[i], {theme_.ink, 0.9});
    }
    for (std::size_t i = 0; i < all.size(); ++i) {
        draw_badge(canvas_, places[i], theme_, all[i]);
        labels.keep_off(
            {places[i].x() - half[i].x(), places[i].y() - half[i].y(), 2.0 * half[i].x(), 2.0 * half[i].y()});
    }
}

void CastSheet::sole(Box box) {
    canvas_.fill(box, theme_.board);
    const Box strip = box.cut_top(head_height);
    draw_head(canvas_, strip, theme_, "", "Relief of the sole",
              std::string(word(shown_.side)) + " foot, as its print seen from above");
    Box aside = box.cut_right(std::min(104.0, 0.36 * box.w));
    legend(aside);
    Box3 extent;
    for (const Triangle& t : shown_.sole.mesh().triangles)
        for (const std::int32_t k : t) extent.add(shown_.sole.mesh().points[static_cast<std::size_t>(k)]);
    if (extent.empty()) return;
    const Vec3 size = extent.size().cwiseMax(1.0);
    const double scale = std::max(0.05, std::min((box.w - 60.0) / size.y(), (box.h - 96.0) / size.x()));
    Axes axes(shown_.side, Vec2::Zero(), scale);
    axes.origin = box.centre() - axes.at(extent.centre().y(), extent.centre().x());
    const CastLook look = CastLook::sole(shown_.side, axes);
    canvas_.clip(box);
    draw_grid(canvas_, box, theme_, axes);
    print(box, look);

    Labels labels(box.inset(4.0));
    std::vector<Box> corners;
    const auto keep = [&](const Box& b) {
        labels.keep_off(b);
        corners.push_back(b);
    };
    const Vec2 letter(box.x + 10.0, box.bottom() - 36.0);
    draw_side_letter(canvas_, letter, theme_, shown_.side);
    keep({letter.x() - 2.0, letter.y() - 2.0, 30.0, 30.0});
    keep(draw_scale_bar(canvas_, {box.right() - 6.0, box.bottom() - 6.0}, std::min(124.0, 0.3 * box.w),
                        theme_, scale));
    const Type words{type::small, Weight::regular, theme_.soft, Align::left};
    const auto plate = [&](const char* text, const Vec2& middle) {
        Box p = plate_box(canvas_, middle, text, words);
        p.x = std::clamp(p.x, box.x + 6.0, std::max(box.x + 6.0, box.right() - 6.0 - p.w));
        draw_plate(canvas_, p, text, words, theme_);
        keep(p);
    };
    const double waist = axes.at(0.0, 0.5 * (extent.low.x() + extent.high.x())).y();
    plate("medial", {axes.sign < 0.0 ? box.x : box.right(), waist});
    plate("lateral", {axes.sign < 0.0 ? box.right() : box.x, waist});
    plate("toes", {axes.at(0.0, 0.0).x(), box.y + 14.0});
    plate("heel",
          {axes.at(0.0, 0.0).x(), std::min(axes.at(0.0, extent.low.x()).y() + 18.0, box.bottom() - 14.0)});

    for (std::size_t i = 0; i < shown_.repairs(); ++i)
        outline(look, shown_.repair_outlines[i], {theme_.accent, 1.6, 1.0, {1.5, 2.5}});
    for (std::size_t i = 0; i < shown_.examined.calls.size(); ++i) outline(look, i);
    std::vector<std::pair<Vec2, std::string>> names;
    for (const auto& [id, landmark] : shown_.received.standing.landmarks) {
        const std::string name = plan_word(id);
        if (name.empty() || !shown_.sole.shows(landmark.position, on_sole_mm)) continue;
        const Vec2 at = look.at(landmark.position);
        draw_landmark(canvas_, at, theme_);
        keep({at.x() - 9.0, at.y() - 9.0, 18.0, 18.0});
        names.emplace_back(at, landmark.source == foot::Landmark::Source::suggested ? name + "?" : name);
    }
    badges(box, look, labels, corners);
    ink(box, look, labels);
    const double middle = axes.at(0.0, 0.0).x();
    for (const auto& [at, name] : names)
        labels.beside(canvas_, at, 10.0, name, words, theme_, at.x() < middle ? "lrab" : "rlab");
    canvas_.unclip();
}

Card CastSheet::finding_card(std::size_t call) {
    const build::Examined::Call& one = shown_.examined.calls[call];
    const Finding& f = one.finding;
    Card card;
    card.badge = shown_.badge(call);
    card.name = name_of(f);
    card.size = size_of(f);
    card.words = words_of(one);
    if (shown_.on_sole(call)) {
        card.views.push_back({"", [this, call, &f](const Box& box) {
                                  const double extent = std::max(f.length_mm, f.breadth_mm);
                                  const double view =
                                      std::min(most_close_mm, std::max(close_view_mm, 1.4 * extent));
                                  Axes axes(shown_.side, Vec2::Zero(), box.w / view);
                                  axes.origin = box.centre() - axes.at(f.place.y(), f.place.x());
                                  const CastLook look = CastLook::sole(shown_.side, axes);
                                  print(box, look);
                                  outline(look, call);
                              }});
        return card;
    }
    card.size += (card.size.empty() ? "Not on the sole, " : "; not on the sole, ") + rounded(f.place.z(), 0) +
                 " mm above the ground";
    const Vec3 normal = shown_.finding_normals[call];
    const auto look_at = [this, normal, &f](const Box& box) {
        return CastLook::facing(shown_.side, normal, f.place, box.centre(), box.w / side_view_mm);
    };
    card.views.push_back({look_at({0.0, 0.0, 1.0, 1.0}).words(), [this, look_at, &f](const Box& box) {
                              const CastLook look = look_at(box);
                              Body body;
                              body.mesh = &shown_.received.standing.mesh;
                              body.shader = look.plaster(theme_);
                              look.draw(canvas_, box, {body});
                              const double wide = 0.5 * look.scale() * std::max(f.length_mm, f.breadth_mm);
                              const double radius = std::clamp(wide, 7.0, 0.3 * box.w);
                              canvas_.circle(look.at(f.place), radius, {theme_.board, 4.0, 0.8});
                              canvas_.circle(look.at(f.place), radius, {theme_.look, 2.0});
                          }});
    return card;
}

Card CastSheet::repair_card(std::size_t i) {
    const examine::RepairFigure& figure = shown_.figure(i);
    Card card;
    card.badge = shown_.repair_badge(i);
    card.name = figure.name;
    card.size = size_of(figure);
    card.words = words_of(figure, shown_.asked(i), shown_.received.standing.frame);
    card.legend = shown_.moved;

    const std::vector<Vec3> zone = shown_.zone(i);
    Box3 extent;
    for (const Vec3& p : zone) extent.add(p);
    const Vec3 middle = extent.centre();
    const double view =
        std::min(most_close_mm, std::max(40.0, 1.25 * (extent.size().norm() + 2.0 * figure.reach_mm)));
    const bool sole = !shown_.repair_outlines[i].empty();
    const Vec3 normal = shown_.repair_normals[i];
    if (!sole) {
        const CastLook look = CastLook::facing(shown_.side, normal, middle, Vec2::Zero(), 1.0);
        card.size += std::string("; not on the sole, seen ") + look.words();
    }
    const auto add = [&](const char* caption, const TriangleMesh& mesh, const std::vector<double>& values,
                         const MapScale& scale) {
        card.views.push_back(
            {caption, [this, i, middle, view, sole, normal, &mesh, &values, &scale](const Box& box) {
                 Axes axes(shown_.side, Vec2::Zero(), box.w / view);
                 axes.origin = box.centre() - axes.at(middle.y(), middle.x());
                 const CastLook look =
                     sole ? CastLook::sole(shown_.side, axes)
                          : CastLook::facing(shown_.side, normal, middle, box.centre(), box.w / view);
                 Body body;
                 body.mesh = &mesh;
                 body.values = &values;
                 body.shader = look.map(theme_, scale);
                 look.draw(canvas_, box, {body});
                 const Pen dots{theme_.accent, 1.4, 1.0, {1.5, 2.5}};
                 outline(look, shown_.repair_outlines[i], dots);
                 if (!sole && shown_.zone(i).size() == 1)
                     canvas_.circle(look.at(middle), look.scale() * shown_.figure(i).reach_mm, dots);
             }});
    };
    const RepairChange& change = shown_.change;
    add("before", change.before, change.relief_before, shown_.relief);
    add("after", change.after, change.relief_after, shown_.relief);
    add("moved", change.after, change.moved, shown_.moved);
    return card;
}

double CastSheet::head(const Box& box, double y, const char* name, const std::string& detail, bool draw) {
    if (draw) draw_head(canvas_, {box.x, y, box.w, head_height}, theme_, "", name, detail);
    return y + head_height;
}

double CastSheet::cards(const Box& box, double view, bool large, bool draw) {
    if (draw) canvas_.fill(box, theme_.panel);
    double y = box.y;
    const double x = box.x + 6.0, width = box.w - 12.0;
    std::size_t left_out = 0;
    const std::size_t repairs = shown_.repairs(), calls = shown_.examined.calls.size();
    constexpr double note = 30.0;  // for the line that counts what was left out
    if (repairs > 0) {
        y = head(box, y, "Repairs", std::to_string(repairs) + ", on request; nothing else of the cast moved",
                 draw);
        const CardStyle style{width, std::clamp(view, 136.0, 170.0), large};
        for (std::size_t i = 0; i < repairs; ++i) {
            const Card card = repair_card(i);
            const double height = card_height(canvas_, card, style);
            if (draw && y + card_gap + height > box.bottom() - note - head_height) {
                ++left_out;
                continue;
            }
            y += card_gap;
            if (draw) draw_card(canvas_, {x, y}, theme_, card, style);
            y += height;
        }
        y += 2.0 * card_gap;
    }
    const std::string detail = (calls == 0 ? std::string("none") : std::to_string(calls) + ", worst first") +
                               "; noise of the scan " + rounded(shown_.examined.noise_mm, 2) + " mm";
    y = head(box, y, "Findings", detail, draw) + card_gap;
    if (calls == 0) {
        const char* words = repairs > 0 ? "No fault was found on the cast as it was repaired."
                                        : "No fault was found on this cast.";
        if (draw)
            canvas_.write_middle(words, {x + 7.0, y + 18.0}, width,
                                 {type::body, Weight::regular, theme_.text, Align::left});
        return y + 36.0;
    }
    // one column, or two of even height read one after the other
    constexpr double narrow = 620.0;
    const bool two = width >= narrow && calls > 1;
    const CardStyle style{two ? std::floor(0.5 * width) : std::min(width, 640.0), view, large};
    std::vector<Card> all;
    std::vector<double> heights;
    for (std::size_t i = 0; i < calls; ++i) {
        all.push_back(finding_card(i));
        heights.push_back(card_height(canvas_, all.back(), style) + card_gap);
    }
    const double room = box.bottom() - note - y;
    std::size_t shown = calls, first = 0;
    double tall = 0.0;
    const auto columns = [&] {  // the split of the first `shown` cards with the least height
        double all_of = 0.0, before = 0.0;
        for (std::size_t i = 0; i < shown; ++i) all_of += heights[i];
        first = shown;
        tall = all_of;
        if (!two) return;
        for (std::size_t k = 0; k < shown; ++k) {
            before += heights[k];
            const double here = std::max(before, all_of - before);
            if (here < tall) {
                tall = here;
                first = k + 1;
            }
        }
    };
    columns();
    while (draw && shown > 0 && tall > room + 0.5) {
        --shown;
        ++left_out;
        columns();
    }
    if (draw) {
        double at[2] = {y, y};
        for (std::size_t i = 0; i < shown; ++i) {
            const std::size_t column = i < first ? 0 : 1;
            draw_card(canvas_, {x + style.width * static_cast<double>(column), at[column]}, theme_, all[i],
                      style);
            at[column] += heights[i];
        }
        if (left_out > 0)
            canvas_.write_middle("and " + std::to_string(left_out) + " more in the report",
                                 {x + 7.0, box.bottom() - 0.5 * note}, width,
                                 {type::body, Weight::regular, theme_.faint, Align::left});
    }
    return y + tall;
}

std::string title_of(const Shown& shown) {
    const std::size_t n = shown.repairs();
    std::string title = n == 0   ? "Cast as received"
                        : n == 1 ? "Cast with 1 repair"
                                 : "Cast with " + std::to_string(n) + " repairs";
    const std::string& file = shown.received.cast->name;
    if (file != shown.named.code) title += ", " + file;
    return title;
}

}  // namespace

Outcome<Picture> draw_cast_sheet(const build::Received& received, const build::Examined& examined, Side side,
                                 const CastSheetCase& named, const PictureSettings& settings) {
    if (auto fault = settings_fault(settings)) return *fault;
    const Theme& colours = theme(settings.dark);
    const Shown shown(received, examined, side, named, colours);
    const double width = settings.width;
    constexpr double least_sole = 320.0;  // beside its legend
    const double sole_width = std::floor(std::max(0.38 * width, std::min(least_sole, 0.6 * width)));
    const auto panel = [&](double height) {
        return Box{sole_width, bar_height, width - sole_width, height - bar_height};
    };
    // the largest views that leave the sheet as it was asked for; else it grows
    struct Size {
        double view;
        bool large;
    };
    constexpr double foot_room = 36.0;
    double height = settings.height;
    Size size{112.0, false};
    {
        Canvas scratch(1, 1, 1.0);
        CastSheet trial(scratch, shown);
        bool fits = false;
        for (const Size& one : {Size{250.0, true}, Size{210.0, true}, Size{180.0, true}, Size{160.0, false},
                                Size{136.0, false}, Size{112.0, false}}) {
            size = one;
            fits = trial.cards(panel(height), one.view, one.large, false) + foot_room <= height;
            if (fits) break;
        }
        if (!fits)
            height = std::min(
                tallest, std::ceil(trial.cards(panel(height), size.view, size.large, false) + foot_room));
        height = std::max(height, static_cast<double>(settings.height));
    }
    Canvas canvas(settings.width, static_cast<int>(height), settings.scale, colours.board);
    draw_title_bar(canvas, {0.0, 0.0, width, bar_height}, colours, side, named.code, title_of(shown));
    CastSheet sheet(canvas, shown);
    sheet.sole({0.0, bar_height, sole_width, static_cast<double>(settings.height) - bar_height});
    sheet.cards(panel(height), size.view, size.large, true);
    canvas.fill(Box{sole_width - 1.0, bar_height, 1.0, height - bar_height}, colours.frame);
    return Picture{canvas.take(), canvas.shortened(), canvas.written()};
}

}  // namespace archwright::picture
