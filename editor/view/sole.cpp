#include "editor/view/sole.hpp"

#include <cmath>

#include "engine/build/feature_check.hpp"

namespace archwright::editor::view {

std::shared_ptr<const Sole> Sole::of(const Shown& shown, std::shared_ptr<const Sole> before) {
    const model::FootResult& result = shown.result();
    const build::Device* device = shown.device();
    const auto& received = device != nullptr && !result.received ? device->received : result.received;
    // a surface lies where the cast stood for it: with another cast it is none
    const bool fits = device != nullptr && device->surfaced && device->received == received;
    const std::shared_ptr<const build::Surfaced> surfaced = fits ? device->surfaced : nullptr;
    if (!received) return nullptr;
    if (before && before->received_ == received && before->surfaced_ == surfaced) return before;
    std::shared_ptr<Sole> sole(new Sole);
    sole->side_ = shown.side();
    sole->received_ = received;
    sole->surfaced_ = surfaced;
    sole->cast_ = shown.shared_cast();
    return sole;
}

const feature::Layer& Sole::layer() const {
    if (!layer_) layer_ = std::make_unique<feature::Layer>(surfaced_->carpet.surface);
    return *layer_;
}

Vec3 Sole::over(const Vec2& plan) const {
    if (carpet() != nullptr)
        if (const auto spot = at(plan)) return spot->p;
    return {plan.x(), plan.y(), 0.0};
}

std::optional<Vec3> Sole::on_cast(const Vec2& plan, double z) const {
    if (!cast_) return {};
    constexpr double beyond_mm = 1000.0;
    const Vec3 below(plan.x(), plan.y(), -beyond_mm);
    std::optional<Vec3> best;
    for (const Hit& hit : cast_->tree().ray_all(below, Vec3::UnitZ(), 0.0, 2.0 * beyond_mm)) {
        const double height = hit.t - beyond_mm;
        if (!best || std::abs(height - z) < std::abs(best->z() - z)) best = Vec3(plan.x(), plan.y(), height);
    }
    return best;
}

std::optional<Vec3> Sole::nearest_cast(const Vec3& p) const {
    constexpr double within_mm = 15.0;
    if (!cast_) return {};
    const auto near = cast_->tree().nearest(p, within_mm);
    if (!near) return {};
    return near->point;
}

Vec3 Sole::cast_normal(const Vec3& p) const {
    constexpr double within_mm = 15.0;
    const auto near = cast_ ? cast_->tree().nearest(p, within_mm) : std::nullopt;
    return near ? Vec3(cast_->mesh.normal2(static_cast<std::size_t>(near->triangle)).normalized())
                : Vec3(-Vec3::UnitZ());
}

std::optional<Vec3> Sole::meet_cast(const Vec3& from, const Vec3& way) const {
    constexpr double far_mm = 1e5;
    const auto hit = cast_ ? cast_->tree().ray(from, way, 0.0, far_mm) : std::nullopt;
    if (!hit) return {};
    return from + hit->t * way;
}

std::vector<feature::Spot> Sole::spots(const design::FootDesign& foot,
                                       const feature::Feature& feature) const {
    if (carpet() == nullptr) return {};
    const auto laid = feature::place_of(feature, build::feature_site(*received_, *surfaced_, foot), layer());
    return laid ? *laid : std::vector<feature::Spot>{};
}

std::vector<SnapPlace> Sole::snap_places(const design::FootDesign& foot) const {
    std::vector<SnapPlace> all;
    for (const auto& [id, landmark] : foot.landmarks)
        all.push_back({foot::key(id), frame().to_design(landmark.position), landmark.position});
    for (const design::Mark& mark : foot.marks)
        if (!mark.refused && mark.kind != design::Mark::Kind::area)
            for (const Vec3& p : mark.points) all.push_back({mark.name, frame().to_design(p), p});
    return all;
}

}  // namespace archwright::editor::view
