// The brush: strokes in plan and model become curves with a value, a step of undo each.
#pragma once

#include "editor/ui/screen.hpp"
#include "editor/view/brush.hpp"

namespace archwright::editor::ui {

struct BrushTool {
    Screen& screen;
    BrushState& state;

    explicit BrushTool(Screen& of) : screen(of), state(of.state_.brush) {}

    /// What is painted in the stage that is shown; nothing where nothing is.
    std::optional<view::Paint> paints() const;
    /// Takes it in hand or lays it down; begins in Wall where the stage paints nothing.
    void toggle(bool cuts = false);
    bool in_hand() const { return screen.state_.tool == Tool::brush; }
    /// The mouse in a view; `place`: of the plan under it.
    void stroke(const std::string& view, const Screen::Hit& hit, const std::optional<Vec2>& place);
    /// Gives up the stroke; whether there was one.
    bool escape();
    /// The stroke and the brush itself, in a view that puts places of the plan on the screen so.
    void overlay(const Box& box, const std::optional<Vec2>& place,
                 const std::function<Vec2(const Vec2&)>& on_screen);
    /// Its radius by the wheel.
    void widen(double steps);
    double& value();
    /// What it does, for the head of the plan.
    std::string words() const;
    void tell(const std::string& words, bool fault);

  private:
    bool cuts() const;
};

}  // namespace archwright::editor::ui
