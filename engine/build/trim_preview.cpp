#include "engine/build/trim_preview.hpp"

#include "engine/build/plan_border.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/trim.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::build {

Outcome<TrimmedPreview> preview_trim(const Device& device, const design::FootDesign& foot) {
    const Received& received = *device.received;
    const Surfaced& surfaced = *device.surfaced;
    const Shelled& shelled = *device.shelled;
    auto asked = design::trim_rule(foot.trim, received.standing.landmarks);
    if (!asked) return asked.fault();
    asked->out_under_roof = surfaced.rule.out_under_roof;
    const surface::TrimRule rule = dressed_rule(std::move(*asked), surfaced.dressed, foot.dress);
    const surface::SplineSurface& carpet = surfaced.carpet.surface;
    auto trim = surface::find_trim(carpet, rule);
    if (!trim) return trim.fault();
    // the wall's stations go with the device's ends
    const PlanBox plan = plan_box(carpet, trim->curve);
    const auto map =
        std::make_shared<design::WallMap>(foot.wall, plan.device, design::WallLimits::of(shelled.material));
    const surface::WallFunction wall = [map](const Vec2&, const Vec3& p) { return map->at(p.x(), p.y()); };
    surface::UndersideSettings coarse;
    coarse.halvings = 0;
    coarse.within = trim->curve;
    auto sides = surface::roll_underside(
        carpet, shelled.features.sheets(wall, shelled.material.wall_min_mm.value), coarse);
    if (!sides) return sides.fault();
    TrimmedPreview out{shelled.shell, {}};
    out.shell.foot_side = std::move(sides->foot_side);
    out.shell.underside = std::move(sides->underside);
    out.shell.trim = std::move(trim->curve);
    auto mesh = surface::mesh_shell(out.shell, {preview_chord_mm});
    if (!mesh) return mesh.fault();
    out.mesh = std::move(*mesh);
    return out;
}

}  // namespace archwright::build
