#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "exporters/comparing/page.hpp"
#include "exporters/papers/design_sheet.hpp"

namespace archwright::exporters::papers {

namespace {

using comparing::Page;
using picture::Align;
using picture::Box;
using picture::Colour;
using picture::Weight;

constexpr double sheet_width = 210.0, sheet_height = 297.0, sheet_edge = 14.0;
constexpr double sheet_foot = 279.5;  // words end above it
constexpr double sheet_bar_mm = 100.0;
constexpr double column_gap = 6.0, column_width = 0.5 * (sheet_width - 2.0 * sheet_edge - column_gap);
constexpr double words_mm = 2.35;
constexpr double section_head = 4.6, section_feet = 8.6;
constexpr double plan_room_mm = 26.0;  // of letters, widths and the length beside the plan
constexpr double least_words_room = 24.0;

const Colour sheet_ink = Colour::hex(0x1B242B), sheet_soft = Colour::hex(0x5A6670),
             sheet_cast = Colour::hex(0xB5651D), sheet_shell = Colour::hex(0xC9D9E6),
             sheet_blue = Colour::hex(0x1F5F8B), sheet_thin = Colour::hex(0x9AA5AD);

Page::Type sheet_type(double size, bool bold = false, const Colour& colour = sheet_ink) {
    return {size, bold ? Weight::semibold : Weight::regular, colour};
}

/// One line of a column: cells beside one another.
struct ColumnLine {
    struct Cell {
        double x = 0.0;
        std::string text;
        bool bold = false;
    };
    std::vector<Cell> cells;
    bool heading = false;  ///< never the last of a column
};

struct Column {
    std::vector<ColumnLine> lines;

