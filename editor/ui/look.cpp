#include "editor/ui/look.hpp"

#include <imgui_freetype.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace archwright::editor::ui {

namespace {

/// ImGui's size of a face is ascent plus descent: 1.21 em of Inter.
struct FaceFile {
    const char* file;
    float size;
};
constexpr FaceFile faces[face_count] = {{"Inter-Regular.otf", 16},  {"Inter-SemiBold.otf", 16},
                                        {"Inter-Regular.otf", 14},  {"Inter-SemiBold.otf", 14},
                                        {"Inter-SemiBold.otf", 20}, {"InterDisplay-SemiBold.otf", 28}};
constexpr const char* folder = "/usr/share/fonts/opentype/inter/";

// Latin, punctuation, arrows, and the signs of our own texts; digits come as a range of their own
const ImWchar letters[] = {0x20,   0x2F,   0x3A,   0x17F,  0x2010, 0x2027, 0x2030, 0x203A, 0x2190,
                           0x2193, 0x2212, 0x2212, 0x2248, 0x2248, 0x2260, 0x2265, 0};
const ImWchar digits[] = {'0', '9', 0};

}  // namespace

Sign sign_of(Verdict verdict) {
    return verdict == Verdict::pass ? Sign::pass : verdict == Verdict::look ? Sign::look : Sign::stop;
}

Outcome<Done> Look::load_fonts(double scale, Look& look) {
    ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
    atlas.Clear();
    atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
    atlas.FontBuilderFlags = ImGuiFreeTypeBuilderFlags_LightHinting;
    atlas.TexDesiredWidth = 2048;
    look.scale = scale;
    for (std::size_t i = 0; i < face_count; ++i) {
        const std::string path = std::string(folder) + faces[i].file;
        std::error_code ignored;
        if (!std::filesystem::exists(path, ignored))
            return Fault{FaultKind::output,
                         "screen",
                         "The font Inter is missing. Install Debian's package fonts-inter.",
                         {}};
        const auto size = static_cast<float>(std::round(faces[i].size * scale));
        ImFontConfig plain;
        plain.PixelSnapH = false;
        plain.OversampleH = plain.OversampleV = 1;
        look.fonts_[i] = atlas.AddFontFromFileTTF(path.c_str(), size, &plain, letters);
        // digits of one width: a figure stands still while it is dragged
        ImFontConfig even = plain;
        even.MergeMode = true;
        even.GlyphMinAdvanceX = even.GlyphMaxAdvanceX =
            static_cast<float>(std::round(0.512 * static_cast<double>(size)));
        atlas.AddFontFromFileTTF(path.c_str(), size, &even, digits);
    }
    if (!atlas.Build())
        return Fault{FaultKind::output, "screen", "The fonts could not be drawn at this scale.", {}};
    return Done{};
}

float Look::px(double logical) const {
    return static_cast<float>(std::round(logical * scale));
}

ImU32 Look::ink(const Colour& c, double alpha) const {
    const auto byte = [](double v) { return static_cast<int>(std::lround(std::clamp(v, 0.0, 1.0) * 255.0)); };
    return IM_COL32(byte(c.r), byte(c.g), byte(c.b), byte(alpha));
}

ImVec2 Look::at(const Vec2& p) const {
    return {static_cast<float>(p.x() * scale), static_cast<float>(p.y() * scale)};
}

void Look::apply_style() const {
    ImGuiStyle& style = ImGui::GetStyle();
    style = ImGuiStyle();
    const float line_width = std::floor(std::max(1.0f, static_cast<float>(scale)));
    style.WindowPadding = {0, 0};
    style.WindowBorderSize = 0;
    style.WindowRounding = 0;
    style.WindowMinSize = {1, 1};
    style.FrameRounding = px(3);
    style.FrameBorderSize = line_width;
    style.FramePadding = {px(8), px(5)};
    style.ItemSpacing = {px(8), px(6)};
    style.ItemInnerSpacing = {px(6), px(4)};
    style.ScrollbarSize = px(10);
    style.ScrollbarRounding = px(5);
    style.GrabMinSize = px(24);
    style.GrabRounding = px(3);
    style.PopupRounding = px(4);
    style.PopupBorderSize = line_width;
    style.ChildBorderSize = 0;
    style.IndentSpacing = px(16);
    style.AntiAliasedLinesUseTex = false;
    style.CircleTessellationMaxError = 0.15f;
    style.CurveTessellationTol = 0.6f;
    const auto set = [&](ImGuiCol which, const Colour& c, double alpha = 1.0) {
        style.Colors[which] = ImGui::ColorConvertU32ToFloat4(ink(c, alpha));
    };
    const picture::Theme& t = theme();
    set(ImGuiCol_WindowBg, t.panel, 0);
    set(ImGuiCol_ChildBg, t.panel, 0);
    set(ImGuiCol_PopupBg, t.panel);
    set(ImGuiCol_FrameBg, field(), 0);
    set(ImGuiCol_FrameBgHovered, field(), 0);
    set(ImGuiCol_FrameBgActive, field(), 0);
    set(ImGuiCol_Border, t.frame, 0);
    set(ImGuiCol_Text, t.text);
    set(ImGuiCol_TextDisabled, t.faint);
    set(ImGuiCol_TextSelectedBg, t.accent, 0.28);
    set(ImGuiCol_ScrollbarBg, t.panel, 0);
    set(ImGuiCol_ScrollbarGrab, t.frame, 0.75);
    set(ImGuiCol_ScrollbarGrabHovered, t.frame);
    set(ImGuiCol_ScrollbarGrabActive, t.accent);
    set(ImGuiCol_NavHighlight, t.accent);
}

}  // namespace archwright::editor::ui
