// A block in a set-up of the mill, drawn from above: what is cut, what is to stay, how it lies.
#pragma once

#include "editor/model/making.hpp"
#include "engine/picture/canvas.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::editor::view {

/// What lies over the block's face.
enum class CutMap {
    none,
    stays,  ///< what the finishing cutter cannot take off
    left,   ///< what the program leaves
};
CutMap cut_map(const std::string& word);

struct BlockSetting {
    int side = 0;
    std::size_t moves = 0;  ///< done
    CutMap map = CutMap::none;
};

/// Where the block stands in its box: x of the set-up up the page, y to the left, as seen from the spindle.
struct BlockFrame {
    Vec2 centre = Vec2::Zero();  ///< of the page
    double scale = 1.0;          ///< pixels a mm

    Vec2 at(const Vec2& p) const { return {centre.x() - scale * p.y(), centre.y() - scale * p.x()}; }
    Vec2 place(const Vec2& pixel) const {
        return {(centre.y() - pixel.y()) / scale, (centre.x() - pixel.x()) / scale};
    }
};
BlockFrame block_frame(const picture::Box& box, const Vec3& block);

/// The range of the overlays: 0 to 1 mm, more is shown as 1.
picture::MapScale cut_scale(CutMap map);

/// `stock` is the block's upper face after those moves (Playback::stock). Zero with its axes, the line the
/// block is turned about, channel, device, tabs, the block's size, the cutter where it stands, heel and toes,
/// the side letter, how high clamps may be.
void draw_block(picture::Canvas& canvas, const picture::Box& box, const picture::Theme& theme,
                const model::Milled& milled, const BlockSetting& setting, const mill::HeightGrid& stock);

}  // namespace archwright::editor::view
