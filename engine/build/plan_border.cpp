#include "engine/build/plan_border.hpp"

#include <algorithm>

namespace archwright::build {

std::vector<Vec2> trim_in_plan(const surface::SplineSurface& carpet, const surface::PeriodicCurve& trim) {
    constexpr int per_span = 8;
    std::vector<Vec2> line;
    const int count = static_cast<int>(trim.control.size()) * per_span;
    for (int k = 0; k < count; ++k)
        line.push_back(carpet.point(trim.point(static_cast<double>(k) / per_span)).head<2>());
    return line;
}

PlanBorder border_at(const std::vector<Vec2>& line, double x) {
    PlanBorder border{-1e300, 1e300};
    for (std::size_t i = 0; i < line.size(); ++i) {
        const Vec2 &a = line[i], &b = line[(i + 1) % line.size()];
        if (std::min(a.x(), b.x()) > x || std::max(a.x(), b.x()) < x || a.x() == b.x()) continue;
        const double y = a.y() + (b.y() - a.y()) * (x - a.x()) / (b.x() - a.x());
        border = {std::max(border.medial_y_mm, y), std::min(border.lateral_y_mm, y)};
    }
    return border;
}

PlanBox plan_box(const surface::SplineSurface& carpet, const surface::PeriodicCurve& trim) {
    /// Pieces along the device in each of which its borders are known.
    constexpr int border_pieces = 24;
    PlanBox box;
    const std::vector<Vec2> line = trim_in_plan(carpet, trim);
    for (const Vec2& p : line) {
        box.low = box.low.cwiseMin(p);
        box.high = box.high.cwiseMax(p);
    }
    box.device.rear_x_mm = box.low.x();
    box.device.distal_x_mm = box.high.x();
    for (int i = 0; i < border_pieces; ++i) {
        const PlanBorder border =
            border_at(line, box.low.x() + (box.high.x() - box.low.x()) * (i + 0.5) / border_pieces);
        box.device.medial_y_mm.push_back(border.medial_y_mm);
        box.device.lateral_y_mm.push_back(border.lateral_y_mm);
    }
    return box;
}

std::vector<Vec2> column_in_plan(const std::vector<Vec2>& line, const design::WallColumn& column,
                                 bool medial) {
    constexpr int pieces = 40;
    if (line.empty() || !(column.from < column.to)) return {};
    const auto by_x = [](const Vec2& a, const Vec2& b) { return a.x() < b.x(); };
    const auto [rear, distal] = std::minmax_element(line.begin(), line.end(), by_x);
    const double length = distal->x() - rear->x();
    std::vector<Vec2> outline, inner;
    for (int i = 0; i <= pieces; ++i) {
        const double along = column.from + (column.to - column.from) * i / pieces;
        const double x = rear->x() + length * std::clamp(along, 0.002, 0.998);  // the line has an x there
        const PlanBorder border = border_at(line, x);
        const double y = medial ? border.medial_y_mm : border.lateral_y_mm;
        outline.emplace_back(x, y);
        inner.emplace_back(x, medial ? y - column.width_mm : y + column.width_mm);
    }
    outline.insert(outline.end(), inner.rbegin(), inner.rend());
    return outline;
}

}  // namespace archwright::build
