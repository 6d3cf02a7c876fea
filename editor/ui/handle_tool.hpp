// What is dragged in the views: one machine for every handle of every view. A press takes hold, a move says
// commands within one open step, the release ends it; Esc gives it up.
#pragma once

#include "editor/ui/screen.hpp"
#include "editor/view/handle.hpp"

namespace archwright::editor::ui {

/// So near to a handle a press takes it, logical pixels.
inline constexpr double handle_radius = 8;
/// Of what lies further from where the shell stops nobody can say that it is the reason.
inline constexpr double near_stop_mm = 15;
/// Name of the graph of the wall's stations among the views.
inline constexpr const char* graph_view = "stations";

/// One view as handles see it; places in logical pixels of the screen.
struct HandlePane {
    std::string name;  ///< "plan", "model", or the letter of a section
    Box box;
    double pixels_per_mm = 1;
    std::function<bool(const view::Handle&)> shows{};  ///< null: all of them
    bool cast_only = false;                            ///< shows and takes what lies on the cast alone
    Vec3 up = Vec3::UnitX(), right = Vec3::UnitY();    ///< of the page, design frame
    const view::Handles* own = nullptr;                ///< its handles; null: those of the selection
    std::string title{};                               ///< of its steps, where it has handles of its own
    bool named = false;                                ///< its own handles are told by its name
    std::function<Vec2(const Vec3&)> on_screen;
    /// The place a pixel means for a handle that was at `near`; nothing where there is none.
    std::function<std::optional<Vec3>(const Vec2& pixel, const view::Handle&, const Vec3& near)> place;
    std::function<bool(const Vec3&)> visible{};  ///< nothing stands before it; null: always
    /// Draws what lies round a place so many times as large into a box; null: none.
    std::function<void(const Box&, const Vec3&, double times)> lens{};
};

struct HandleTool {
    Screen& screen;
    HandleState& state;

    explicit HandleTool(Screen& of) : screen(of), state(of.state_.handles) {}

    /// The mouse in a view: whether it is at a handle, so that the view does nothing of its own.
    bool drag(const HandlePane& pane, const Screen::Hit& hit);
    /// Selects what was clicked in plan or model, when nothing was dragged.
    void click(const HandlePane& pane, const Screen::Hit& hit);
    void overlay(const HandlePane& pane);
    /// Gives up what is dragged; whether anything was.
    bool escape();
    /// The arrows move the selected thing or its point.
    void keys();
    /// As a drag that ends there: a place of the plan, exactly.
    void bring_to(const view::Handle& handle, const Vec2& plan);
    void tell(const std::string& words, bool fault);
    /// The ends of the line of the drawn section that is shown.
    const view::Handles& section_line();
    /// What stands in a section alone, of the selection; null where nothing does.
    const view::Handles* of_section(const picture::SectionCut& cut);
    /// Reliefs, pads and apertures of the order while it stops the shell; none while it does not.
    const std::vector<HandleState::Drawn>& order_where_it_stops();
    /// The one of them that lies nearest to a place of the plan; empty: none near it.
    std::string nearest_of_order(const Vec2& place);
    void draw_order_where_it_stops(const std::function<Vec2(const Vec2&)>& on_screen);
    /// Made once for an order and what is shown.
    const view::Handles& handles();
    const std::shared_ptr<const view::Sole>& sole();
    const view::Handles& handles(const HandlePane& pane) {
        return pane.own != nullptr ? *pane.own : handles();
    }

  private:
    Vec2 glyph_at(const HandlePane& pane, const view::Handle& handle) const;
    const view::Handle* nearest(const HandlePane& pane, const Vec2& pixel);
    bool whole_at(const HandlePane& pane, const Vec2& pixel);
    void take(const HandlePane& pane, const view::Handle& handle);
    bool draw_out(const HandlePane& pane, const Screen::Hit& hit);
    void follow(const HandlePane& pane);
    bool bring(const HandlePane& pane, const view::Drag& drag);
    void let_go(const HandlePane& pane);
    std::string warning(const HandlePane& pane);
    std::vector<std::string> words(const HandlePane& pane);
    void magnify(const HandlePane& pane);
    bool has_person();
    void say_one(const std::string& line);
    void say_all(const view::Moved& moved, const std::string& label);
    void refuse(const std::string& why);
    view::Handles cover_edge(const std::string& name) const;
    std::string label(const HandlePane& pane) const;
};

}  // namespace archwright::editor::ui
