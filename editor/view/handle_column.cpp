// The medial and lateral column of the wall, in plan: where each begins and ends, how broad it is.
#include <algorithm>
#include <cmath>

#include "editor/view/handle_values.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/base/text.hpp"
#include "engine/build/plan_border.hpp"

namespace archwright::editor::view {

namespace {

/// What is left of a column at least, as a share of the device's length.
constexpr double least_length = 0.02;

double hundredth(double share) {
    return neat(std::round(100.0 * share) / 100.0);
}

}  // namespace

Handles column_handles(const design::Wall& wall, const std::string& name,
                       const std::shared_ptr<const Sole>& sole) {
    Handles out;
    const bool medial = name == "medial";
    const design::WallColumn& column = medial ? wall.medial_column : wall.lateral_column;
    if (!column.on || sole->surfaced() == nullptr) return out;
    const build::Surfaced& surfaced = *sole->surfaced();
    const design::DevicePlan plan = build::plan_box(surfaced.carpet.surface, surfaced.trim.curve).device;
    HandleCurve strip;
    strip.closed = true;
    strip.points = build::column_in_plan(build::trim_in_plan(surfaced.carpet.surface, surfaced.trim.curve),
                                         column, medial);
    if (strip.points.size() < 4) return out;
    // the border from heel to toes, then the inner edge from toes to heel
    const std::vector<Vec2>& p = strip.points;
    const std::size_t half = p.size() / 2;
    const double length = plan.distal_x_mm - plan.rear_x_mm;
    const std::string path = "wall." + name + "_column.";
    const auto end = [&](const char* part, const char* key, const Vec2& at, double value, double low,
                         double high) {
        Handle h;
        h.part = part;
        h.glyph = Handle::Glyph::size;
        h.at = Vec3(at.x(), at.y(), 0.0);
        h.move = [=, line = path + key](const Drag& d) -> Outcome<Moved> {
            const double now = std::clamp(hundredth(value + (d.to.x() - d.from.x()) / length), low, high);
            return Moved{{set_line(line, now)}, rounded(now, 2) + ", was " + rounded(value, 2)};
        };
        out.list.push_back(std::move(h));
    };
    end("heel end", "from", 0.5 * (p.front() + p.back()), column.from, 0.0,
        std::max(0.0, hundredth(column.to - least_length)));
    end("toe end", "to", 0.5 * (p[half - 1] + p[half]), column.to,
        std::min(1.0, hundredth(column.from + least_length)), 1.0);
    const Vec2 inner = p[half + half / 2];
    Handle width;
    width.part = "width";
    width.glyph = Handle::Glyph::size;
    width.at = Vec3(inner.x(), inner.y(), 0.0);
    // inward is away from the border: lateral for the medial column
    width.move = [line = path + "width_mm", was = column.width_mm,
                  inward = medial ? -1.0 : 1.0](const Drag& d) -> Outcome<Moved> {
        const double now = size_of(was + inward * (d.to.y() - d.from.y()), d, line.c_str());
        return Moved{{set_line(line, now)}, size_words(now, was)};
    };
    out.list.push_back(std::move(width));
    out.curves.push_back(std::move(strip));
    return out;
}

}  // namespace archwright::editor::view
