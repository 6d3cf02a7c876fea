#include "tests/ask/asked_device.hpp"

#include "tests/support/build_in_memory.hpp"

namespace archwright::tests {

namespace {

const design::Materials& all_materials() {
    static const auto materials =
        design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    return *materials;
}

}  // namespace

Outcome<ask::Built> AskedDevice::with(const design::Wall& wall) const {
    design::FootDesign other = foot;
    other.wall = wall;
    Progress progress;
    auto shelled = build::shell_stage(*built.received, *built.surfaced, other, all_materials(), progress);
    if (!shelled) return shelled.fault();
    return ask::Built{built.received, built.surfaced,
                      std::make_shared<const build::Shelled>(std::move(*shelled))};
}

ask::Rebuild AskedDevice::rebuild() const {
    return [this](const design::Wall& wall, Progress&) { return with(wall); };
}

Outcome<AskedDevice> asked_device(std::uint64_t number, double post_deg) {
    auto job = random_job(number, 40000);
    if (!job) return job.fault();
    AskedDevice device;
    device.foot = job->foot;
    device.foot.features.clear();
    device.foot.posts.rearfoot.on = post_deg != 0.0;
    device.foot.posts.rearfoot.angle_deg = post_deg;
    device.foot.posts.forefoot.on = device.foot.posts.flat_contact.on = false;
    device.foot.material = "pp_homopolymer";
    Progress progress;
    auto received = build::receive_stage(cast_in_memory(job->cast.mesh, "cast"), device.foot, job->side,
                                         "job.json", progress);
    if (!received) return received.fault();
    auto surfaced = build::surface_stage(*received, device.foot, progress);
    if (!surfaced) return surfaced.fault();
    const surface::TrimRule& rule = surfaced->rule;
    const double heel = rule.heel_centre.x(), heads = rule.first_head.x() - heel;
    const double medial = rule.first_head.y();
    design::Wall wall;
    wall.base_mm = 3.0;
    design::WallRegion arch;
    arch.name = "arch";
    arch.wall_mm = 3.4;
    arch.blend_mm = 12.0;
    arch.outline = {{heel + 0.3 * heads, 0.1 * medial},
                    {heel + 0.75 * heads, 0.1 * medial},
                    {heel + 0.75 * heads, 1.2 * medial},
                    {heel + 0.3 * heads, 1.2 * medial}};
    wall.regions.push_back(arch);
    wall.lateral_column.on = true;
    wall.lateral_column.kind = design::WallZone::Kind::rigidity;
    wall.lateral_column.rigidity = 1.5;
    device.foot.wall = wall;
    device.built.received = std::make_shared<const build::Received>(std::move(*received));
    device.built.surfaced = std::make_shared<const build::Surfaced>(std::move(*surfaced));
    auto built = device.with(wall);
    if (!built) return built.fault();
    device.built = std::move(*built);
    return device;
}

}  // namespace archwright::tests
