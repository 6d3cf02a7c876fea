// The wall along the device as a small graph: stations are dragged, added, taken out.
#include <algorithm>
#include <cmath>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/panel.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/design/wall_map.hpp"

namespace archwright::editor::ui {

void Panel::wall_graph() {
    const design::Wall& wall = foot().wall;
    HandleState& state_of = screen.state_.handles;
    head("Wall along the device", wall.stations.empty() ? "the base everywhere" : "");
    const Box box{area.x + 26, y + 4, area.w - 34, 92};
    // a range with room above and below; it stays while a station is in the hand
    if (!state_of.grasp || state_of.grasp->view != graph_view) {
        double low = wall.base_mm, high = wall.base_mm;
        for (std::size_t i = 0; i < wall.stations.size(); ++i) {
            if (i == 0) low = high = wall.stations[i].wall_mm;
            low = std::min(low, wall.stations[i].wall_mm);
            high = std::max(high, wall.stations[i].wall_mm);
        }
        state_of.graph_low = std::max(0.0, std::floor(low - 1.0));
        state_of.graph_high = std::ceil(high + 1.0);
    }
    const double low = state_of.graph_low, high = state_of.graph_high;
    look.fill(box, look.field());
    const auto height = [&](double mm) { return box.bottom() - box.h * (mm - low) / (high - low); };
    for (double mm = low; mm <= high + 0.5; mm += std::max(1.0, std::round((high - low) / 4.0))) {
        look.rule_across(box.x, box.right(), height(mm), t.grid_50);
        look.text(figure(mm, 0), {box.x - 6, height(mm)}, 20, Face::small, t.faint, Align::right);
    }
    look.frame(box, t.frame);

    state_of.stations = view::station_handles(wall);
    HandlePane pane;
    pane.name = graph_view;
    pane.box = box;
    pane.own = &state_of.stations;
    pane.title = "Wall along the device";
    pane.on_screen = [&](const Vec3& p) { return Vec2(box.x + box.w * p.x(), height(p.y())); };
    pane.place = [&](const Vec2& pixel, const view::Handle&, const Vec3&) -> std::optional<Vec3> {
        return Vec3((pixel.x() - box.x) / box.w, low + (box.bottom() - pixel.y()) / box.h * (high - low),
                    0.0);
    };
    const Screen::Hit hit = screen.hit("wall graph", box);
    HandleTool tool(screen);
    tool.drag(pane, hit);
    // as the shell has it: level beyond the ends, a smooth curve between
    std::vector<Vec2> line;
    if (wall.stations.empty()) {
        line = {{box.x, height(wall.base_mm)}, {box.right(), height(wall.base_mm)}};
    } else {
        const design::WallMap map({wall.base_mm, wall.stations, {}}, {0.0, 1.0});
        constexpr int pieces = 60;
        for (int i = 0; i <= pieces; ++i) {
            const double along = static_cast<double>(i) / pieces;
            line.emplace_back(box.x + box.w * along, height(map.at(along, 0.0)));
        }
    }
    look.clip(box);
    look.polyline(line, false, wall.stations.empty() ? t.soft : t.accent, 1.6);
    tool.overlay(pane);
    look.unclip();
    y = box.bottom() + 6;
    look.text("heel", {box.x, y + 8}, 60, Face::small, t.faint);
    look.text("distal edge", {box.right(), y + 8}, 100, Face::small, t.faint, Align::right);
    y += 22;
    words("Ctrl and a click adds a station, Alt and a click takes one out.", 0, 3, true);
}

}  // namespace archwright::editor::ui
