// What a person takes hold of in the views: where it stands, and the commands that a place it is brought to
// means. Nothing of the screen: from the order and the surface it lies on alone.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model/session.hpp"
#include "editor/view/sole.hpp"

namespace archwright::editor::view {

/// A thing of the order that has a place, by the words of the command "select".
using Thing = model::Selection;

/// From where to where a handle was brought; design frame, mm.
struct Drag {
    Vec3 from = Vec3::Zero(), to = Vec3::Zero();
    bool snap = false;              ///< sizes go to whole millimetres, angles to 5 degrees
    bool exact = false;             ///< `to` is meant to the last bit; else places are rounded to 0.1 mm
    std::optional<Vec3> in_scan{};  ///< `to` in the cast file, where it is a landmark or a mark
};

/// What it means now.
struct Moved {
    std::vector<std::string> commands;  ///< docs/script.md; all of them are one step
    std::string words;                  ///< for beside the cursor: "18.4 mm, was 18.0"
    std::string part{};                 ///< of the handle that stands there afterwards, where it is another
};

/// One handle. Its functions refer to the order as it was when it was made; they change nothing.
struct Handle {
    enum class Glyph {
        point,  ///< a place
        size,   ///< width, length, depth
        turn,   ///< on a stem from `at`, away from `stem`
        whole,  ///< the thing itself, taken anywhere
    };
    std::string part;  ///< "point 2", "width", "turn": unique within its thing
    Glyph glyph = Glyph::point;
    Vec3 at = Vec3::Zero();    ///< design frame
    Vec3 stem = Vec3::Zero();  ///< of Glyph::turn; of what is upright, where it stands on the surface
    bool on_cast = false;      ///< lies on the cast: it is dragged there, in plan and model
    /// Unit: it moves along this alone, square to the surface, and is taken in sections; zero: in plan.
    Vec3 upright = Vec3::Zero();
    bool snaps = true;       ///< a place that Shift brings to landmarks, marks and whole millimetres
    bool of_view = false;    ///< moves nothing of the order: no step of undo
    bool by_person = false;  ///< its commands take by=CODE
    std::string about{};     ///< where its place comes from, in words
    bool at_rest = false;    ///< its commands are given when it is let go, not while it moves
    /// Fault: it cannot come to lie there, with the reason.
    std::function<Outcome<Moved>(const Drag&)> move;
    /// Takes its point out; null where it is none. Fault: the last ones stay.
    std::function<Outcome<Moved>()> remove{};
};

/// A line of the thing in plan, as the order has it.
struct HandleCurve {
    std::vector<Vec2> points;
    bool closed = false;
    double half_mm = 0;  ///< of a line that has a breadth
    bool quiet = false;  ///< shown only while something of it is in the hand
};

/// Everything of one thing that can be taken hold of.
struct Handles {
    std::vector<Handle> list;
    std::optional<Handle> whole;
    std::vector<HandleCurve> curves;
    /// Puts a point on the curve where a place of the plan lies next to it; null where it has none.
    std::function<Outcome<Moved>(const Vec2&)> add{};
    /// Gives a line its sizes there as a station of their own; null where it has none.
    std::function<Outcome<Moved>(const Vec2&)> add_size{};
    bool drawn_out = false;  ///< a drag of the curve where it has no point makes one there

    bool empty() const { return list.empty() && !whole; }
    const Handle* find(const std::string& part) const;
};

/// The handles of a thing of this foot; none of a thing that has no place. `sole` is kept by them.
Handles handles_of(const design::FootDesign& foot, const Thing& thing,
                   const std::shared_ptr<const Sole>& sole);

/// What a press in the plan may mean.
struct Pickable {
    bool features = false, regions = false, marks = false, landmarks = false, zones = false, posts = false;
};
/// The thing whose curve lies within `reach` mm of a place of the plan (landmarks: half as much again), the
/// nearest; else the smallest that holds the place.
std::optional<Thing> thing_at(const design::FootDesign& foot, const Pickable& which, const Vec2& plan,
                              double reach, const std::shared_ptr<const Sole>& sole);

}  // namespace archwright::editor::view
