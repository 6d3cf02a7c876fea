#include "exporters/papers/set_up_sheet.hpp"

#include "engine/base/text.hpp"

namespace archwright::exporters::papers {

namespace {

using comparing::Page;
using picture::Box;
using picture::Colour;

constexpr double paper_width = 210.0, paper_height = 297.0, edge = 12.0;
constexpr double plan_height = 84.0, front_height = 30.0, bar_mm = 100.0, foot_mm = 14.0;
constexpr double largest_type = 3.1, least_type = 2.0, type_step = 0.1;
constexpr double contour_mm = 4.0, grid_mm = 1.0;

Colour ink() {
    return Colour::hex(0x1B242B);
}
Colour soft() {
    return Colour::hex(0x5A6670);
}
Colour pale() {
    return Colour::hex(0xB9C2C9);
}
Colour blue() {
    return Colour::hex(0x1F4E79);
}
Colour amber() {
    return Colour::hex(0x9A5B00);
}

/// From a set-up's plan to the page.
struct Plan {
    Vec2 middle;
    double scale = 1.0;
    Vec2 at(const Vec2& p) const { return middle + scale * Vec2(p.x(), -p.y()); }
};

void draw_loops(Page& page, const Plan& plan, const mill::Area& area, const Colour& colour, double width,
                bool dashed = false) {
    for (const mill::Loop& loop : area) {
        std::vector<Vec2> points;
        for (const Vec2& p : loop) points.push_back(plan.at(p));
        if (points.empty()) continue;
        points.push_back(Vec2(points.front()));
        if (!dashed) {
            page.polyline(points, colour, width);
            continue;
        }
        // dashes by length along the whole way
        constexpr double dash = 1.4, piece = 0.2;
        double gone = 0.0;
        for (std::size_t k = 1; k < points.size(); ++k) {
            const Vec2 way = points[k] - points[k - 1];
            const int pieces = std::max(1, static_cast<int>(std::ceil(way.norm() / piece)));
            for (int i = 0; i < pieces; ++i) {
                if (static_cast<long>(gone / dash) % 2 == 0)
                    page.line(points[k - 1] + way * i / pieces, points[k - 1] + way * (i + 1) / pieces,
                              colour, width);
                gone += way.norm() / pieces;
            }
        }
    }
}

void arrow(Page& page, const Vec2& from, const Vec2& to, const Colour& colour, const std::string& name) {
    page.line(from, to, colour, 0.35);
    const Vec2 along = (to - from).normalized(), across(-along.y(), along.x());
    for (const double hand : {-1.0, 1.0}) page.line(to, to - 2.0 * along + hand * 0.9 * across, colour, 0.35);
    page.write(name, to + 1.6 * along + Vec2(0.0, 1.0), {3.0, picture::Weight::semibold, colour},
               picture::Align::centre);
}

double plan_scale(const mill::Nest& nest) {
    return std::min((paper_width - 2.0 * edge - 22.0) / nest.block.x(), (plan_height - 8.0) / nest.block.y());
}

/// The block from above, as the spindle sees it.
void draw_plan(Page& page, const SetUp& s, const Box& box) {
    const mill::Nest& nest = *s.nest;
    const Plan plan{box.centre(), plan_scale(nest)};
    const Vec2 half(0.5 * nest.block.x(), 0.5 * nest.block.y());
    const Vec2 corner = plan.at(Vec2(-half.x(), half.y()));
    page.frame({corner.x(), corner.y(), plan.scale * nest.block.x(), plan.scale * nest.block.y()}, ink(),
               0.5);
    const mill::Area outline = nest.outline_in(s.side);
    draw_loops(page, plan, mill::grown(outline, nest.channel_mm), soft(), 0.2, true);
    // lines of equal height show which way the device lies
    const TriangleMesh keep = nest.keep(s.side);
    if (auto tops = mill::grid_over(keep.box(), 2.0 * grid_mm, grid_mm)) {
        mill::top_heights(*tops, keep);
        const Box3 of = keep.box();
        for (double z = of.low.z() + contour_mm; z < of.high.z(); z += contour_mm) {
            mill::HeightGrid level = *tops;
            for (double& h : level.z)
                if (h <= mill::no_height) h = of.low.z() - 1.0;
            // at or below the level within the outline: its border is the line of that height
            draw_loops(page, plan,
                       mill::common(mill::at_or_below(level, z), mill::grown(outline, -0.5 * grid_mm)),
                       pale(), 0.15);
        }
    }
    draw_loops(page, plan, outline, blue(), 0.5);
    for (const mill::Tab& tab : nest.tabs) {
        const Vec2 root = nest.in_set_up(s.side, tab.root).head<2>();
        const Vec2 out = nest.turned(s.side, Vec3(tab.outward.x(), tab.outward.y(), 0.0)).head<2>();
        const Vec2 across(-out.y(), out.x());
        for (const double hand : {-0.5, 0.5})
            page.line(plan.at(root + hand * tab.width_mm * across),
                      plan.at(root + nest.channel_mm * out + hand * tab.width_mm * across), amber(), 0.4);
    }
    if (!s.on_table) {
        const bool about_x = nest.flip == mill::Flip::about_x;
        const Vec2 way = about_x ? Vec2(half.x(), 0.0) : Vec2(0.0, half.y());
        page.line(plan.at(-way), plan.at(way), soft(), 0.25, true);
    }
    for (const Vec2& pin : nest.pins) {
        const Vec3 at = nest.in_set_up(s.side, Vec3(pin.x(), pin.y(), 0.0));
        page.mark(plan.at(at.head<2>()), 4, 3.0, ink());
    }
    const Vec2 zero = plan.at(Vec2::Zero());
    page.mark(zero, 4, 4.0, Colour::hex(0xA32020));
    arrow(page, zero, zero + Vec2(13.0, 0.0), Colour::hex(0xA32020), "X");
    arrow(page, zero, zero + Vec2(0.0, -13.0), Colour::hex(0xA32020), "Y");
    const double toes = nest.turned(s.side, Vec3::UnitX()).x() > 0.0 ? 1.0 : -1.0;
    const Page::Type small{2.8, picture::Weight::regular, soft()};
    for (const bool front : {true, false}) {
        const double side = (front ? toes : -toes);
        page.write(front ? "toes" : "heel", plan.at(Vec2(side * half.x(), 0.0)) + Vec2(side * 1.5, 1.0),
                   small, side > 0.0 ? picture::Align::left : picture::Align::right);
    }
    for (std::size_t k = 0; k < nest.devices.size() && k < s.sides.size(); ++k) {
        Box3 of;
        for (const Vec3& p : nest.devices[k].points) of.add(nest.in_set_up(s.side, p));
        page.write(
            s.sides[k] == Side::left ? "L" : "R",
            plan.at(Vec2(of.centre().x() - 0.3 * toes * of.size().x(), of.centre().y())) + Vec2(0.0, 2.5),
            {7.0, picture::Weight::semibold, blue()}, picture::Align::centre);
    }
}

/// The block from the front (from -y), with what stays of it.
void draw_front(Page& page, const SetUp& s, const Box& box) {
    const mill::Nest& nest = *s.nest;
    const double scale = std::min(plan_scale(nest), (box.h - 4.0) / nest.block.z());
    const Vec2 top(box.centre().x(), box.y + 2.0);
    page.frame(
        {top.x() - 0.5 * scale * nest.block.x(), top.y(), scale * nest.block.x(), scale * nest.block.z()},
        ink(), 0.4);
    const int columns = static_cast<int>(nest.block.x());
    std::vector<double> low(columns + 1, 1e300), high(columns + 1, -1e300);
    for (const TriangleMesh& device : nest.devices)
        for (const Vec3& point : device.points) {
            const Vec3 p = nest.in_set_up(s.side, point);
            const int k = static_cast<int>(std::lround(p.x() + 0.5 * nest.block.x()));
            if (k < 0 || k > columns) continue;
            low[static_cast<std::size_t>(k)] = std::min(low[static_cast<std::size_t>(k)], p.z());
            high[static_cast<std::size_t>(k)] = std::max(high[static_cast<std::size_t>(k)], p.z());
        }
    for (const auto* edge_of : {&low, &high}) {
        std::vector<Vec2> line;
        for (int k = 0; k <= columns; ++k)
            if (std::abs((*edge_of)[static_cast<std::size_t>(k)]) < 1e299)
                line.push_back(
                    top + scale * Vec2(k - 0.5 * nest.block.x(), -(*edge_of)[static_cast<std::size_t>(k)]));
        page.polyline(line, blue(), 0.35);
    }
    page.line(top + Vec2(-0.5 * scale * nest.block.x() - 4.0, scale * nest.block.z()),
              top + Vec2(0.5 * scale * nest.block.x() + 4.0, scale * nest.block.z()), soft(), 0.6);
    page.mark(top, 4, 3.0, Colour::hex(0xA32020));
    page.write("Z0", top + Vec2(2.5, -0.8), {2.6, picture::Weight::semibold, Colour::hex(0xA32020)});
}

/// Writes what comes, or only counts its height where there is no page.
struct Writer {
    Page* page = nullptr;
    double size = largest_type, y = 0.0;

