// How the model is looked at: turned about its middle, moved and brought nearer by hand.
#pragma once

#include <string_view>

#include "editor/view/shown.hpp"
#include "engine/picture/camera.hpp"

namespace archwright::editor::view {

struct Eye {
    double turn_deg = 34;     ///< from straight medial towards the toes
    double lift_deg = 24;     ///< over the ground, -90 to 90
    double zoom = 1;          ///< 1: all of it fits
    Vec2 pan = Vec2::Zero();  ///< pixels

    /// Of "medial", "lateral", "behind", "above", "below"; others give the standard one.
    static Eye from(std::string_view word);
    /// Turned by a drag of the mouse, in pixels at scale 1.
    void drag(const Vec2& pixels);
    /// Nearer by a factor, with what is under the cursor held still.
    void nearer(double factor, const Vec2& cursor, const Vec2& size);
    bool operator==(const Eye&) const = default;
};

/// The camera for a picture of this size in pixels; what is `lifted` stands so much higher.
picture::Camera camera_of(const Eye& eye, const Shown& shown, const Vec2& size, double margin,
                          double lifted_mm);

}  // namespace archwright::editor::view
