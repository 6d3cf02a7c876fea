// What is kept of dragging between frames.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/ui/look.hpp"
#include "editor/view/handle.hpp"

namespace archwright::editor::ui {

struct HandleState {
    /// A handle in the hand.
    struct Grasp {
        std::string view;
        view::Handle handle;
        Vec2 pressed = Vec2::Zero();  ///< of the mouse, logical pixels
        Vec2 mouse = Vec2::Zero();    ///< where it was last
        Vec2 hand = Vec2::Zero();     ///< of the handle: the mouse, slower while Ctrl is held
        Vec2 reached = Vec2::Zero();  ///< the last pixel of it that was a place
        Vec3 from = Vec3::Zero();     ///< the place that pixel meant
        view::Drag good;              ///< the last that could be
        std::optional<view::Moved> moved;
        bool begun = false;   ///< its step is open
        std::string refused;  ///< why it does not follow the hand
        bool moving = false;  ///< the mouse went far enough to mean it
    };
    std::optional<Grasp> grasp;
    bool spent = false;     ///< the button is still down after Esc, or after a click that did its work
    std::string active;     ///< part of the selection that the arrows move
    view::Thing active_of;  ///< the selection it belongs to
    std::string told;       ///< for the status line, over what the commands of the frame answer
    bool told_fault = false;
    std::optional<Vec2> line_pressed;  ///< on a line that a drag makes a point of: where
    std::string made;                  ///< the point it made, for the hand to take
    std::optional<Vec2> pressed;       ///< on no handle: where, to tell a click from a drag

    Vec3 up = Vec3::UnitX(), right = Vec3::UnitY();  ///< of the page the mouse is over, for the arrows

    // of the graph of the wall's stations
    view::Handles stations;
    view::Handles section_line;
    std::map<std::string, std::pair<std::string, view::Handles>>
        of_section;                        ///< by its letter, with what they were made of
    double graph_low = 0, graph_high = 1;  ///< its range, mm

    /// What an order has drawn where the shell stops.
    struct Drawn {
        std::string name;
        std::vector<view::HandleCurve> curves;
    };
    std::vector<Drawn> order;
    std::string order_key;
    std::vector<Box> kept_off;  ///< of the plan's page: where handles lie, which names give way to

    // made once
    std::string key;
    view::Handles handles;
    std::shared_ptr<const view::Sole> sole;
};

/// What is kept of the brush between frames.
struct BrushState {
    double radius_mm = 10, wall_mm = 4, strength = 1;
    bool cuts = false;                     ///< it takes away (Alt: the other way)
    std::string view;                      ///< the stroke's
    std::vector<Vec2> path;                ///< of the stroke under the hand, plan; empty: none
    bool cuts_now = false;                 ///< as it began
    bool spent = false;                    ///< the button is still down after Esc
    std::size_t swept_places = 0;          ///< of the path, in `swept`
    std::vector<std::vector<Vec2>> swept;  ///< what the stroke covers
};

}  // namespace archwright::editor::ui