    Page::Type type(picture::Weight weight = picture::Weight::regular, const Colour& colour = ink()) const {
        return {size, weight, colour};
    }
    void words(const std::string& text, double x, double width, const Page::Type& as) {
        for (const std::string& line : Page::lines_of(text, width, as)) {
            y += Page::leading(as);
            if (page != nullptr) page->write(line, {x, y}, as);
        }
    }
    void row(const std::string& label, const std::string& text) {
        const double label_width = 8.0 * size, begin = y;
        words(label, edge, label_width, type(picture::Weight::semibold));
        const double after = y;
        y = begin;
        words(text, edge + label_width, paper_width - 2.0 * edge - label_width, type());
        y = std::max(y, after) + 0.15 * size;
    }
    void heading(const std::string& text) {
        y += 0.5 * size;
        words(text, edge, paper_width - 2.0 * edge, type(picture::Weight::semibold, blue()));
        y += 0.2 * size;
    }
    void box(const std::string& text) {
        if (page != nullptr) page->frame({edge, y + 0.45 * size, 0.85 * size, 0.85 * size}, ink(), 0.25);
        words(text, edge + 1.6 * size, paper_width - 2.0 * edge - 1.6 * size, type());
    }
};

void write_words(Writer& w, const SetUp& s) {
    for (const auto& [label, text] : s.rows) w.row(label, text);
    w.heading("Cutters, in the order of the work");
    for (const SetUp::Tool& tool : s.tools)
        w.row("T" + std::to_string(tool.number), tool.work + ": " + tool.name + "; " + tool.speeds +
                                                     "; stands " + exact(tool.stick_out_mm) +
                                                     " mm out of its holder");
    if (!s.warnings.empty()) {
        w.heading("To look at");
        for (const std::string& warning : s.warnings) w.row("", warning);
    }
    w.heading("Before the start");
    for (const std::string& one : s.before) w.box(one);
    w.heading("After it");
    for (const std::string& one : s.after) w.box(one);
    w.heading("Cautions");
    for (const std::string& caution : s.cautions)
        w.words(caution, edge, paper_width - 2.0 * edge, w.type(picture::Weight::regular, amber()));
}

void draw_page(Page& page, const SetUp& s, double size, double words_at) {
    const double right = paper_width - edge;
    double x = right;
    for (std::size_t k = s.sides.size(); k-- > 0;) {
        page.frame({x - 13.0, edge - 2.0, 13.0, 13.0}, ink(), 0.6);
        page.write(s.sides[k] == Side::left ? "L" : "R", {x - 6.5, edge + 7.8},
                   {9.5, picture::Weight::semibold, ink()}, picture::Align::centre);
        x -= 15.0;
    }
    // in one line, or a line a device where one is too long
    std::vector<std::string> lines(1);
    for (std::size_t k = 0; k < s.names.size(); ++k)
        lines.front() += (k > 0 ? "; " : "") + s.names[k] + " " + word(s.sides[k]);
    Page::Type title{6.0, picture::Weight::semibold, ink()};
    const auto shrink = [&](double least) {
        for (const std::string& line : lines)
            while (title.size_mm > least && Page::measure(line, title) > x - edge - 2.0) title.size_mm -= 0.2;
    };
    shrink(4.0);
    if (s.names.size() > 1 && Page::measure(lines.front(), title) > x - edge - 2.0) {
        lines.clear();
        for (std::size_t k = 0; k < s.names.size(); ++k) lines.push_back(s.names[k] + " " + word(s.sides[k]));
    }
    shrink(2.0);
    for (std::size_t k = 0; k < lines.size(); ++k)
        page.write(lines[k], {edge, edge + (lines.size() > 1 ? 1.0 : 4.0) + 4.4 * static_cast<double>(k)},
                   title);
    page.write(s.what + ", set-up " + std::to_string(s.number) + " of " + std::to_string(s.of) + ": " + s.up,
               {edge, edge + 10.5}, {4.2, picture::Weight::regular, ink()});
    const double top = edge + 14.0;
    draw_plan(page, s, {edge, top, paper_width - 2.0 * edge, plan_height});
    draw_front(page, s, {edge, top + plan_height, paper_width - 2.0 * edge, front_height});
    page.write("From above: blue the device, dashed round it the channel" +
                   std::string(s.nest->tabs.empty() ? "" : ", amber tabs") +
                   std::string(s.nest->pins.empty() ? "" : ", rings pins") +
                   ", red the zero. Below: from the front. Not 1:1.",
               {edge, top + plan_height + front_height + 3.5}, {2.5, picture::Weight::regular, soft()});
    Writer writer{&page, size, words_at};
    write_words(writer, s);
    const double y = paper_height - 9.0;
    page.line({edge, y}, {edge + bar_mm, y}, ink(), 0.35);
    for (int k = 0; k <= 10; ++k)
        page.line({edge + 10.0 * k, y}, {edge + 10.0 * k, y - (k % 5 == 0 ? 3.0 : 1.8)}, ink(), 0.3);
    page.write("100 mm where the page is printed at its own size", {edge + bar_mm + 3.0, y},
               {2.5, picture::Weight::regular, soft()});
    page.write("Archwright", {right, y}, {2.5, picture::Weight::regular, soft()}, picture::Align::right);
}

}  // namespace

Outcome<std::string> set_up_sheet(const std::vector<SetUp>& set_ups, const std::string& title) {
    std::vector<comparing::Draw> pages;
    const double words_at = edge + 14.0 + plan_height + front_height + 4.5;
    for (const SetUp& one : set_ups) {
        double size = largest_type;
        for (; size > least_type - 1e-9; size -= type_step) {
            Writer trial{nullptr, size, words_at};
            write_words(trial, one);
            if (trial.y <= paper_height - foot_mm) break;
        }
        if (size < least_type - 1e-9)
            return Fault{
                FaultKind::output,
                "write",
                "The set-up sheet has more words than its page holds: shorten the notes of machine, block "
                "and cutting table.",
                {}};
        pages.emplace_back([&one, size, words_at](Page& page) { draw_page(page, one, size, words_at); });
    }
    return comparing::pages_pdf(pages, paper_width, paper_height, title);
}

}  // namespace archwright::exporters::papers
