#include "editor/view/block_page.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/picture/drafting.hpp"

namespace archwright::editor::view {

namespace {

using picture::Align;
using picture::Box;
using picture::Canvas;
using picture::Colour;

/// Linear between the nodes; the nearest node's beside the grid.
double height_at(const mill::HeightGrid& grid, const Vec2& p) {
    const double u = std::clamp((p.x() - grid.x0) / grid.step, 0.0, grid.nx - 1.0),
                 v = std::clamp((p.y() - grid.y0) / grid.step, 0.0, grid.ny - 1.0);
    const int i = std::min(static_cast<int>(u), grid.nx - 2), k = std::min(static_cast<int>(v), grid.ny - 2);
    const double a = u - i, b = v - k;
    return (1 - a) * (1 - b) * grid.at(i, k) + a * (1 - b) * grid.at(i + 1, k) +
           (1 - a) * b * grid.at(i, k + 1) + a * b * grid.at(i + 1, k + 1);
}

bool over_grid(const mill::HeightGrid& grid, const Vec2& p) {
    return p.x() >= grid.x0 && p.x() <= grid.x(grid.nx - 1) && p.y() >= grid.y0 &&
           p.y() <= grid.y(grid.ny - 1);
}

/// The face shaded from the upper left, the deeper the darker, with the overlay on it.
picture::Image face_of(const BlockFrame& frame, double device_scale, const Box& face,
                       const picture::Theme& theme, const model::Milled& milled, const BlockSetting& setting,
                       const mill::HeightGrid& stock) {
    const model::MilledSide& side = milled.sides[static_cast<std::size_t>(setting.side)];
    const mill::HeightGrid* over = setting.map == CutMap::stays  ? &side.stays
                                   : setting.map == CutMap::left ? &side.left
                                                                 : nullptr;
    const picture::MapScale scale = cut_scale(setting.map);
    const int w = static_cast<int>(std::lround(face.w * device_scale)),
              h = static_cast<int>(std::lround(face.h * device_scale));
    picture::Image image(std::max(w, 1), std::max(h, 1), theme.board);
    const double deep = milled.milling.nest.block.z(), d = stock.step;
    const Vec3 light = Vec3(1.0, 1.0, 1.6).normalized();
    constexpr double told_mm = mill::Reach::told_mm;
    for (int row = 0; row < image.height; ++row)
        for (int column = 0; column < image.width; ++column) {
            const Vec2 pixel(face.x + (column + 0.5) / device_scale, face.y + (row + 0.5) / device_scale);
            const Vec2 p = frame.place(pixel);
            const double z = height_at(stock, p);
            const Vec3 normal(height_at(stock, p - Vec2(d, 0)) - height_at(stock, p + Vec2(d, 0)),
                              height_at(stock, p - Vec2(0, d)) - height_at(stock, p + Vec2(0, d)), 2.0 * d);
            const double shade = std::clamp(normal.normalized().dot(light), 0.0, 1.0);
            Colour colour = theme.cast;
            if (over != nullptr && over_grid(*over, p)) {
                const double value = height_at(*over, p);
                if (value > told_mm) colour = scale.colour(value);
            }
            const double sink = std::clamp(-z / deep, 0.0, 1.0);
            const double lit = (0.42 + 0.68 * shade) * (1.0 - 0.30 * sink);
            image.at(column, row) =
                (lit < 1.0 ? picture::mix(Colour::hex(0x0E1418), colour, lit) : colour).packed();
        }
    return image;
}

std::vector<Vec2> on_page(const BlockFrame& frame, const mill::Loop& loop) {
    std::vector<Vec2> points;
    points.reserve(loop.size());
    for (const Vec2& p : loop) points.push_back(frame.at(p));
    return points;
}

void draw_tabs(Canvas& canvas, const BlockFrame& frame, const picture::Theme& theme, const mill::Nest& nest,
               int side) {
    for (const mill::Tab& tab : nest.tabs) {
        const Vec3 root = nest.in_set_up(side, tab.root);
        const Vec3 out3 = nest.turned(side, Vec3(tab.outward.x(), tab.outward.y(), 0.0));
        const Vec2 out = out3.head<2>().normalized(), across(-out.y(), out.x()), from = root.head<2>();
        const double half = 0.5 * tab.width_mm;
        const std::vector<Vec2> ring{frame.at(from - half * across), frame.at(from + half * across),
                                     frame.at(from + nest.channel_mm * out + half * across),
                                     frame.at(from + nest.channel_mm * out - half * across)};
        canvas.fill({ring}, theme.accent, 0.35);
        canvas.polyline(ring, true, {.colour = theme.accent, .width = 1.4});
    }
}

void draw_zero(Canvas& canvas, const BlockFrame& frame, const picture::Theme& theme, double room) {
    const Vec2 zero = frame.at(Vec2::Zero());
    constexpr double arm = 34.0, ring = 7.0;
    const Vec2 ends[] = {zero + Vec2(0, -arm), zero + Vec2(-arm, 0)};
    const char* names[] = {"X", "Y"};
    for (const bool core : {false, true}) {
        const picture::Pen pen{.colour = core ? Colour::hex(0xFFFFFF) : Colour::hex(0x10181E),
                               .width = core ? 1.6 : 3.8,
                               .alpha = core ? 1.0 : 0.85};
        canvas.circle(zero, ring, pen);
        for (const Vec2& end : ends) {
            canvas.line(zero, end, pen);
            const Vec2 back = (zero - end).normalized(), aside(-back.y(), back.x());
            canvas.polyline({end + 6 * back + 3.5 * aside, end, end + 6 * back - 3.5 * aside}, false, pen);
        }
    }
    for (int i = 0; i < 2; ++i) {
        const Vec2 at = ends[i] + (i == 0 ? Vec2(12, 2) : Vec2(0, -12));
        canvas.fill({at.x() - 8, at.y() - 9, 16, 18}, theme.board, 0.9, 3);
        canvas.write_middle(names[i], at, room,
                            {.size = picture::type::small,
                             .weight = picture::Weight::semibold,
                             .colour = theme.text,
                             .align = Align::centre});
    }
}

void plate_words(Canvas& canvas, const std::string& words, const Vec2& at, const picture::Theme& theme,
                 double room, Align align = Align::centre) {
    const picture::Type type{.size = picture::type::small, .colour = theme.text, .align = align};
    const double w = std::min(room, canvas.measure(words, type));
    const double x = align == Align::centre ? at.x() - 0.5 * w : align == Align::right ? at.x() - w : at.x();
    canvas.fill({x - 5, at.y() - 9, w + 10, 18}, theme.board, 0.9, 3);
    canvas.write_middle(words, at, room, type);
}

}  // namespace

CutMap cut_map(const std::string& word) {
    return word == "stays" ? CutMap::stays : word == "left" ? CutMap::left : CutMap::none;
}

BlockFrame block_frame(const Box& box, const Vec3& block) {
    constexpr double aside = 40.0, above = 44.0, below = 52.0;
    BlockFrame frame;
    frame.scale =
        std::max(0.2, std::min((box.w - 2 * aside) / block.y(), (box.h - above - below) / block.x()));
    frame.centre = {box.x + 0.5 * box.w, box.y + above + 0.5 * (box.h - above - below)};
    return frame;
}

picture::MapScale cut_scale(CutMap map) {
    return {
        &picture::ColourMap::utilisation(), 0.0, 1.0, 0.2, 1, map == CutMap::left ? "Left, mm" : "Stays, mm"};
}

void draw_block(Canvas& canvas, const Box& box, const picture::Theme& theme, const model::Milled& milled,
                const BlockSetting& setting, const mill::HeightGrid& stock) {
    const mill::Nest& nest = milled.milling.nest;
    const model::MilledSide& side = milled.sides[static_cast<std::size_t>(setting.side)];
    const BlockFrame frame = block_frame(box, nest.block);
    const Vec2 corner = frame.at(Vec2(0.5 * nest.block.x(), 0.5 * nest.block.y()));
    const Box face{corner.x(), corner.y(), frame.scale * nest.block.y(), frame.scale * nest.block.x()};
    canvas.place(face_of(frame, canvas.scale(), face, theme, milled, setting, stock), face);
    canvas.frame(face, {.colour = theme.ink, .width = 1.4});
    for (const mill::Loop& loop : side.channel)
        canvas.polyline(on_page(frame, loop), true,
                        {.colour = theme.ink, .width = 1.2, .alpha = 0.8, .dashes = {9, 5}});
    for (const mill::Loop& loop : side.outline) {
        canvas.polyline(on_page(frame, loop), true,
                        {.colour = Colour::hex(0x10181E), .width = 3.6, .alpha = 0.7});
        canvas.polyline(on_page(frame, loop), true, {.colour = Colour::hex(0xFFFFFF), .width = 1.6});
    }
    draw_tabs(canvas, frame, theme, nest, setting.side);
    // the line the block is turned about
    const bool about_x = nest.flip == mill::Flip::about_x;
    const double reach = 0.5 * (about_x ? nest.block.x() : nest.block.y()) + 10.0 / frame.scale;
    const Vec2 along = about_x ? Vec2(reach, 0) : Vec2(0, reach);
    canvas.line(frame.at(-along), frame.at(along),
                {.colour = theme.accent, .width = 1.4, .dashes = {12, 3, 2, 3}});
    if (milled.setting.pins) {
        for (const Vec2& pin : nest.pins) {
            const Vec2 at = frame.at(pin);
            canvas.disc(at, 4.0, theme.board);
            canvas.circle(at, 4.0, {.colour = theme.accent, .width = 1.6});
        }
    }
    // where what speaks against the programs is worst, and where most must stay
    const auto mark = [&](const Vec3& p, const Colour& colour) {
        const Vec2 at = frame.at(nest.in_set_up(setting.side, p).head<2>());
        canvas.circle(at, 9.0, {.colour = Colour::hex(0xFFFFFF), .width = 4.4, .alpha = 0.85});
        canvas.circle(at, 9.0, {.colour = colour, .width = 2.0});
    };
    namespace nc = exporters::nc;
    if (milled.milling.gouge_mm > nc::gouge_limit_mm) mark(milled.milling.gouge_where, theme.stop);
    if (milled.milling.left_mm > milled.setting.scallop_mm + nc::leftover_limit_mm)
        mark(milled.milling.left_where, theme.stop);
    for (const mill::Trouble& trouble :
         milled.milling.sides[static_cast<std::size_t>(setting.side)].simulated.troubles) {
        const Vec2 at = frame.at(trouble.where.head<2>());
        canvas.circle(at, 9.0, {.colour = Colour::hex(0xFFFFFF), .width = 4.4, .alpha = 0.85});
        canvas.circle(at, 9.0, {.colour = theme.stop, .width = 2.0});
    }
    if (setting.map == CutMap::stays && milled.milling.unreached_area_mm2 > 1.0)
        mark(milled.milling.unreached_where, theme.look);
    draw_zero(canvas, frame, theme, 40);
    if (side.play && side.play->moves() > 0 && setting.moves > 0 && setting.moves < side.play->moves()) {
        const model::Playback::Moment now = side.play->after(setting.moves);
        const double radius = side.play->operations()[now.operation].cutter.radius() * frame.scale;
        const Vec2 at = frame.at(now.tip.head<2>());
        for (const bool core : {false, true})
            canvas.circle(at, std::max(3.0, radius),
                          {.colour = core ? (now.rapid ? theme.look : theme.accent) : Colour::hex(0xFFFFFF),
                           .width = core ? 1.8 : 4.0,
                           .alpha = core ? 1.0 : 0.85});
        canvas.disc(at, 2.0, now.rapid ? theme.look : theme.accent);
    }
    // words
    const double middle = face.centre().x();
    const bool toes_up = nest.turned(setting.side, Vec3::UnitX()).x() > 0.0;
    plate_words(canvas, toes_up ? "toes" : "heel", {middle + 30, face.y + 13}, theme, 60, Align::left);
    plate_words(canvas, toes_up ? "heel" : "toes", {middle + 30, face.bottom() - 13}, theme, 60, Align::left);
    const auto mm = [](double value) { return rounded(value, 0); };
    plate_words(canvas,
                mm(nest.block.x()) + " \u00d7 " + mm(nest.block.y()) + " \u00d7 " + mm(nest.block.z()) +
                    " mm, zero in its middle",
                {box.x + 0.5 * box.w, box.y + 20}, theme, box.w - 24);
    plate_words(canvas,
                std::string("turned about ") + (about_x ? "X" : "Y") + ", found by its " +
                    (milled.setting.pins ? "pins" : "edges"),
                {box.x + 0.5 * box.w, face.bottom() + 19}, theme, box.w - 24);
    plate_words(canvas, "clamps outside the dashes, below Z " + mm(milled.clearance_mm) + " mm",
                {box.x + 0.5 * box.w, face.bottom() + 38}, theme, box.w - 24);
    picture::draw_side_letter(canvas, {box.x + 10, box.bottom() - 36}, theme, milled.side);
}

}  // namespace archwright::editor::view
