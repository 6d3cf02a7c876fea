#include "tests/support/build_in_memory.hpp"

#include <Eigen/Geometry>
#include <numbers>

#include "assets/generator/foot.hpp"
#include "assets/generator/random.hpp"
#include "engine/base/text.hpp"

namespace archwright::tests {

using generator::Random;

std::shared_ptr<const build::CastFile> cast_in_memory(const TriangleMesh& file_mesh,
                                                      const std::string& name) {
    auto cast = std::make_shared<build::CastFile>();
    cast->name = name;
    cast->format = "memory";
    cast->triangles_read = file_mesh.triangles.size();
    cast->cleaning = scan::clean(file_mesh);
    return cast;
}

design::FootDesign stated_foot(LengthUnit unit) {
    design::FootDesign foot;
    foot.side.by = foot.cast.unit.by = design::StatedBy::person;
    foot.side.code = foot.cast.unit.code = "TEST";
    foot.side.clear = foot.cast.unit.clear = true;
    foot.cast.unit.value = unit;
    return foot;
}

Outcome<build::Device> build_in_memory(const std::shared_ptr<const build::CastFile>& cast,
                                       const design::FootDesign& foot, Side side) {
    static const Outcome<design::Materials> materials =
        design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    if (!materials) return materials.fault();
    Progress progress;
    build::Device device;
    device.case_code = "TEST";
    device.revision = "A";
    device.side = side;
    auto received = build::receive_stage(cast, foot, side, "job.json", progress);
    if (!received) return received.fault();
    device.received = std::make_shared<build::Received>(std::move(*received));
    auto surfaced = build::surface_stage(*device.received, foot, progress);
    if (!surfaced) return surfaced.fault();
    device.surfaced = std::make_shared<build::Surfaced>(std::move(*surfaced));
    auto shelled = build::shell_stage(*device.received, *device.surfaced, foot, *materials, progress);
    if (!shelled) return shelled.fault();
    device.shelled = std::make_shared<build::Shelled>(std::move(*shelled));
    auto proved = build::prove_stage(*device.surfaced, *device.shelled, progress);
    if (!proved) return proved.fault();
    device.proved = std::make_shared<build::Proved>(std::move(*proved));
    for (const auto* checks : {&device.received->checks, &device.surfaced->checks, &device.shelled->checks,
                               &device.proved->checks})
        device.checks.insert(device.checks.end(), checks->begin(), checks->end());
    return device;
}

Outcome<ProposedFoot> proposed_foot(const std::string& path) {
    Progress progress;
    auto cast = build::open_cast(path, {}, progress);
    if (!cast) return cast.fault();
    auto reception = scan::receive((*cast)->cleaning.mesh, (*cast)->declared_unit, {}, nullptr);
    if (!reception) return reception.fault();
    design::FootDesign foot;
    foot.side.by = foot.cast.unit.by = design::StatedBy::proposed;
    foot.cast.unit.value = reception->unit.value;
    return ProposedFoot{std::move(*cast), std::move(*reception), foot};
}

std::string unsound(const build::Device& device) {
    std::string text;
    for (const Check& stop : device.open_stops()) text += stop.id + ": " + stop.message + "\n";
    return text;
}

Outcome<RandomJob> random_job(std::uint64_t seed, std::size_t triangles) {
    Random random(seed);
    RandomJob job;
    const auto foot = generator::Foot::random(random.next());
    if (!foot) return foot.fault();
    job.side = foot->shape().side;

    generator::CastSpec spec;
    spec.triangles = triangles;
    spec.seed = random.next();
    const LengthUnit units[] = {LengthUnit::millimetre, LengthUnit::centimetre, LengthUnit::inch,
                                LengthUnit::metre};
    job.unit = spec.unit = units[random.next() % 4];
    if (random.uniform() < 0.5) {
        spec.kind = generator::CastSpec::Kind::plaster_negative;
        spec.rim.raggedness_mm = random.between(0.5, 3.0);
    }
    // any way up, as scanners leave it
    const Vec3 axis = Vec3{random.normal(), random.normal(), random.normal()}.normalized();
    spec.rotation = Eigen::AngleAxisd(random.between(0.0, 2.0 * std::numbers::pi), axis).toRotationMatrix();
    spec.translation_mm =
        Vec3{random.between(-300, 300), random.between(-300, 300), random.between(-300, 300)};
    spec.inside_out = random.uniform() < 0.5;
    if (random.uniform() < 0.5) spec.noise_mm = random.between(0.02, 0.12);
    auto cast = generator::take_cast(*foot, spec);
    if (!cast) return cast.fault();
    job.cast = std::move(*cast);

    job.foot = stated_foot(job.unit);
    design::Trim& trim = job.foot.trim;
    trim.distal_first_mm = random.between(4, 14);
    trim.distal_fifth_mm = random.between(4, 14);
    trim.medial_flange_mm = random.between(12, 26);
    trim.lateral_border_mm = random.between(5, 13);
    trim.cup_medial_mm = random.between(8, 19);
    trim.cup_posterior_mm = random.between(8, 19);
    trim.cup_lateral_mm = random.between(8, 19);
    trim.width_allowance_mm = random.between(-4, 2);
    trim.corner_radius_mm = random.between(8, 16);
    design::Wall& wall = job.foot.wall;
    job.foot.material = random.uniform() < 0.5 ? "pp_homopolymer" : "pa11";
    wall.base_mm = random.between(2.4, 4.2);
    if (random.uniform() < 0.4)
        wall.stations = {{0.0, random.between(2.4, 4.2)},
                         {0.5, random.between(2.4, 4.2)},
                         {1.0, random.between(2.4, 4.2)}};
    if (random.uniform() < 0.4) {
        design::WallRegion region;
        region.name = "lateral";
        region.wall_mm = random.between(2.4, 4.4);
        region.blend_mm = random.between(8, 25);
        region.outline = {{20, -60}, {150, -60}, {150, -8}, {20, -8}};
        wall.regions.push_back(region);
    }
    const surface::Rim::Kind rims[] = {surface::Rim::Kind::square, surface::Rim::Kind::bevelled,
                                       surface::Rim::Kind::rounded};
    job.foot.rim.kind = rims[random.next() % 3];
    for (design::WallColumn* column : {&wall.medial_column, &wall.lateral_column}) {
        if (!(random.uniform() < 0.3)) continue;
        column->on = true;
        column->kind = static_cast<design::WallZone::Kind>(random.next() % 3);
        column->wall_mm = random.between(2.4, 4.4);
        column->scale = random.between(0.9, 1.25);
        column->rigidity = random.between(0.6, 2.0);
        column->from = random.between(0.0, 0.4);
        column->to = random.between(0.6, 1.0);
        column->width_mm = random.between(12, 30);
        column->blend_mm = random.between(10, 20);
    }
    job.words =
        std::string(word(job.side)) + " foot " + rounded(foot->shape().length_mm, 0) + " mm, " +
        word(job.unit) +
        (spec.kind == generator::CastSpec::Kind::plaster_negative ? ", plaster negative" : ", surface") +
        ", seed " + std::to_string(seed);
    return job;
}

}  // namespace archwright::tests
