#include "editor/app/painter.hpp"

#include <backends/imgui_impl_opengl3.h>
#include <imgui.h>

#include <cmath>

namespace archwright::editor::app {

Painter::Painter() {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.LogFilename = nullptr;
    io.ConfigInputTextCursorBlink = false;
}

Painter::~Painter() {
    if (started_) ImGui_ImplOpenGL3_Shutdown();
    ImGui::DestroyContext();
}

Outcome<Done> Painter::set_scale(double scale, ui::Look& look) {
    if (started_) ImGui_ImplOpenGL3_DestroyFontsTexture();
    if (const auto loaded = ui::Look::load_fonts(scale, look); !loaded) return loaded.fault();
    if (!started_) {
        if (!ImGui_ImplOpenGL3_Init("#version 330 core"))
            return Fault{FaultKind::output, "screen", "The graphics driver has no OpenGL 3.3.", {}};
        started_ = true;
    }
    ImGui_ImplOpenGL3_CreateFontsTexture();
    return Done{};
}

void Painter::draw() {
    ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

Stage::Stage(view::GlDevice& device, model::Session& session, int width, int height, double scale)
    : device_(device), session_(session), width_(width), height_(height), scale_(scale) {
    target_ = device.make_target();
    screen_ = std::make_unique<ui::Screen>(session, device, [] {});
}

Stage::~Stage() {
    screen_.reset();
    device_.remove(target_);
}

Outcome<Done> Stage::start() {
    ImGuiIO& io = ImGui::GetIO();
    io.DisplaySize = {static_cast<float>(std::lround(width_ * scale_)),
                      static_cast<float>(std::lround(height_ * scale_))};
    io.DeltaTime = 1.0f / 60.0f;
    io.MousePos = {-1e6f, -1e6f};
    // keys have the numbers of ASCII, and these
    const int keys[] = {ImGuiKey_Tab,       ImGuiKey_LeftArrow, ImGuiKey_RightArrow, ImGuiKey_UpArrow,
                        ImGuiKey_DownArrow, ImGuiKey_PageUp,    ImGuiKey_PageDown,   ImGuiKey_Home,
                        ImGuiKey_End,       ImGuiKey_Delete,    ImGuiKey_Backspace,  ImGuiKey_Enter,
                        ImGuiKey_Escape,    ImGuiKey_A,         ImGuiKey_C,          ImGuiKey_V,
                        ImGuiKey_X,         ImGuiKey_Y,         ImGuiKey_Z};
    for (int i = 0; i < static_cast<int>(std::size(keys)); ++i) io.KeyMap[keys[i]] = 400 + i;
    device_.size_target(target_, static_cast<int>(io.DisplaySize.x), static_cast<int>(io.DisplaySize.y), 1);
    return painter_.set_scale(scale_, screen_->look());
}

std::vector<std::string> Stage::frame() {
    ImGui_ImplOpenGL3_NewFrame();
    ImGui::NewFrame();
    const auto commands = screen_->frame(width_, height_);
    ImGui::Render();
    const ImGuiIO& io = ImGui::GetIO();
    device_.clear(target_, {0, 0, 0, 1}, 1);
    device_.draw_to(target_, static_cast<int>(io.DisplaySize.x), static_cast<int>(io.DisplaySize.y));
    Painter::draw();
    screen_->run(commands);
    return commands;
}

void Stage::settle() {
    // whatever is asked for comes in, is prepared, and is then shown; at most so many rounds without end
    for (int round = 0; round < 40; ++round) {
        while (!session_.idle() || !session_.busy_with().empty()) session_.wait(0.2);
        frame();
        screen_->wait_settled();
        frame();
        if (session_.idle() && screen_->settled() && !screen_->restless()) break;
    }
    frame();
}

std::vector<std::uint8_t> Stage::pixels() {
    return device_.read(target_);
}

void Stage::move(const Vec2& at) {
    ImGui::GetIO().MousePos = {static_cast<float>(at.x() * scale_), static_cast<float>(at.y() * scale_)};
}
void Stage::press(int button, bool down) {
    ImGui::GetIO().MouseDown[button] = down;
}
void Stage::wheel(double steps) {
    ImGui::GetIO().MouseWheel += static_cast<float>(steps);
}
void Stage::key(int letter, Held held) {
    ImGuiIO& io = ImGui::GetIO();
    io.KeyCtrl = held.ctrl;
    io.KeyShift = held.shift;
    io.KeyAlt = held.alt;
    io.KeyMods = (held.ctrl ? ImGuiKeyModFlags_Ctrl : 0) | (held.shift ? ImGuiKeyModFlags_Shift : 0) |
                 (held.alt ? ImGuiKeyModFlags_Alt : 0);
    io.KeysDown[letter] = true;
    frame();
    io.KeysDown[letter] = false;
    io.KeyCtrl = io.KeyShift = io.KeyAlt = false;
    io.KeyMods = 0;
    frame();
}
void Stage::key(ImGuiKey_ key, Held held) {
    this->key(ImGui::GetKeyIndex(static_cast<ImGuiKey>(key)), held);
}
void Stage::type(const char* text) {
    ImGui::GetIO().AddInputCharactersUTF8(text);
}

}  // namespace archwright::editor::app
