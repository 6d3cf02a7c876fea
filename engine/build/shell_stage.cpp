#include <algorithm>
#include <iterator>
#include <vector>

#include "engine/build/asked_wall.hpp"
#include "engine/build/feature_check.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/build/ground_check.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/build/plan_border.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/feature/aperture.hpp"
#include "engine/surface/loop_check.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::build {

Outcome<Shelled> shell_stage(const Received& received, const Surfaced& surfaced,
                             const design::FootDesign& foot, const design::Materials& materials,
                             Progress& progress) {
    auto material = materials.find(foot.material);
    if (!material) return material.fault();
    Shelled shelled;
    shelled.material = std::move(*material);
    shelled.checks = design::check_wall(foot.wall, shelled.material);
    const surface::SplineSurface& carpet = surfaced.carpet.surface;
    const PlanBox plan = plan_box(carpet, surfaced.trim.curve);
    shelled.wall =
        std::make_shared<design::WallMap>(foot.wall, plan.device, design::WallLimits::of(shelled.material));
    shelled.checks.push_back(design::check_wall_slope(*shelled.wall, plan.low, plan.high));
    shelled.rigidity.of_1_mm = sheet_of(shelled.material).rigidity(1.0);
    shelled.rigidity.base_mm = foot.wall.base_mm;
    if (const auto walls = shelled.wall->reached()) shelled.rigidity.walls = *walls;
    if (auto scaled = design::check_scaled_wall(foot.wall, *shelled.wall, shelled.material))
        shelled.checks.push_back(std::move(*scaled));

    for (Check& check : check_marks(received, foot)) shelled.checks.push_back(std::move(check));
    const feature::Site site = feature_site(received, surfaced, foot);
    auto features = feature::FeatureMap::lay(foot.features, site, surfaced.rule);
    if (!features) return features.fault();
    shelled.features = features->of_shell();

    progress.report("Rolling the underside", 0.5);
    surface::UndersideSettings settings;
    settings.within = surfaced.trim.curve;
    auto sides = surface::roll_underside(
        carpet,
        shelled.features.sheets(asked_wall(shelled.wall, progress), shelled.material.wall_min_mm.value),
        settings);
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "shell", "Cancelled.", {}};
    if (!sides) return sides.fault();
    shelled.fit_error_mm = sides->fit_error_mm;
    shelled.shell = {carpet, std::move(sides->foot_side), std::move(sides->underside), surfaced.trim.curve,
                     foot.rim};

    tell_features(surfaced, shelled);
    auto apertures = feature::apertures(foot.features, site, foot.rim);
    if (!apertures) return apertures.fault();
    shelled.shell.apertures = std::move(*apertures);
    auto posts = lay_posts(received, surfaced, shelled.shell.underside, foot);
    if (!posts) return posts.fault();
    // a post that is stuck on has to find the same room as one solid with the shell
    shelled.shell.posts = *posts;
    std::vector<surface::Post> stuck_on;
    const auto own = [&](const surface::Post& post) { return is_part(post, foot); };
    std::copy_if(posts->begin(), posts->end(), std::back_inserter(stuck_on), own);
    if (!stuck_on.empty()) {
        if (auto room = surface::check_loops(shelled.shell); !room) return room.fault();
        std::erase_if(shelled.shell.posts, own);
    }
    auto parts = lay_parts(surfaced, shelled.shell, *features, stuck_on, foot, materials);
    if (!parts) return parts.fault();
    shelled.parts = std::move(*parts);

    progress.report("Meshing the shell", 0.58);
    auto mesh = surface::mesh_shell(shelled.shell);
    if (!mesh) return mesh.fault();
    shelled.mesh = std::move(*mesh);
    for (Check& check : check_ground(received, surfaced, foot, shelled))
        shelled.checks.push_back(std::move(check));
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "shell", "Cancelled.", {}};
    return shelled;
}

}  // namespace archwright::build
