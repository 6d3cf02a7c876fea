#include "editor/app/window.hpp"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <backends/imgui_impl_glfw.h>
#include <backends/imgui_impl_opengl3.h>

#include <cmath>
#include <iostream>

#include "editor/app/key_queue.hpp"
#include "editor/app/painter.hpp"
#include "editor/app/told_state.hpp"
#include "editor/model/script.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/file.hpp"

namespace archwright::editor::app {

namespace {

/// After something happened so many frames are drawn: ImGui needs them to come to rest.
constexpr int frames_after = 3;

struct Glfw {
    bool up = false;
    GLFWwindow* window = nullptr;
    ~Glfw() {
        if (window != nullptr) glfwDestroyWindow(window);
        if (up) glfwTerminate();
    }
};

/// What the window's own events leave for the loop.
struct Inbox {
    std::vector<std::string> dropped;
    int frames = frames_after;
    KeyQueue keys;
};

KeyQueue::Event key_event(int key, int scancode, int action, int mods) {
    KeyQueue::Event event;
    event.key = key;
    event.scancode = scancode;
    event.mods = mods;
    event.down = action == GLFW_PRESS;
    // what writes something, unless it is held for a command
    event.printable = key >= GLFW_KEY_SPACE && key <= GLFW_KEY_WORLD_2 &&
                      (mods & (GLFW_MOD_CONTROL | GLFW_MOD_ALT | GLFW_MOD_SUPER)) == 0;
    event.modifier = key >= GLFW_KEY_LEFT_SHIFT && key <= GLFW_KEY_RIGHT_SUPER;
    const bool moves = key >= GLFW_KEY_RIGHT && key <= GLFW_KEY_END;  // arrows, pages, start and end
    event.opens =
        event.down && !event.modifier && !moves && key != GLFW_KEY_BACKSPACE && key != GLFW_KEY_DELETE;
    return event;
}

Fault no_window(const std::string& what) {
    return {FaultKind::output,
            "screen",
            what + " Pictures of the screen need none: archwright-editor --no-window --picture OUT.png FILE.",
            {}};
}

}  // namespace

Outcome<Done> run_window(const Options& options, model::Setup setup) {
    Glfw glfw;
    glfwSetErrorCallback(nullptr);
    if (glfwInit() == GLFW_FALSE) return no_window("There is no display to open a window on.");
    glfw.up = true;
    setup.wake = [] { glfwPostEmptyEvent(); };
    model::Session session(std::move(setup));

    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
    // sizes are logical, here as for pictures; a screen may be smaller, then the window manager says
    const double asked_scale = options.scale > 0              ? options.scale
                               : session.settings().scale > 0 ? session.settings().scale
                                                              : 1.0;
    glfw.window = glfwCreateWindow(static_cast<int>(std::lround(options.width * asked_scale)),
                                   static_cast<int>(std::lround(options.height * asked_scale)), "Archwright",
                                   nullptr, nullptr);
    if (glfw.window == nullptr) return no_window("No window with OpenGL 3.3 could be opened.");
    GLFWwindow* window = glfw.window;
    glfwMakeContextCurrent(window);
    glfwSwapInterval(1);
    auto device = view::GlDevice::make(
        [](const char* name) { return reinterpret_cast<void*>(glfwGetProcAddress(name)); });
    if (!device) return device.fault();

    Inbox inbox;
    glfwSetWindowUserPointer(window, &inbox);
    glfwSetDropCallback(window, [](GLFWwindow* w, int count, const char** paths) {
        auto* box = static_cast<Inbox*>(glfwGetWindowUserPointer(w));
        for (int i = 0; i < count; ++i) box->dropped.emplace_back(paths[i]);
    });
    glfwSetWindowRefreshCallback(window, [](GLFWwindow* w) {
        static_cast<Inbox*>(glfwGetWindowUserPointer(w))->frames = frames_after;
    });

    // a press and its release are two frames, however late they come while others are drawn
    glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int, int, int) {
        auto* box = static_cast<Inbox*>(glfwGetWindowUserPointer(w));
        box->frames = frames_after;
        // what is typed right behind a click belongs to what the click opens: a press, its release, the box
        box->keys.wait(2 + KeyQueue::frames_to_open);
    });
    glfwSetCursorPosCallback(window, [](GLFWwindow* w, double, double) {
        static_cast<Inbox*>(glfwGetWindowUserPointer(w))->frames = frames_after;
    });
    glfwSetScrollCallback(window, [](GLFWwindow* w, double, double) {
        static_cast<Inbox*>(glfwGetWindowUserPointer(w))->frames = frames_after;
    });

    Painter painter;
    ui::Screen screen(session, **device, [] { glfwPostEmptyEvent(); });
    // after our own callbacks: ImGui keeps and calls those that stand already
    ImGui_ImplGlfw_InitForOpenGL(window, true);
    // ImGui's own for keys give way to the queue, which calls them in its time
    glfwSetKeyCallback(window, [](GLFWwindow* w, int key, int scancode, int action, int mods) {
        auto* box = static_cast<Inbox*>(glfwGetWindowUserPointer(w));
        if (action != GLFW_REPEAT)  // ImGui repeats by itself
            box->keys.put(key_event(key, scancode, action, mods));
    });
    glfwSetCharCallback(window, [](GLFWwindow* w, unsigned letter) {
        KeyQueue::Event event;
        event.text = true;
        event.letter = letter;
        static_cast<Inbox*>(glfwGetWindowUserPointer(w))->keys.put(event);
    });
    struct Ended {
        ~Ended() { ImGui_ImplGlfw_Shutdown(); }
    } ended;

    const auto scale_now = [&] {
        if (options.scale > 0) return options.scale;
        if (session.settings().scale > 0) return session.settings().scale;
        float x = 1, y = 1;
        glfwGetWindowContentScale(window, &x, &y);
        // in quarters: the sharpest of the fonts
        return std::clamp(std::round(4.0 * static_cast<double>(x)) / 4.0, model::least_scale,
                          model::most_scale);
    };
    // what is left of the window at a scale never falls below what the screen needs
    const auto fitting = [&](double wanted) {
        int w = 0, h = 0;
        glfwGetFramebufferSize(window, &w, &h);
        const double most = std::min(w / least_width, h / least_height);
        return most > 0
                   ? std::clamp(std::min(wanted, std::floor(4.0 * most) / 4.0), model::least_scale, wanted)
                   : wanted;
    };
    double scale = fitting(scale_now());
    const auto limit = [&] {
        glfwSetWindowSizeLimits(window, static_cast<int>(std::ceil(least_width * scale)),
                                static_cast<int>(std::ceil(least_height * scale)), GLFW_DONT_CARE,
                                GLFW_DONT_CARE);
    };
    limit();
    if (const auto set = painter.set_scale(scale, screen.look()); !set) return set.fault();

    if (!options.file.empty()) screen.run({ui::open_line(options.file)});
    if (!options.script.empty()) {
        const auto file = FileBytes::read(options.script, most_script_bytes);
        if (!file) return file.fault();
        const auto done = model::run_script(session, file->text(), options.script.string(),
                                            [](const std::string& told) { std::cout << told << std::endl; });
        if (!done) return done.fault();
    }

    std::string title, told_state;
    ToldPlaces told_places;
    for (;;) {
        if (glfwWindowShouldClose(window) != 0) {
            // unsaved work is kept beside (docs/script.md): nothing is lost by closing
            break;
        }
        const bool hidden = glfwGetWindowAttrib(window, GLFW_ICONIFIED) != 0;
        if ((inbox.frames > 0 || !inbox.keys.empty()) && !hidden)
            glfwPollEvents();
        else if (screen.restless() || (session.activity().busy && !hidden))
            glfwWaitEventsTimeout(0.1);
        else
            glfwWaitEvents();
        // whatever woke us may have changed something
        inbox.frames = inbox.frames > 0 ? inbox.frames - 1 : frames_after - 1;
        for (const std::string& path : std::exchange(inbox.dropped, {})) screen.open(path);
        if (const double wanted = fitting(scale_now()); std::abs(wanted - scale) > 1e-6) {
            scale = wanted;
            limit();
            if (const auto set = painter.set_scale(scale, screen.look()); !set) return set.fault();
        }
        const std::string now = session.has_job() ? (session.modified() ? "* " : "") +
                                                        session.job().case_code + " \u2013 Archwright"
                                                  : "Archwright";
        if (now != title) glfwSetWindowTitle(window, (title = now).c_str());

        int width = 0, height = 0;
        glfwGetFramebufferSize(window, &width, &height);
        if (width < 2 || height < 2) continue;
        if (screen.box_opens()) inbox.keys.wait(2);
        inbox.keys.play(ImGui::GetIO().WantTextInput, [&](const KeyQueue::Event& event) {
            inbox.frames = frames_after;
            if (event.text)
                ImGui_ImplGlfw_CharCallback(window, event.letter);
            else
                ImGui_ImplGlfw_KeyCallback(window, event.key, event.scancode,
                                           event.down ? GLFW_PRESS : GLFW_RELEASE, event.mods);
        });
        ImGui_ImplOpenGL3_NewFrame();
        ImGui_ImplGlfw_NewFrame();
        ImGui::GetIO().DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
        ImGui::GetIO().DisplayFramebufferScale = {1, 1};
        ImGui::NewFrame();
        const auto commands = screen.frame(width / scale, height / scale);
        ImGui::Render();
        (*device)->draw_to(0, width, height);
        Painter::draw();
        glfwSwapBuffers(window);
        if (!commands.empty()) {
            screen.run(commands);
            inbox.frames = frames_after;
        }
        if (options.tell) {
            for (const std::string& line : commands) std::cout << "did " << line << std::endl;
            for (const std::string& line : told_places.news(screen, scale)) std::cout << line << '\n';
            std::cout.flush();
            if (const std::string now_is = state_line(session, screen); now_is != told_state)
                std::cout << (told_state = now_is) << std::endl;
        }
        if (const std::string trouble = (*device)->trouble(); !trouble.empty())
            return Fault{FaultKind::output, "screen", trouble, {}};
    }
    return Done{};
}

}  // namespace archwright::editor::app
