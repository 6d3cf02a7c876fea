#include "editor/view/handle.hpp"

#include <algorithm>

#include "editor/view/handle_cast.hpp"
#include "editor/view/handle_curve.hpp"
#include "editor/view/handle_feature.hpp"
#include "editor/view/handle_zone.hpp"
#include "engine/picture/drafting.hpp"

namespace archwright::editor::view {

const Handle* Handles::find(const std::string& part) const {
    for (const Handle& h : list)
        if (h.part == part) return &h;
    return whole && whole->part == part ? &*whole : nullptr;
}

Handles handles_of(const design::FootDesign& foot, const Thing& thing,
                   const std::shared_ptr<const Sole>& sole) {
    if (!sole) return {};
    if (thing.what == "feature")
        for (const feature::Feature& f : foot.features)
            if (f.name == thing.name) return feature_handles(foot, f, sole);
    if (thing.what == "landmark")
        if (const auto id = foot::landmark_id(thing.name)) return landmark_handles(foot, *id, sole);
    if (thing.what == "mark")
        for (const design::Mark& mark : foot.marks)
            if (mark.name == thing.name) return mark_handles(mark, sole);
    if (thing.what == "region")
        for (const design::WallRegion& region : foot.wall.regions)
            if (region.name == thing.name) return region_handles(region);
    if (thing.what == "column") return column_handles(foot.wall, thing.name, sole);
    if (thing.what == "smooth")
        for (const surface::SmoothZone& zone : foot.dress.smooth)
            if (zone.name == thing.name) return zone_handles(zone);
    if (thing.what == "keep")
        for (const surface::KeepZone& zone : foot.dress.keep)
            if (zone.name == thing.name) return zone_handles(zone);
    if (thing.what == "cover")
        for (const design::Cover& cover : foot.covers)
            if (cover.name == thing.name) return cover_handles(cover);
    if (thing.what == "control") return trim_handles(foot, sole);
    if (thing.what == "post") return post_handles(foot, thing.name, sole);
    return {};
}

namespace {

/// Of these the one whose curve lies nearest, else the smallest that holds the place.
std::optional<Thing> nearest_of(const design::FootDesign& foot, const std::vector<Thing>& things,
                                const Vec2& plan, double reach, const std::shared_ptr<const Sole>& sole) {
    std::optional<Thing> on_curve, holding;
    double nearest = reach, smallest = 1e300;
    for (const Thing& thing : things)
        for (const HandleCurve& curve : handles_of(foot, thing, sole).curves) {
            if (const double d = nearest_on(curve, plan).distance; d <= nearest)
                nearest = d, on_curve = thing;
            if (const double area = area_of(curve); area < smallest && holds(curve, plan))
                smallest = area, holding = thing;
        }
    return on_curve ? on_curve : holding;
}

}  // namespace

std::optional<Thing> thing_at(const design::FootDesign& foot, const Pickable& which, const Vec2& plan,
                              double reach, const std::shared_ptr<const Sole>& sole) {
    if (!sole) return {};
    if (which.landmarks) {
        std::optional<Thing> best;
        double nearest = 1.5 * reach;
        for (const auto& [id, landmark] : foot.landmarks) {
            if (*picture::plan_word(id) == 0) continue;  // not drawn in plan
            const double away = (sole->frame().to_design(landmark.position).head<2>() - plan).norm();
            if (away <= nearest) nearest = away, best = Thing{"landmark", foot::key(id)};
        }
        if (best) return best;
    }
    // what lies on a mark goes before it
    std::vector<Thing> features, marks, regions;
    if (which.regions) {
        for (const design::WallRegion& region : foot.wall.regions) regions.push_back({"region", region.name});
        for (const char* column : {"medial", "lateral"}) regions.push_back({"column", column});
    }
    if (which.zones) {
        for (const surface::SmoothZone& zone : foot.dress.smooth) regions.push_back({"smooth", zone.name});
        for (const surface::KeepZone& zone : foot.dress.keep) regions.push_back({"keep", zone.name});
    }
    if (which.posts) {
        for (const char* post : {"rearfoot", "forefoot", "flat_contact"}) regions.push_back({"post", post});
        for (const design::Cover& cover : foot.covers) regions.push_back({"cover", cover.name});
    }
    if (which.features)
        for (const feature::Feature& f : foot.features) features.push_back({"feature", f.name});
    if (which.marks)
        for (const design::Mark& mark : foot.marks) marks.push_back({"mark", mark.name});
    for (const auto* things : {&regions, &features, &marks})
        if (auto found = nearest_of(foot, *things, plan, reach, sole)) return found;
    return {};
}

}  // namespace archwright::editor::view
