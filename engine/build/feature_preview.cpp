#include "engine/build/feature_preview.hpp"

#include <algorithm>

#include "engine/build/feature_check.hpp"

namespace archwright::build {

namespace {

std::vector<feature::Feature> apertures_of(const std::vector<feature::Feature>& list) {
    std::vector<feature::Feature> apertures;
    std::copy_if(list.begin(), list.end(), std::back_inserter(apertures), [](const feature::Feature& f) {
        return f.on && f.kind == feature::Feature::Kind::aperture;
    });
    return apertures;
}

surface::WallFunction wall_of(const Shelled& shelled) {
    return [map = shelled.wall](const Vec2&, const Vec3& p) { return map->at(p.x(), p.y()); };
}

}  // namespace

FeaturePreview::FeaturePreview(const Device& device, const design::FootDesign& foot)
    : device_(device),
      list_(foot.features),
      features_(device.shelled->features),
      shell_(device.shelled->shell, device.shelled->mesh, wall_of(*device.shelled), balls()) {}

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
    if (!boxes.empty()) shell_.change(boxes, balls());
    return Done{};
}

}  // namespace archwright::build
