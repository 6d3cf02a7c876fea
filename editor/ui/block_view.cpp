// The block in a set-up of the mill, in the plan's place: set-up, overlays, the program played through.
#include <algorithm>
#include <cmath>

#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double block_head_height = 30, slider_height = 76;

/// "1 h 04 min", "3 min 20 s".
std::string time_words(double seconds) {
    const auto whole = static_cast<long>(std::lround(seconds));
    const auto two = [](long n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    if (whole >= 3600) return std::to_string(whole / 3600) + " h " + two(whole / 60 % 60) + " min";
    return std::to_string(whole / 60) + " min " + two(whole % 60) + " s";
}

}  // namespace

bool Screen::block_shown() const {
    return session_.has_job() && session_.stage() == "make" && session_.milled() &&
           session_.view("block") != "off";
}

std::size_t Screen::moves_at(const model::Playback& play, double share) {
    if (share >= 1.0) return play.moves();
    return play.at(std::max(0.0, share) * play.seconds()).move;
}

void Screen::block(const Box& region) {
    const picture::Theme& t = look_.theme();
    const model::Milled& milled = *session_.milled();
    view::BlockSetting setting;
    setting.side = session_.view("block") == "2" ? 1 : 0;
    setting.map = view::cut_map(session_.view("cut"));
    const model::MilledSide& side = milled.sides[static_cast<std::size_t>(setting.side)];
    Box box = region;
    const Box strip = box.cut_top(block_head_height);
    look_.fill(box, t.board);
    const Box bar = box.cut_bottom(slider_height);
    if (side.play) block_slider(bar, *side.play);
    setting.moves = side.play ? moves_at(*side.play, state_.mill_at) : 0;
    const std::string of = std::to_string(milled.number) + " " + std::to_string(setting.side) + " " +
                           std::to_string(setting.moves);
    if (side.play && block_stock_of_ != of) {
        block_stock_ = side.play->stock(setting.moves);
        block_stock_of_ = of;
    }
    const Hit h = hit("block", box);
    if (h.hovered) state_.hovered = "block";
    if (side.play) {
        const std::string key = of + " " + session_.view("cut") + " " + exact(box.w) + " " + exact(box.h) +
                                " " + exact(look_.scale) + (look_.dark ? " dark" : "");
        image(block_page_.draw(
                  key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
                  [&](picture::Canvas& canvas) {
                      view::draw_block(canvas, Box{0, 0, box.w, box.h}, t, milled, setting, block_stock_);
                  }),
              box, false);
    }
    if (setting.map != view::CutMap::none) block_legend(box, setting.map);
    view_head(strip, "", "Set-up " + std::to_string(setting.side + 1),
              setting.side == 0 ? "foot side up" : "underside up");
}

void Screen::block_legend(const Box& view, view::CutMap map) {
    const picture::Theme& t = look_.theme();
    const picture::MapScale scale = view::cut_scale(map);
    const double length = look_.narrow ? 90 : 130, wide = 84;
    const Box plate{view.right() - wide - 6, view.y + 36, wide, length + 40};
    look_.fill(plate, t.board, 4, 0.9);
    look_.text(scale.title, {plate.right() - 8, plate.y + 14}, wide - 12, Face::small_strong, t.text,
               Align::right);
    const Box bar{plate.x + 14, plate.y + 30, 14, length};
    const int rows = static_cast<int>(std::lround(length * look_.scale));
    for (int i = 0; i < rows; ++i)
        look_.list->AddRectFilled(
            {look_.px(bar.x), static_cast<float>((bar.y + length * i / rows) * look_.scale)},
            {look_.px(bar.right()), static_cast<float>((bar.y + length * (i + 1) / rows) * look_.scale)},
            look_.ink(scale.map->at(1.0 - (i + 0.5) / rows)));
    look_.frame(bar, t.frame);
    for (int i = 0; i <= 5; ++i) {
        const double y = bar.bottom() - length * i / 5.0;
        look_.rule_across(bar.right(), bar.right() + 4, y, t.soft);
        look_.text(rounded(0.2 * i, 1), {bar.right() + 8, y}, 36, Face::small, t.text);
    }
}

void Screen::block_slider(const Box& box, const model::Playback& play) {
    const picture::Theme& t = look_.theme();
    look_.fill(box, t.head);
    look_.rule_across(box.x, box.right(), box.y, t.rule);
    const Box track{box.x + 20, box.y + 17, box.w - 40, 2};
    const Hit h = hit("block slider", {track.x - 8, box.y + 4, track.w + 16, 28});
    if (h.held || h.activated) state_.mill_at = std::clamp((state_.mouse.x() - track.x) / track.w, 0.0, 1.0);
    if (const double wheel = static_cast<double>(ImGui::GetIO().MouseWheel); h.hovered && wheel != 0.0)
        state_.mill_at = std::clamp(state_.mill_at + 0.005 * wheel, 0.0, 1.0);
    look_.fill(track, t.frame, 1);
    look_.fill({track.x, track.y, track.w * state_.mill_at, track.h}, t.accent, 1);
    // where cutters are changed
    double before = 0;
    for (std::size_t m = 1; m < play.operations().size(); ++m) {
        before = play.after(play.begin_of(m)).seconds / std::max(1e-9, play.seconds());
        look_.rule_down(track.x + track.w * before, track.y - 5, track.y + 7, t.soft);
    }
    look_.disc({track.x + track.w * state_.mill_at, track.y + 1}, h.held ? 7.0 : 6.0, t.accent);
    const model::Playback::Moment now = play.after(moves_at(play, state_.mill_at));
    const bool finished = now.move == play.moves();
    const std::string cutter =
        play.operations().empty() || finished ? "finished" : play.operations()[now.operation].cutter.name;
    look_.text("line " + std::to_string(now.line), {track.x, box.y + 43}, 0.4 * track.w, Face::small, t.text);
    look_.name(cutter, {track.right(), box.y + 43}, 0.58 * track.w, Face::small, t.soft, Align::right);
    look_.text(time_words(now.seconds) + " of " + time_words(play.seconds()), {track.x, box.y + 62}, track.w,
               Face::small, t.text);
}

}  // namespace archwright::editor::ui
