#include "exporters/mould_told.hpp"

#include "engine/base/text.hpp"
#include "engine/foot/frame.hpp"
#include "engine/picture/drafting.hpp"
#include "engine/picture/sheet.hpp"
#include "exporters/deliver.hpp"

namespace archwright::exporters {

namespace {

using MouldJson = nlohmann::ordered_json;

constexpr int map_width = 1100, map_bar = 56, map_edge = 40, map_legend = 170;

MouldJson place_json(const Vec3& p) {
    return MouldJson::array({p.x(), p.y(), p.z()});
}

/// One triangle of the map: every pixel whose middle lies in it, coloured between its corners.
void paint(picture::Image& image, const std::array<Vec2, 3>& p, const std::array<double, 3>& value,
           const picture::MapScale& scale) {
    const double area = (p[1] - p[0]).x() * (p[2] - p[0]).y() - (p[1] - p[0]).y() * (p[2] - p[0]).x();
    if (std::abs(area) < 1e-12) return;
    const auto bound = [](double a, double b, double c, bool low) {
        return static_cast<int>(low ? std::floor(std::min({a, b, c})) : std::ceil(std::max({a, b, c})));
    };
    const int x0 = std::max(0, bound(p[0].x(), p[1].x(), p[2].x(), true));
    const int x1 = std::min(image.width - 1, bound(p[0].x(), p[1].x(), p[2].x(), false));
    const int y0 = std::max(0, bound(p[0].y(), p[1].y(), p[2].y(), true));
    const int y1 = std::min(image.height - 1, bound(p[0].y(), p[1].y(), p[2].y(), false));
    for (int y = y0; y <= y1; ++y)
        for (int x = x0; x <= x1; ++x) {
            const Vec2 q(x + 0.5, y + 0.5);
            std::array<double, 3> w{};
            bool inside = true;
            for (std::size_t k = 0; k < 3; ++k) {
                const Vec2 &a = p[(k + 1) % 3], &b = p[(k + 2) % 3];
                w[k] = ((b - a).x() * (q - a).y() - (b - a).y() * (q - a).x()) / area;
                inside = inside && w[k] >= -1e-9;
            }
            if (inside)
                image.at(x, y) = scale.colour(w[0] * value[0] + w[1] * value[1] + w[2] * value[2]).packed();
        }
}

}  // namespace

const char* const forming_caution =
    "Forming is hot work, and cut plastic has sharp edges: follow the rules of the sheet's and the oven's "
    "makers. A mould knows a shape; it knows no temperature, no hold of the vacuum, no cooling. Form a trial "
    "and measure it before a device is made.";

std::vector<std::string> mould_lines(const build::Device& device, const mould::DeviceMould& made) {
    const mould::Mould& m = made.mould;
    const Vec3 size = m.mesh.box().size();
    std::vector<std::string> lines{
        file_stem(device) + ", positive mould for a sheet of " + rounded(made.sheet_mm, 2) + " mm",
        "  " + rounded(size.x(), 1) + " x " + rounded(size.y(), 1) + " x " + rounded(size.z(), 1) +
            " mm; margin " + exact(made.setting.margin_mm) + " mm beyond the trim line, draft " +
            exact(made.setting.draft_deg) + " degrees, base " + exact(made.setting.base_mm) +
            " mm; trim line scribed " + exact(made.setting.scribe_width_mm) + " wide, " +
            exact(made.setting.scribe_depth_mm) + " mm deep",
        "  Made larger for a shrinkage of " + exact(made.setting.shrinkage_percent) + " %" +
            (made.setting.shrinkage_percent == 0.0 ? std::string(" (none entered)") : std::string()) + ". " +
            mould::shrinkage_words};
    std::string marks;
    for (const std::string& mark : m.marked) marks += (marks.empty() ? "" : ", ") + mark;
    lines.push_back("  Ribs on the wall: " + (marks.empty() ? std::string("none") : marks) +
                    (m.text.empty() ? std::string() : "; in the base: " + m.text));
    if (m.bridged > 0)
        lines.push_back("  " + std::to_string(m.bridged) + (m.bridged == 1 ? " hollow" : " hollows") +
                        " of the trim line filled across; the scribed line follows the trim all the same");
    for (const Check& check : made.checks)
        lines.push_back(std::string("  [") + word(check.verdict) + "] " + check.title + " (" + check.id +
                        "): " + check.message);
    lines.push_back(std::string("  ") + forming_caution);
    return lines;
}

nlohmann::ordered_json mould_json(const build::Device& device, const mould::DeviceMould& made) {
    const mould::Mould& m = made.mould;
    MouldJson checks = MouldJson::array();
    for (const Check& check : made.checks) {
        MouldJson one{{"id", check.id},
                      {"title", check.title},
                      {"verdict", word(check.verdict)},
                      {"message", check.message}};
        if (check.figure) one["figure"] = *check.figure;
        if (check.limit) one["limit"] = *check.limit;
        if (check.where) one["where_mm"] = place_json(*check.where);
        checks.push_back(std::move(one));
    }
    return {
        {"name", file_stem(device)},
        {"side", word(device.side)},
        {"size_mm", place_json(m.mesh.box().size())},
        {"sheet_mm", made.sheet_mm},
        {"margin_mm", made.setting.margin_mm},
        {"draft_deg", made.setting.draft_deg},
        {"least_draft_deg", m.least_draft_deg},
        {"base_mm", made.setting.base_mm},
        {"scribed", {{"width_mm", made.setting.scribe_width_mm}, {"depth_mm", made.setting.scribe_depth_mm}}},
        {"shrinkage_percent", made.setting.shrinkage_percent},
        {"shrinkage_note", mould::shrinkage_words},
        {"marks", m.marked},
        {"letters", m.text},
        {"hollows_bridged", m.bridged},
        {"undercut_mm2", m.undercut_mm2},
        {"wall_asked_mm", {{"least", made.least_asked_mm}, {"greatest", made.most_asked_mm}}},
        {"thinning",
         {{"estimate", true},
          {"disc_radius_mm", mould::thinning_radius_mm},
          {"least_mm", made.thinning.least_mm},
          {"least_at_mm", place_json(m.in_design(made.thinning.least_where))},
          {"mean_mm", made.thinning.mean_mm},
          {"foot_side_mm2", made.thinning.area_mm2},
          {"shadow_mm2", made.thinning.plan_mm2}}},
        {"checks", checks},
        {"caution", forming_caution}};
}

TriangleMesh mould_to_export(const mould::DeviceMould& made, Side side) {
    return foot::to_export(made.mould.mesh, side);
}

Outcome<picture::Image> thinning_map(const build::Device& device, const mould::DeviceMould& made) {
    if (!picture::Canvas::has_font())
        return Fault{FaultKind::output,
                     "picture",
                     "There is no font to write with: install the package fonts-inter or fonts-dejavu-core.",
                     {}};
    const TriangleMesh mesh = mould_to_export(made, device.side);
    const Vec3 low = mesh.box().low, size = mesh.box().size();
    const double pixels = (map_width - 2 * map_edge - map_legend) / size.x();
    const int height = map_bar + 2 * map_edge + static_cast<int>(std::ceil(pixels * size.y())) + 60;
    const picture::Theme& theme = picture::theme(false);
    picture::Canvas canvas(map_width, height, 1.0, theme.board);
    picture::draw_title_bar(canvas, {0, 0, map_width, map_bar}, theme, device.side,
                            device.case_code + " " + device.revision, "Formed sheet, estimated thickness");
    const picture::MapScale scale =
        picture::round_scale(picture::ColourMap::wall(), made.thinning.least_mm, made.sheet_mm, "Sheet, mm");
    picture::Image map(static_cast<int>(std::ceil(pixels * size.x())) + 1,
                       static_cast<int>(std::ceil(pixels * size.y())) + 1, theme.board);
    const auto plan = [&](std::int32_t k) {
        const Vec3& p = mesh.points[static_cast<std::size_t>(k)];
        return Vec2(pixels * (p.x() - low.x()), pixels * (low.y() + size.y() - p.y()));
    };
    const auto value = [&](std::int32_t k) {
        return made.thinning.thickness_mm[static_cast<std::size_t>(k)];
    };
    for (std::size_t t = 0; t < made.mould.top_end; ++t) {
        const Triangle& c = mesh.triangles[t];
        paint(map, {plan(c[0]), plan(c[1]), plan(c[2])}, {value(c[0]), value(c[1]), value(c[2])}, scale);
    }
    const picture::Box box{map_edge, map_bar + map_edge, static_cast<double>(map.width),
                           static_cast<double>(map.height)};
    canvas.place(map, box);
    std::vector<Vec2> line;
    for (const Vec3& p : made.mould.trim) {
        const Vec3 out = device.side == Side::left ? Vec3(p.x(), -p.y(), p.z()) : p;
        line.push_back(Vec2(box.x, box.y) +
                       Vec2(pixels * (out.x() - low.x()), pixels * (low.y() + size.y() - out.y())));
    }
    canvas.polyline(line, true, {theme.ink, 1.4});
    picture::draw_legend(canvas, {map_width - map_edge - 0.6 * map_legend, box.y + 30.0},
                         std::min(260.0, box.h - 60.0), theme, scale);
    canvas.write("Seen from the sole, as the mould stands on the table; line: trim. Least " +
                     rounded(made.thinning.least_mm, 2) + ", mean " + rounded(made.thinning.mean_mm, 2) +
                     " mm. An estimate: volume kept, no temperature, no friction.",
                 {map_edge, height - 24.0}, map_width - 2.0 * map_edge,
                 {picture::type::body, picture::Weight::regular, theme.ink, picture::Align::left});
    return canvas.take();
}

}  // namespace archwright::exporters
