// Handles dragged by hand on a job of both feet: a left foot, and a right one to the same order.
#pragma once

#include <cmath>
#include <functional>
#include <string>

#include "editor/view/handle.hpp"
#include "tests/editor_ui/hand.hpp"
#include "tests/support/random_cases.hpp"

namespace archwright::tests {

/// A desk whose job has both feet, as a file that is saved.
struct Pair : Desk {
    Pair();
};

/// Drags in the plan, told in millimetres of it.
class Dragger {
  public:
    explicit Dragger(Hand& of) : hand(of) {}
    Hand& hand;

    /// Logical pixels of a place of the plan, read off the status line's figures.
    Vec2 pixel(const Vec2& plan);
    Vec2 handle(const std::string& part) const { return hand.middle("handle " + part); }
    /// From pixel to pixel (whole ones: the mouse has no others) in so many moves; `held` all the while.
    void pixels(const Vec2& from, const Vec2& to, int held = Hand::none, int moves = 4, bool release = true);
    /// An arrow, and the rest after which what it moved is a step.
    void arrow(ImGuiKey_ key, int held = Hand::none);
    /// A handle by so much of the plan; what it was in whole pixels, mm.
    Vec2 by(const std::string& part, const Vec2& mm, int held = Hand::none, bool release = true);

  private:
    double scale_ = 0;  ///< pixels a mm
    Vec2 ahead_ = Vec2::Zero(), aside_ = Vec2::Zero(), origin_ = Vec2::Zero();
    void learn();
};

/// Opens the job of both feet at one of them ("left", "right"), and lets it go after `act`.
void with_foot(const std::string& foot, const std::function<void(Hand&)>& act);
/// What was recorded gives the same job in a session of its own, and the same recording.
void done_again(const Hand& hand);

/// The job as its file would hold it.
inline std::string text_of(const editor::model::Session& session) {
    return design::write_job(session.job());
}

/// What `act` does is one step of undo: undone the job is as before, done again as after.
void one_step(Hand& hand, const std::function<void()>& act);

/// As dragged places and sizes are set, mm.
inline double tenth(double value) {
    return std::round(value * 10.0) / 10.0;
}
inline Vec2 tenths(const Vec2& place) {
    return {tenth(place.x()), tenth(place.y())};
}

}  // namespace archwright::tests
