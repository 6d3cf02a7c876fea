#include "tests/flex/built_device.hpp"

#include "tests/support/build_in_memory.hpp"

namespace archwright::tests {

Outcome<BuiltDevice> built_device(std::uint64_t number, double wall_mm, double post_deg, double to_front_mm) {
    static const auto materials =
        design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    auto job = random_job(number, 40000);
    if (!job) return job.fault();
    job->foot.wall = {};
    job->foot.wall.base_mm = wall_mm;
    if (to_front_mm != 0.0) job->foot.wall.stations = {{0.0, wall_mm}, {1.0, wall_mm + to_front_mm}};
    job->foot.features.clear();
    job->foot.posts.rearfoot.on = post_deg != 0.0;
    job->foot.posts.rearfoot.angle_deg = post_deg;
    job->foot.posts.forefoot.on = job->foot.posts.flat_contact.on = false;
    job->foot.material = "pp_homopolymer";
    Progress progress;
    auto received = build::receive_stage(cast_in_memory(job->cast.mesh, "cast"), job->foot, job->side,
                                         "job.json", progress);
    if (!received) return received.fault();
    auto surfaced = build::surface_stage(*received, job->foot, progress);
    if (!surfaced) return surfaced.fault();
    auto shelled = build::shell_stage(*received, *surfaced, job->foot, *materials, progress);
    if (!shelled) return shelled.fault();
    return BuiltDevice{std::move(*received), std::move(*surfaced), std::move(*shelled)};
}

}  // namespace archwright::tests
