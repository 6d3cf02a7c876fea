#include "engine/design/second_foot.hpp"

#include <algorithm>

namespace archwright::design {

std::vector<std::string> copy_order(const FootDesign& from, FootDesign& to) {
    to.balance = from.balance;
    to.dress = from.dress;
    to.trim = from.trim;
    to.wall = from.wall;
    to.rim = from.rim;
    to.posts = from.posts;
    to.material = from.material;
    to.covers = from.covers;
    to.lettering = from.lettering;  // code, side and revision are those of the foot it is cut into
    to.presets = from.presets;

    std::vector<std::string> drawn;
    to.features.clear();
    for (const feature::Feature& one : from.features) {
        const bool on_mark = std::any_of(from.marks.begin(), from.marks.end(),
                                         [&](const Mark& mark) { return mark.name == one.anchor; });
        if (!on_mark) to.features.push_back(one);
        if (on_mark)
            drawn.push_back("\"" + one.name + "\" left out: it lies on a mark of the other foot");
        else if (!one.points.empty())
            drawn.push_back("\"" + one.name + "\", drawn in plan");
    }
    for (const surface::SmoothZone& zone : from.dress.smooth)
        drawn.push_back("zone to smooth \"" + zone.name + "\"");
    for (const surface::KeepZone& zone : from.dress.keep)
        drawn.push_back("zone to keep \"" + zone.name + "\"");
    for (const WallRegion& region : from.wall.regions) drawn.push_back("wall region \"" + region.name + "\"");
    for (const Cover& cover : from.covers)
        if (!cover.outline.empty()) drawn.push_back("outline of \"" + cover.name + "\"");
    if (const std::size_t n = from.trim.controls.size(); n > 0)
        drawn.push_back(std::to_string(n) + (n == 1 ? " free control point" : " free control points") +
                        " of the trim line");
    if (from.posts.forefoot.on) drawn.push_back("forefoot post, whose angle is that of one forefoot");
    return drawn;
}

}  // namespace archwright::design
