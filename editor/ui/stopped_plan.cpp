// Where the shell stops, the reliefs, pads and apertures of the order that stopped it: what is drawn of a
// device is the last that was sound, and the offender is not among its outlines.
#include <algorithm>

#include "editor/ui/handle_tool.hpp"
#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_feature.hpp"

namespace archwright::editor::ui {

const std::vector<HandleState::Drawn>& HandleTool::order_where_it_stops() {
    const model::FootView view = screen.foot_view();
    const bool stopped = !view.stale && view.latest && view.latest->fault && screen.foot() != nullptr;
    if (!stopped || !screen.shown_ || screen.shown_ != screen.latest_) {
        state.order_key.clear();
        state.order.clear();
        return state.order;
    }
    const std::string key = std::to_string(screen.session_.edition()) + " " +
                            std::to_string(screen.shown_->number()) + " " + word(screen.session_.foot());
    if (key == state.order_key) return state.order;
    state.order_key = key;
    state.order.clear();
    for (const feature::Feature& one : screen.foot()->features) {
        if (!one.on) continue;
        const view::Handles handles = view::feature_handles(*screen.foot(), one, sole());
        HandleState::Drawn drawn{one.name, {}};
        for (const view::HandleCurve& curve : handles.curves)
            if (curve.points.size() > 1) drawn.curves.push_back(curve);
        if (!drawn.curves.empty()) state.order.push_back(std::move(drawn));
    }
    return state.order;
}

std::string HandleTool::nearest_of_order(const Vec2& place) {
    // only where the shell is rolled can a relief be the reason; a cast that ends too early is not its doing
    const model::FootView view = screen.foot_view();
    if (!view.latest || !view.latest->fault) return {};
    const std::string stage = stage_of(view.latest->fault->stage);
    if (stage != "reliefs" && stage != "wall") return {};
    std::string name;
    double least = near_stop_mm;
    for (const HandleState::Drawn& one : order_where_it_stops())
        for (const view::HandleCurve& curve : one.curves) {
            const bool inside = curve.closed && view::holds(curve, place);
            const double away =
                inside ? 0.0 : std::max(0.0, view::nearest_on(curve, place).distance - curve.half_mm);
            if (away >= least) continue;
            least = away;
            name = one.name;
        }
    return name;
}

void HandleTool::draw_order_where_it_stops(const std::function<Vec2(const Vec2&)>& on_screen) {
    const auto& order = order_where_it_stops();
    if (order.empty()) return;
    Look& look = screen.look_;
    const model::FootView view = screen.foot_view();
    const std::optional<Vec3>& where = view.latest->fault->where;
    const std::string offender = where ? nearest_of_order(where->head<2>()) : std::string();
    const Colour casing = look.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF);
    for (const HandleState::Drawn& one : order) {
        const bool stops = one.name == offender;
        const Colour& ink = stops ? look.theme().stop : look.theme().soft;
        for (const view::HandleCurve& curve : one.curves) {
            std::vector<Vec2> line;
            for (const Vec2& p : curve.points) line.push_back(on_screen(p));
            look.polyline(line, curve.closed, casing, 3.6, 0.85);
            look.dashed(line, curve.closed, ink, stops ? 2.0 : 1.4, {6, 3});
        }
        if (!stops) continue;
        Vec2 top = on_screen(one.curves.front().points.front());
        for (const Vec2& p : one.curves.front().points)
            if (const Vec2 at = on_screen(p); at.y() < top.y()) top = at;
        const double wide = look.measure(one.name, Face::small_strong);
        look.fill({top.x() - 0.5 * wide - 5, top.y() - 22, wide + 10, 17}, look.theme().board, 3, 0.9);
        look.text(one.name, top - Vec2(0, 13), wide + 1, Face::small_strong, look.theme().stop,
                  Align::centre);
    }
}

}  // namespace archwright::editor::ui
