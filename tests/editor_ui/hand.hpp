// A person at a screen that is not there: mouse and keys on the whole screen over a device that only counts.
#pragma once

#include <imgui.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "editor/model/session_commands.hpp"
#include "editor/ui/keys.hpp"
#include "editor/ui/screen.hpp"
#include "editor/view/null_device.hpp"
#include "tests/editor_model/desk.hpp"

namespace archwright::tests {

class Hand {
  public:
    explicit Hand(editor::model::Setup setup, double width = 1600, double height = 1000, double scale = 1)
        : session(std::move(setup)), width_(width), height_(height), scale_(scale) {
        ImGui::CreateContext();
        ImGuiIO& io = ImGui::GetIO();
        io.IniFilename = nullptr;
        io.DisplaySize = {static_cast<float>(std::lround(width * scale)),
                          static_cast<float>(std::lround(height * scale))};
        io.DeltaTime = 1.0f / 60.0f;
        io.MousePos = {-1e6f, -1e6f};
        const int mapped[] = {ImGuiKey_Tab,       ImGuiKey_LeftArrow, ImGuiKey_RightArrow, ImGuiKey_UpArrow,
                              ImGuiKey_DownArrow, ImGuiKey_PageUp,    ImGuiKey_PageDown,   ImGuiKey_Home,
                              ImGuiKey_End,       ImGuiKey_Delete,    ImGuiKey_Backspace,  ImGuiKey_Enter,
                              ImGuiKey_Escape};
        for (int i = 0; i < static_cast<int>(std::size(mapped)); ++i) io.KeyMap[mapped[i]] = 400 + i;
        for (const auto& [key, letter] :
             {std::pair(ImGuiKey_A, 'A'), std::pair(ImGuiKey_C, 'C'), std::pair(ImGuiKey_V, 'V'),
              std::pair(ImGuiKey_X, 'X'), std::pair(ImGuiKey_Y, 'Y'), std::pair(ImGuiKey_Z, 'Z')})
            io.KeyMap[key] = letter;
        screen = std::make_unique<editor::ui::Screen>(session, device, [] {});
        const auto fonts = editor::ui::Look::load_fonts(scale, screen->look());
        REQUIRE(fonts.ok());
        unsigned char* pixels = nullptr;
        int w = 0, h = 0;
        io.Fonts->GetTexDataAsRGBA32(&pixels, &w, &h);
        frame();
    }
    ~Hand() {
        screen.reset();
        ImGui::DestroyContext();
    }
    Hand(const Hand&) = delete;
    Hand& operator=(const Hand&) = delete;

    /// One frame; its commands are checked, kept in `said`, and done.
    void frame() {
        ImGui::NewFrame();
        const std::vector<std::string> commands = screen->frame(width_, height_);
        ImGui::Render();
        for (const std::string& line : commands) {
            INFO(line);
            const auto read = design::parse(line, editor::model::session_commands());
            if (!read) FAIL(read.fault().message);
            const auto again = design::parse(design::print(*read, editor::model::session_commands()),
                                             editor::model::session_commands());
            REQUIRE(again.ok());
            CHECK(*again == *read);
            said.push_back(line);
        }
        screen->run(commands);
    }
    void frames(int count) {
        for (int i = 0; i < count; ++i) frame();
    }
    /// Until nothing is under way and all of it is on the screen.
    void settle() {
        for (int round = 0; round < 60; ++round) {
            while (!session.idle() || !session.busy_with().empty()) session.wait(0.2);
            frame();
            screen->wait_settled();
            frame();
            if (session.idle() && screen->settled()) break;
        }
        frames(2);
    }
    void give(const std::string& line) {
        tests::give(session, line);
        frames(2);
    }

    bool there(const std::string& id) const { return screen->place_of(id) != nullptr; }
    Vec2 middle(const std::string& id) const {
        INFO(id);
        REQUIRE(there(id));
        return screen->place_of(id)->centre();
    }
    void move(const Vec2& at) {
        ImGui::GetIO().MousePos = {static_cast<float>(at.x() * scale_), static_cast<float>(at.y() * scale_)};
        frame();
    }
    void press(bool down, int button = 0) {
        ImGui::GetIO().MouseDown[button] = down;
        frame();
    }
    void click(const Vec2& at, int button = 0) {
        ++actions;
        move(at);
        move(at);  // what lies under it is known a frame later
        press(true, button);
        press(false, button);
        frame();
    }
    /// Brought into sight by the wheel where it lies in the inspector, and pressed once nothing moves it any
    /// more: a check that arrives meanwhile shifts what stands below it.
    void click(const std::string& id, int button = 0) {
        for (int round = 0; round < 20; ++round) {
            show(id);
            const Vec2 at = middle(id);
            move(at);
            move(at);
            if ((middle(id) - at).norm() < 0.5) break;
        }
        click(middle(id), button);
    }
    void show(const std::string& id) {
        const double x = width_ - 60;
        for (int i = 0; i < 200; ++i) {
            const double y = middle(id).y();
            if (y > 110 && y < height_ - 40) break;
            ImGui::GetIO().MousePos = {static_cast<float>(x * scale_), static_cast<float>(104 * scale_)};
            ImGui::GetIO().MouseWheel = y <= 110 ? 1.0f : -1.0f;
            frame();
            frame();
        }
    }
    void wheel(double steps) {
        ImGui::GetIO().MouseWheel += static_cast<float>(steps);
        frame();
    }
    void type(const char* text) {
        ++actions;
        ImGui::GetIO().AddInputCharactersUTF8(text);
        frames(2);
    }
    enum Held { none = 0, ctrl = 1, shift = 2, alt = 4 };
    /// Ctrl, Shift, Alt stay down until another call.
    void hold(int held) {
        ImGuiIO& io = ImGui::GetIO();
        io.KeyCtrl = (held & ctrl) != 0;
        io.KeyShift = (held & shift) != 0;
        io.KeyAlt = (held & alt) != 0;
        io.KeyMods = (io.KeyCtrl ? ImGuiKeyModFlags_Ctrl : 0) | (io.KeyShift ? ImGuiKeyModFlags_Shift : 0) |
                     (io.KeyAlt ? ImGuiKeyModFlags_Alt : 0);
    }
    void key(int code, int held = none) {
        ++actions;
        hold(held);
        ImGui::GetIO().KeysDown[code] = true;
        frame();
        ImGui::GetIO().KeysDown[code] = false;
        hold(none);
        frames(2);
    }
    void key(ImGuiKey_ mapped, int held = none) { key(ImGui::GetKeyIndex(mapped), held); }

    /// Whether this was said since the last call of `forget`.
    bool heard(const std::string& begin) const {
        return std::any_of(said.begin(), said.end(),
                           [&](const std::string& line) { return line.starts_with(begin); });
    }
    void forget() { said.clear(); }
    std::string misfits() const {
        std::string all;
        for (const editor::ui::Overflow& o : screen->look().overflows())
            all += o.where + ": \"" + o.text + "\" needs " + std::to_string(o.needed) + " of " +
                   std::to_string(o.room) + "\n";
        return all;
    }
    const design::FootDesign& foot() const { return *session.job().foot(session.foot()); }

    editor::view::NullDevice device;
    editor::model::Session session;
    std::unique_ptr<editor::ui::Screen> screen;
    std::vector<std::string> said;
    int actions = 0;  ///< clicks, keys, texts typed

  private:
    double width_, height_, scale_;
};

}  // namespace archwright::tests
