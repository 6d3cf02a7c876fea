// Signs are told apart without colour; every colour of the screen stands out from what it is written on.
#include <imgui.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "editor/ui/look.hpp"

using namespace archwright;
using namespace archwright::editor;
using picture::contrast;

namespace {

constexpr int side = 24;

/// What a draw list of plain triangles puts on a square, in grey, 0 to 1.
std::vector<double> grey_of(const ImDrawList& list, const picture::Colour& ground) {
    const auto grey = [](double r, double g, double b) { return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
    std::vector<double> pixels(side * side, grey(ground.r, ground.g, ground.b));
    for (int k = 0; k + 2 < list.IdxBuffer.Size; k += 3) {
        const ImDrawVert* v[3];
        for (int c = 0; c < 3; ++c) v[c] = &list.VtxBuffer[list.IdxBuffer[k + c]];
        const auto cross = [](const ImVec2& a, const ImVec2& b, double x, double y) {
            return static_cast<double>(b.x - a.x) * (y - static_cast<double>(a.y)) -
                   static_cast<double>(b.y - a.y) * (x - static_cast<double>(a.x));
        };
        const double area =
            cross(v[0]->pos, v[1]->pos, static_cast<double>(v[2]->pos.x), static_cast<double>(v[2]->pos.y));
        if (std::abs(area) < 1e-9) continue;
        for (int y = 0; y < side; ++y)
            for (int x = 0; x < side; ++x) {
                const double px = x + 0.5, py = y + 0.5;
                const double w[3] = {cross(v[1]->pos, v[2]->pos, px, py) / area,
                                     cross(v[2]->pos, v[0]->pos, px, py) / area,
                                     cross(v[0]->pos, v[1]->pos, px, py) / area};
                if (w[0] < 0 || w[1] < 0 || w[2] < 0) continue;
                double colour[4] = {};
                for (int c = 0; c < 3; ++c) {
                    const ImVec4 one = ImGui::ColorConvertU32ToFloat4(v[c]->col);
                    const float parts[4] = {one.x, one.y, one.z, one.w};
                    for (int p = 0; p < 4; ++p) colour[p] += w[c] * static_cast<double>(parts[p]);
                }
                double& pixel = pixels[static_cast<std::size_t>(y * side + x)];
                pixel += colour[3] * (grey(colour[0], colour[1], colour[2]) - pixel);
            }
    }
    return pixels;
}

}  // namespace

TEST_CASE("the signs of states differ in grey, in both themes") {
    ImGui::CreateContext();
    ImGuiIO& io = ImGui::GetIO();
    io.IniFilename = nullptr;
    io.DisplaySize = {64, 64};
    unsigned char* pixels = nullptr;
    int w = 0, h = 0;
    io.Fonts->GetTexDataAsAlpha8(&pixels, &w, &h);
    ImGui::NewFrame();
    const ui::Sign signs[] = {ui::Sign::pass, ui::Sign::look,    ui::Sign::looked_signed,
                              ui::Sign::stop, ui::Sign::working, ui::Sign::waiting};
    for (const bool dark : {false, true}) {
        ui::Look look;
        look.dark = dark;
        std::vector<std::vector<double>> drawn;
        for (const ui::Sign sign : signs) {
            ImDrawList list(ImGui::GetDrawListSharedData());
            list._ResetForNewFrame();
            list.PushClipRectFullScreen();
            list.PushTextureID(nullptr);
            look.list = &list;
            look.sign({side / 2.0, side / 2.0}, sign);
            drawn.push_back(grey_of(list, look.theme().panel));
        }
        for (std::size_t a = 0; a < drawn.size(); ++a)
            for (std::size_t b = 0; b < a; ++b) {
                // pixels that differ plainly
                int apart = 0;
                for (std::size_t i = 0; i < drawn[a].size(); ++i)
                    apart += std::abs(drawn[a][i] - drawn[b][i]) > 0.2 ? 1 : 0;
                INFO("signs " << a << " and " << b << (dark ? ", dark" : ", light"));
                CHECK(apart >= 10);
            }
    }
    ImGui::EndFrame();
    ImGui::DestroyContext();
}

TEST_CASE("every text of the screen stands out from what it is written on") {
    for (const bool dark : {false, true}) {
        ui::Look look;
        look.dark = dark;
        const picture::Theme& t = look.theme();
        INFO((dark ? "dark" : "light"));
        for (const auto& ground : {t.panel, t.head, t.board, look.field(), look.accent_fill()})
            for (const auto& text : {t.text, t.soft, t.accent, t.ink}) CHECK(contrast(text, ground) >= 4.5);
        for (const auto& ground : {t.panel, t.head, t.board, look.field()})
            for (const auto& text : {t.faint, t.pass, t.look, t.stop}) CHECK(contrast(text, ground) >= 4.5);
        CHECK(contrast(t.look, t.look_fill) >= 4.5);
        CHECK(contrast(t.stop, t.stop_fill) >= 4.5);
        CHECK(contrast(t.text, t.look_fill) >= 4.5);
        CHECK(contrast(t.text, t.stop_fill) >= 4.5);
        CHECK(contrast(t.on_accent, t.accent) >= 4.5);
    }
}
