// ImGui with a graphics device: the context, the fonts at their scale, and what a frame draws.
#pragma once

#include <memory>

#include "editor/ui/screen.hpp"
#include "editor/view/gl_device.hpp"

namespace archwright::editor::app {

/// One ImGui context; the graphics context that is current stays so.
class Painter {
  public:
    Painter();
    ~Painter();
    Painter(const Painter&) = delete;
    Painter& operator=(const Painter&) = delete;

    /// Fonts at this scale, and their texture. Fault (output): a font is missing, or the driver lacks
    /// something.
    Outcome<Done> set_scale(double scale, ui::Look& look);
    /// What ImGui::Render left, to the target that is bound.
    static void draw();

  private:
    bool started_ = false;
};

/// The screen without a window: frames are drawn into a target.
class Stage {
  public:
    Stage(view::GlDevice& device, model::Session& session, int width, int height, double scale);
    ~Stage();
    Stage(const Stage&) = delete;
    Stage& operator=(const Stage&) = delete;
    /// Fault (output): no fonts.
    Outcome<Done> start();

    /// One frame; its commands are done.
    std::vector<std::string> frame();
    /// Frames until nothing is under way and the screen shows all of it.
    void settle();
    std::vector<std::uint8_t> pixels();
    ui::Screen& screen() { return *screen_; }
    // what a hand would do, logical pixels
    void move(const Vec2& at);
    void press(int button, bool down);
    void wheel(double steps);
    void type(const char* text);
    /// A key pressed and let go, in two frames: a letter or figure by its character, others by ImGuiKey.
    struct Held {
        bool ctrl = false, shift = false, alt = false;
    };
    void key(int letter, Held held);
    void key(ImGuiKey_ key, Held held);

  private:
    view::GlDevice& device_;
    model::Session& session_;
    int width_, height_;
    double scale_;
    Painter painter_;
    std::unique_ptr<ui::Screen> screen_;
    view::Id target_ = 0;
};

}  // namespace archwright::editor::app
