#include "editor/app/offscreen.hpp"

// the surfaceless platform needs none of X11's types
#define EGL_NO_X11
#include <EGL/egl.h>
#include <EGL/eglext.h>

namespace archwright::editor::app {

namespace {

Fault none(const std::string& what) {
    return {FaultKind::output,
            "screen",
            "No graphics context could be made (" + what +
                "). Debian's packages libegl1 and libgl1-mesa-dri give one that needs no graphics card.",
            {}};
}

}  // namespace

void* Offscreen::find(const char* name) {
    return reinterpret_cast<void*>(eglGetProcAddress(name));
}

Outcome<std::unique_ptr<Offscreen>> Offscreen::make() {
    const auto display_of =
        reinterpret_cast<PFNEGLGETPLATFORMDISPLAYEXTPROC>(eglGetProcAddress("eglGetPlatformDisplayEXT"));
    if (display_of == nullptr) return none("EGL knows no platforms");
    std::unique_ptr<Offscreen> made(new Offscreen);
    EGLDisplay display = display_of(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr);
    if (display == EGL_NO_DISPLAY || eglInitialize(display, nullptr, nullptr) == EGL_FALSE)
        return none("EGL has no display without a surface");
    made->display_ = display;
    if (eglBindAPI(EGL_OPENGL_API) == EGL_FALSE) return none("EGL has no OpenGL");
    const EGLint asked[] = {EGL_SURFACE_TYPE, EGL_PBUFFER_BIT, EGL_RENDERABLE_TYPE, EGL_OPENGL_BIT, EGL_NONE};
    EGLConfig config = nullptr;
    EGLint found = 0;
    eglChooseConfig(display, asked, &config, 1, &found);
    const EGLint version[] = {EGL_CONTEXT_MAJOR_VERSION,
                              3,
                              EGL_CONTEXT_MINOR_VERSION,
                              3,
                              EGL_CONTEXT_OPENGL_PROFILE_MASK,
                              EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                              EGL_NONE};
    EGLContext context = eglCreateContext(display, found > 0 ? config : nullptr, EGL_NO_CONTEXT, version);
    if (context == EGL_NO_CONTEXT) return none("no OpenGL 3.3");
    made->context_ = context;
    if (eglMakeCurrent(display, EGL_NO_SURFACE, EGL_NO_SURFACE, context) == EGL_FALSE)
        return none("the context cannot be made current");
    auto device = view::GlDevice::make(&Offscreen::find);
    if (!device) return device.fault();
    made->device_ = std::move(*device);
    return made;
}

Offscreen::~Offscreen() {
    device_.reset();
    if (display_ == nullptr) return;
    eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
    if (context_ != nullptr) eglDestroyContext(display_, context_);
}

}  // namespace archwright::editor::app
