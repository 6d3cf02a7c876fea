#include "engine/build/stages.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::build {

namespace {

// Where the wall's stations 0 and 1 lie on the device: the ends of the trim line along the axis.
design::DeviceLength device_length(const surface::SplineSurface& carpet, const surface::PeriodicCurve& trim) {
    constexpr int per_span = 8;
    design::DeviceLength length{1e300, -1e300};
    const int count = static_cast<int>(trim.control.size()) * per_span;
    for (int k = 0; k < count; ++k) {
        const double x = carpet.point(trim.point(static_cast<double>(k) / per_span)).x();
        length.rear_x_mm = std::min(length.rear_x_mm, x);
        length.distal_x_mm = std::max(length.distal_x_mm, x);
    }
    return length;
}

}  // namespace

Outcome<Shelled> shell_stage(const Surfaced& surfaced, const design::FootDesign& foot,
                             const design::Materials& materials, Progress& progress) {
    auto material = materials.find(foot.material);
    if (!material) return material.fault();
    Shelled shelled;
    shelled.material = std::move(*material);
    shelled.checks = design::check_wall(foot.wall, shelled.material);
    const surface::SplineSurface& carpet = surfaced.carpet.surface;
    shelled.wall = std::make_shared<design::WallMap>(foot.wall, device_length(carpet, surfaced.trim.curve));

    progress.report("Rolling the underside", 0.5);
    const auto wall = shelled.wall;
    surface::UndersideSettings settings;
    settings.within = surfaced.trim.curve;
    auto sides = surface::roll_underside(
        carpet, [wall](const Vec2&, const Vec3& p) { return wall->at(p.x(), p.y()); }, {}, settings);
    if (!sides) return sides.fault();
    shelled.fit_error_mm = sides->fit_error_mm;
    shelled.shell = {carpet, std::move(sides->foot_side), std::move(sides->underside), surfaced.trim.curve,
                     foot.rim};

    progress.report("Meshing the shell", 0.58);
    auto mesh = surface::mesh_shell(shelled.shell);
    if (!mesh) return mesh.fault();
    shelled.mesh = std::move(*mesh);
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "shell", "Cancelled.", {}};
    return shelled;
}

}  // namespace archwright::build