    void cells(const std::vector<std::pair<double, std::string>>& texts, const std::vector<double>& widths,
               bool bold = false, bool heading = false) {
        std::vector<ColumnLine> rows;
        for (std::size_t k = 0; k < texts.size(); ++k) {
            const auto broken = Page::lines_of(texts[k].second, widths[k], sheet_type(words_mm, bold));
            if (rows.size() < broken.size()) rows.resize(broken.size());
            for (std::size_t i = 0; i < broken.size(); ++i)
                rows[i].cells.push_back({texts[k].first, broken[i], bold});
        }
        for (ColumnLine& row : rows) {
            row.heading = heading;
            lines.push_back(std::move(row));
        }
    }
    void heading(const std::string& text) {
        if (!lines.empty()) lines.push_back({});
        cells({{0.0, text}}, {column_width}, true, true);
    }
    void list(const std::string& head, const std::vector<std::string>& texts) {
        if (texts.empty()) return;
        heading(head);
        for (const std::string& text : texts) {
            const std::size_t first = lines.size();
            cells({{2.4, text}}, {column_width - 2.4});
            if (lines.size() > first)
                lines[first].cells.insert(lines[first].cells.begin(), {0.6, "-", false});
        }
    }
};

Column asked_and_built(const DesignSheet& s) {
    Column c;
    constexpr double at_asked = 33.0, at_built = 57.5;
    c.heading("Asked against built");
    c.cells({{0.0, "mm, degrees; \u00b1 is 1.96 sd"}, {at_asked, "asked"}, {at_built, "built"}},
            {at_asked - 2.0, at_built - at_asked - 2.0, column_width - at_built}, true, true);
    for (const SheetRow& row : s.rows)
        c.cells({{0.0, row.what}, {at_asked, row.asked}, {at_built, row.built}},
                {at_asked - 2.0, at_built - at_asked - 2.0, column_width - at_built});
    return c;
}

Column answered_for(const DesignSheet& s) {
    Column c;
    c.list("Cautions", s.cautions);
    c.list("Deviations signed for", s.deviations);
    c.list("To be looked at", s.looks);
    return c;
}

/// How many of the lines from `from` on fit a column of this height.
std::size_t lines_that_fit(const Column& column, std::size_t from, double height) {
    const double leading = Page::leading(sheet_type(words_mm));
    const auto room = static_cast<std::size_t>(std::max(0.0, std::floor(height / leading + 1e-9)));
    std::size_t end = std::min(column.lines.size(), from + room);
    if (end < column.lines.size())
        while (end > from && (column.lines[end - 1].heading || column.lines[end - 1].cells.empty())) --end;
    return end - from;
}

void write_lines(Page& page, const Column& column, std::size_t from, std::size_t count, const Vec2& at) {
    double y = at.y();
    for (std::size_t k = from; k < from + count; ++k) {
        // a blank line at the top of a column is none
        if (k == from && column.lines[k].cells.empty()) continue;
        y += Page::leading(sheet_type(words_mm));
        for (const ColumnLine::Cell& cell : column.lines[k].cells)
            page.write(cell.text, {at.x() + cell.x, y}, sheet_type(words_mm, cell.bold));
    }
}

/// Name, case, side and verdict. The y below.
double draw_sheet_head(Page* page, const DesignSheet& s, bool whole) {
    const double right = sheet_width - sheet_edge - 15.0;
    if (page != nullptr) {
        page->frame({sheet_width - sheet_edge - 12.0, sheet_edge - 3.0, 12.0, 12.0}, sheet_ink, 0.6);
        page->write(s.side == Side::left ? "L" : "R", {sheet_width - sheet_edge - 6.0, sheet_edge + 5.8},
                    sheet_type(8.5, true), Align::centre);
        page->write("Design sheet", {sheet_edge, sheet_edge + 2.0}, sheet_type(5.4, true));
    }
    double y = sheet_edge + 3.0;
    const auto words = [&](const std::string& text, const Page::Type& type) {
        for (const std::string& line : Page::lines_of(text, right - sheet_edge, type)) {
            y += Page::leading(type);
            if (page != nullptr) page->write(line, {sheet_edge, y}, type);
        }
    };
    words(s.case_code + " " + word(s.side) + ", revision " + s.revision +
              (s.revision_date.empty() ? "" : " of " + s.revision_date) +
              (s.laboratory.empty() ? "" : "; laboratory " + s.laboratory) +
              (s.prescriber.empty() ? "" : "; prescriber " + s.prescriber) + "; " + s.material,
          sheet_type(3.1));
    if (!whole) return y + 3.0;
    words(s.approval, sheet_type(3.1, true));
    words(s.verdict, sheet_type(2.8, !s.may_be_made));
    return y + 2.5;
}

void draw_sheet_foot(Page& page, const DesignSheet& s, std::size_t number, std::size_t of) {
    page.write("Fingerprint of the design: " + s.fingerprint, {sheet_edge, sheet_height - 13.5},
               sheet_type(2.3, false, sheet_soft));
    page.write(std::string("Archwright ") + version + ", page " + std::to_string(number) + " of " +
                   std::to_string(of),
               {sheet_width - sheet_edge, sheet_height - 13.5}, sheet_type(2.5), Align::right);
    const double at = sheet_height - 9.0;
    page.line({sheet_edge, at}, {sheet_edge + sheet_bar_mm, at}, sheet_ink, 0.35);
    for (int k = 0; k <= 10; ++k)
        page.line({sheet_edge + 10.0 * k, at}, {sheet_edge + 10.0 * k, at - (k % 5 == 0 ? 3.0 : 1.8)},
                  sheet_ink, 0.3);
    page.write("100 mm where the page is printed at its own size", {sheet_edge + sheet_bar_mm + 3.0, at},
               sheet_type(2.5, false, sheet_soft));
}

double section_height(const SheetSection& s) {
    return section_head + s.box.h + std::max(0.0, s.box.y) + section_feet;
}

/// 1:1, the middle of its box at x, from y down.
void draw_sheet_section(Page& page, const DesignSheet& sheet, const SheetSection& s, double left,
                        double width, double y) {
    page.write(s.letter + "  " + s.title + ", from behind, 1:1", {left, y + 3.0}, sheet_type(2.6, true));
    const double ground = y + section_head + s.box.y + s.box.h;
    const double shift = left + 0.5 * width - s.box.x - 0.5 * s.box.w;
    const auto at = [&](const Vec2& p) { return Vec2(shift + p.x(), ground - p.y()); };
    std::vector<std::vector<Vec2>> rings;
    for (const auto& ring : s.shell) {
        rings.emplace_back();
        for (const Vec2& p : ring) rings.back().push_back(at(p));
    }
    page.fill(rings, sheet_shell);
    for (const auto& line : s.cast) {
        std::vector<Vec2> drawn;
        for (const Vec2& p : line) drawn.push_back(at(p));
        page.polyline(drawn, sheet_cast, 0.3);
    }
    for (const auto& ring : rings) page.polyline(ring, sheet_ink, 0.2);
    page.line({left, ground}, {left + width, ground}, sheet_soft, 0.3);
    // walls along the ground, kept apart; a line to the place of each
    constexpr double apart = 7.0;
    double next = left + 3.0;
    double rest = apart * static_cast<double>(s.walls.size());
    for (const SheetSection::Wall& wall : s.walls) {
        const double most = left + width - rest + 4.0;
        const double x = std::max(next, std::min(shift + wall.across, most));
        page.line({shift + wall.across, ground}, {x, ground + 1.4}, sheet_thin, 0.15);
        page.write(rounded(wall.wall_mm, 1), {x, ground + 3.8}, sheet_type(2.3), Align::centre);
        next = x + apart;
        rest -= apart;
    }
    page.write(sheet.medial_left, {left, ground + 6.9}, sheet_type(2.2, false, sheet_soft));
    page.write("wall, mm", {left + 0.5 * width, ground + 6.9}, sheet_type(2.2, false, sheet_soft),
               Align::centre);
    page.write(sheet.medial_right, {left + width, ground + 6.9}, sheet_type(2.2, false, sheet_soft),
               Align::right);
}

void draw_sheet_plan(Page& page, const DesignSheet& sheet, const Box& box, double parts) {
    const SheetPlan& plan = sheet.plan;
    const double scale = 1.0 / parts;
    page.write("Plan, from above, 1:" + exact(parts), {box.x, box.y + 3.0}, sheet_type(2.6, true));
    const double left = box.x + 5.0 + 0.5 * (box.w - plan_room_mm - scale * plan.box.w),
                 bottom = box.y + 9.0 + scale * plan.box.h;
    const auto at = [&](const Vec2& p) {
        return Vec2(left + scale * (p.x() - plan.box.x), bottom - scale * (p.y() - plan.box.y));
    };
    page.write(sheet.medial_left, {box.x, box.y + 7.0}, sheet_type(2.2, false, sheet_soft));
    page.write(sheet.medial_right, {box.x + box.w, box.y + 7.0}, sheet_type(2.2, false, sheet_soft),
               Align::right);
    const auto drawn = [&](const std::vector<Vec2>& points) {
        std::vector<Vec2> out;
        for (const Vec2& p : points) out.push_back(at(p));
        return out;
    };
    for (const SheetPlan::Outline& outline : plan.outlines)
        if (outline.edge)
            page.fill({drawn(outline.points)},
                      outline.number == 0 ? Colour::hex(0xEEF3F7) : Colour::hex(0xFFFFFF));
    for (const auto& line : plan.foot) page.polyline(drawn(line), sheet_cast, 0.25);
    for (const SheetPlan::Outline& outline : plan.outlines)
        page.polyline(drawn(outline.points),
                      outline.edge         ? sheet_ink
                      : outline.number > 0 ? sheet_blue
                                           : sheet_soft,
                      outline.edge ? 0.4 : 0.22);
    for (const SheetPlan::Place& head : plan.heads) page.mark(at(head.at), 5, 1.4, sheet_soft);
    for (const SheetPlan::Outline& outline : plan.outlines) {
        if (outline.number == 0 || outline.points.empty()) continue;
        Vec2 middle = Vec2::Zero();
        for (const Vec2& p : outline.points) middle += p / static_cast<double>(outline.points.size());
        page.write(std::to_string(outline.number), at(middle) + Vec2(0.0, 0.9),
                   sheet_type(2.6, true, sheet_blue), Align::centre);
    }
    const double right = left + scale * plan.box.w;
    for (std::size_t k = 0; k < plan.cuts.size(); ++k) {
        const SheetPlan::Cut& cut = plan.cuts[k];
        const double y = at({0.0, cut.forward}).y();
        page.line({left - 2.0, y}, {right + 2.0, y}, sheet_blue, 0.18, true);
        page.write(cut.letter, {left - 3.0, y + 0.9}, sheet_type(2.6, true, sheet_blue), Align::right);
        for (const SheetPlan::Width& width : plan.widths)
            if (width.forward == cut.forward)
                page.write(rounded(width.high - width.low, 1), {right + 2.6, y + 0.9},
                           sheet_type(2.3, false, sheet_blue));
    }
    const double x = right + 12.0, rear = at({0.0, plan.rear}).y(), front = at({0.0, plan.front}).y();
    page.line({x, rear}, {x, front}, sheet_ink, 0.2);
    for (const double y : {rear, front}) page.line({x - 1.2, y}, {x + 1.2, y}, sheet_ink, 0.3);
    page.write(rounded(plan.front - plan.rear, 1), {x + 1.2, 0.5 * (rear + front)}, sheet_type(2.3));
    page.write("Brown the cast (12 mm above the ground),", {box.x, bottom + 4.0},
               sheet_type(2.2, false, sheet_soft));
    page.write("blue the shell's widths at the sections, mm", {box.x, bottom + 7.0},
               sheet_type(2.2, false, sheet_soft));
}

/// The largest drawing of the plan that fits, as 1:n.
double plan_parts(const SheetPlan& plan, double width, double height) {
    double parts = 1.5;
    while (parts < 20.0 && (plan.box.w / parts > width - plan_room_mm || plan.box.h / parts > height - 17.0))
        parts += 0.25;
    return parts;
}

constexpr double second_map_at = sheet_width - sheet_edge - sheet_map_width;
constexpr double map_row = sheet_map_height + 8.0;

void draw_sheet_maps(Page& page, const DesignSheet& s, double top) {
    const auto map = [&](const picture::Image& image, const std::string& name, double x, double y) {
        page.write(name, {x, y + 3.0}, sheet_type(2.8, true));
        const Box box{x, y + 4.5, sheet_map_width, sheet_map_height};
        page.image(image, box);
        page.frame(box, sheet_thin, 0.2);
    };
    map(s.wall_map, "Wall, mm", sheet_edge, top);
    map(s.cast_map, "Foot side against the cast, mm (into the foot: positive)", second_map_at, top);
    map(s.rigidity_map, "Bending rigidity of the wall over its base", sheet_edge, top + map_row);
}

/// The words beside the maps, from y down; the y below.
double draw_under_load(Page* page, const DesignSheet& s, double y) {
    y += 3.0;
    if (page != nullptr) page->write("Under load", {second_map_at, y}, sheet_type(2.8, true));
    y += 1.2;
    const auto words = [&](const std::string& text, const Page::Type& type) {
        for (const std::string& line : Page::lines_of(text, sheet_map_width, type)) {
            y += Page::leading(type);
            if (page != nullptr) page->write(line, {second_map_at, y}, type);
        }
        y += 1.0;
    };
    for (const std::string& text : s.flex) words(text, sheet_type(words_mm));
    words(
        "Maps are seen from above. Their colours are told apart without red and green; the scale of each "
        "stands beside it.",
        sheet_type(words_mm, false, sheet_soft));
    return y;
}

/// What page 1 does not hold, as one column that goes beside the maps.
Column rest_of(const Column& first, const Column& second, const std::array<std::size_t, 2>& told) {
    Column rest;
    rest.heading("From page 1, continued");
    const auto take = [&](const Column& column, std::size_t from) {
        for (std::size_t k = from; k < column.lines.size(); ++k)
            if (k > from || !column.lines[k].cells.empty()) rest.lines.push_back(column.lines[k]);
    };
    take(first, told[0]);
    take(second, told[1]);
    return rest;
}

}  // namespace

Outcome<std::string> design_sheet_pdf(const DesignSheet& s) {
    const double head = draw_sheet_head(nullptr, s, true);
    double width = 0.0, tall = 0.0;
    for (const SheetSection& section : s.sections) {
        width = std::max(width, section.box.w + 2.0);
        tall += section_height(section);
    }
    const double plan_width = sheet_width - 2.0 * sheet_edge - width - 4.0;
    if (plan_width < 36.0 || head + tall + least_words_room > sheet_foot)
        return Fault{FaultKind::output,
                     "sheet",
                     "The three sections at 1:1 are " + rounded(width, 0) + " mm wide and " +
                         rounded(tall, 0) +
                         " mm high in all: an A4 page does not hold them. Is the unit of "
                         "the cast right?",
                     {}};
    Column first = asked_and_built(s), second = answered_for(s);
    for (const auto& [name, texts] :
         {std::pair{"Alterations to the cast", &s.alterations}, std::pair{"The order's own words", &s.order}})
        (first.lines.size() <= second.lines.size() ? first : second).list(name, *texts);
    const double words_at = head + tall + 1.0, parts = plan_parts(s.plan, plan_width, tall);
    // which lines stand on which page: the page, then those after the maps
    struct Span {
        std::size_t from = 0, count = 0;
    };
    std::vector<std::array<Span, 2>> spans;
    std::array<std::size_t, 2> told{0, 0};
    const double more_at = draw_sheet_head(nullptr, s, false);
    const double beside_at = draw_under_load(nullptr, s, more_at + map_row) + 2.0;
    Column beside;  // the maps, where the rest has room there
    while (spans.empty() || told[0] < first.lines.size() || told[1] < second.lines.size()) {
        const double height = sheet_foot - (spans.empty() ? words_at + 3.5 : more_at);
        std::array<Span, 2> here;
        for (std::size_t k = 0; k < 2; ++k) {
            here[k] = {told[k], lines_that_fit(k == 0 ? first : second, told[k], height)};
            told[k] += here[k].count;
        }
        spans.push_back(here);
        if (spans.size() > 1 || (told[0] == first.lines.size() && told[1] == second.lines.size())) continue;
        Column rest = rest_of(first, second, told);
        if (lines_that_fit(rest, 0, sheet_foot - beside_at) < rest.lines.size()) continue;
        beside = std::move(rest);
        break;
    }
    const std::size_t pages = spans.size() + 1;
    const auto columns = [&](Page& page, const std::array<Span, 2>& here, double at) {
        write_lines(page, first, here[0].from, here[0].count, {sheet_edge, at});
        write_lines(page, second, here[1].from, here[1].count, {sheet_edge + column_width + column_gap, at});
    };
    std::vector<comparing::Draw> draws;
    draws.emplace_back([&](Page& page) {
        draw_sheet_head(&page, s, true);
        draw_sheet_plan(page, s, {sheet_edge, head, plan_width, tall}, parts);
        double y = head;
        for (const SheetSection& section : s.sections) {
            draw_sheet_section(page, s, section, sheet_width - sheet_edge - width, width, y);
            y += section_height(section);
        }
        columns(page, spans[0], words_at);
        if (spans.size() > 1 || !beside.lines.empty())
            page.write(
                std::string("The rest of the words stands on page ") + (spans.size() > 1 ? "3." : "2."),
                {sheet_width - sheet_edge, sheet_foot + 0.5}, sheet_type(words_mm, true), Align::right);
        draw_sheet_foot(page, s, 1, pages);
    });
    draws.emplace_back([&](Page& page) {
        const double at = draw_sheet_head(&page, s, false);
        draw_sheet_maps(page, s, at);
        draw_under_load(&page, s, at + map_row);
        write_lines(page, beside, 0, beside.lines.size(), {second_map_at, beside_at});
        draw_sheet_foot(page, s, 2, pages);
    });
    for (std::size_t k = 1; k < spans.size(); ++k)
        draws.emplace_back([&, k](Page& page) {
            draw_sheet_head(&page, s, false);
            columns(page, spans[k], more_at);
            draw_sheet_foot(page, s, k + 2, pages);
        });
    return comparing::pages_pdf(draws, sheet_width, sheet_height,
                                "Design sheet " + s.case_code + " " + word(s.side) + " " + s.revision);
}

}  // namespace archwright::exporters::papers
