#include "engine/build/feature_preview.hpp"

#include <algorithm>

#include "engine/build/feature_check.hpp"
#include "engine/build/plan_border.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::build {

namespace {

std::vector<feature::Feature> apertures_of(const std::vector<feature::Feature>& list) {
    std::vector<feature::Feature> apertures;
    std::copy_if(list.begin(), list.end(), std::back_inserter(apertures), [](const feature::Feature& f) {
        return f.on && f.kind == feature::Feature::Kind::aperture;
    });
    return apertures;
}

surface::WallFunction wall_of(std::shared_ptr<const design::WallMap> wall) {
    return [map = std::move(wall)](const Vec2&, const Vec3& p) { return map->at(p.x(), p.y()); };
}

}  // namespace

std::string wall_words(const design::FootDesign& foot) {
    std::string words;
    for (const design::Parameter& p : design::foot_parameters()) {
        const std::string_view name = p.name;
        if (!name.starts_with("wall.") || name.find("[]") != std::string_view::npos) continue;
        const auto value = design::get(foot, name);
        if (value) words += *value + "\n";
    }
    for (const char* list : {"wall.stations", "wall.regions"})
        if (const auto value = design::get(foot, list)) words += *value + "\n";
    return words;
}

FeaturePreview::FeaturePreview(const Device& device, const design::FootDesign& foot)
    : device_(device),
      list_(foot.features),
      wall_(wall_words(foot)),
      features_(device.shelled->features),
      shell_(device.shelled->shell, device.shelled->mesh, wall_of(device.shelled->wall), balls()) {}

surface::ShellPreview::Balls FeaturePreview::balls() const {
    return [map = features_, least = device_.shelled->material.wall_min_mm.value](
               const Vec2& uv, const Vec3& p, double wall_mm) { return map.balls(uv, p, wall_mm, least); };
}

Outcome<Done> FeaturePreview::edit(const design::FootDesign& foot) {
    if (apertures_of(foot.features) != apertures_of(list_))
        return Fault{FaultKind::internal, "features", "An aperture was changed: shape the device again.", {}};
    const feature::Site site = feature_site(*device_.received, *device_.surfaced, foot);
    auto features = features_.edited(foot.features, site, device_.surfaced->rule);
    if (!features) return features.fault();
    feature::FeatureMap shaping = features->of_shell();
    const std::vector<Box3> boxes = shaping.differences(features_);
    features_ = std::move(shaping);
    list_ = foot.features;
    surface::WallFunction wall;
    if (std::string words = wall_words(foot); words != wall_) {
        wall_ = std::move(words);
        // between the ends of the device that is shown
        const PlanBox plan = plan_box(device_.surfaced->carpet.surface, device_.shelled->shell.trim);
        wall = wall_of(std::make_shared<const design::WallMap>(
            foot.wall, plan.device, design::WallLimits::of(device_.shelled->material)));
    }
    if (!boxes.empty() || wall) shell_.change(boxes, balls(), wall);
    return Done{};
}

}  // namespace archwright::build
