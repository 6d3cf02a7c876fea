// The plan's print: the sole as hill shading with contours, the shell's map over it, in true scale.
#pragma once

#include "editor/view/model_view.hpp"
#include "engine/picture/drafting.hpp"

namespace archwright::editor::view {

struct PlanSetting {
    Map map = Map::wall;
    MapLook look;
    bool below = false;  ///< seen from below, as it is
    bool dark = false;
    bool faded = false;
    bool moving = false;
    int width = 1, height = 1;   ///< pixels
    double scale = 1;            ///< pixels a logical one
    Vec2 origin = Vec2::Zero();  ///< of the design frame, pixels from the top left
    double pixels_per_mm = 1;
};

class PlanPrint {
  public:
    PlanPrint(Device& device, Skins& skins);
    ~PlanPrint();
    PlanPrint(const PlanPrint&) = delete;
    PlanPrint& operator=(const PlanPrint&) = delete;

    /// Clear where nothing stands; its rows stand from below. 0 when nothing is shown.
    Id draw(const PlanSetting& setting);
    std::size_t drawn() const { return drawn_; }

  private:
    Device& device_;
    Skins& skins_;
    MapTexture map_, height_map_;
    Id print_program_ = 0, mesh_program_ = 0, target_ = 0, picture_ = 0;
    std::string key_;
    std::weak_ptr<const Shown> drawn_of_;
    std::size_t drawn_ = 0;
};

}  // namespace archwright::editor::view
