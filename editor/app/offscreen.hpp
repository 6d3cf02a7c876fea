// A graphics context without a window, for pictures and tests: EGL's surfaceless platform, drawn by Mesa.
#pragma once

#include <memory>

#include "editor/view/gl_device.hpp"
#include "engine/base/outcome.hpp"

namespace archwright::editor::app {

class Offscreen {
  public:
    /// Makes a context of OpenGL 3.3 and makes it current. Fault (output): the driver has none.
    static Outcome<std::unique_ptr<Offscreen>> make();
    ~Offscreen();
    Offscreen(const Offscreen&) = delete;
    Offscreen& operator=(const Offscreen&) = delete;

    view::GlDevice& device() { return *device_; }
    /// How the context's functions are found.
    static void* find(const char* name);

  private:
    Offscreen() = default;

    void* display_ = nullptr;
    void* context_ = nullptr;
    std::unique_ptr<view::GlDevice> device_;
};

}  // namespace archwright::editor::app
