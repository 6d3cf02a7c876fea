#include "assets/drawings/specimen.hpp"

#include "assets/demo/demo_job.hpp"
#include "assets/generator/demo.hpp"
#include "engine/build/stages.hpp"

namespace archwright::drawings {

namespace {

/// As many as show no facet in a drawing of this size.
constexpr std::size_t triangles = 30'000;

}  // namespace

Outcome<Specimen> make_specimen(const Otherwise& otherwise) {
    generator::FootShape shape = generator::demo_shape();
    shape.forefoot_to_rearfoot_deg =
        otherwise.forefoot_to_rearfoot_deg.value_or(shape.forefoot_to_rearfoot_deg);
    shape.arch_height_mm = otherwise.arch_height_mm.value_or(shape.arch_height_mm);
    const auto foot = generator::Foot::make(shape);
    if (!foot) return foot.fault();
    generator::CastSpec spec;
    spec.triangles = triangles;
    auto taken = generator::take_cast(*foot, spec);
    if (!taken) return taken.fault();

    auto cast = std::make_shared<build::CastFile>();
    cast->name = "in memory";
    cast->triangles_read = taken->mesh.triangles.size();
    cast->cleaning.mesh = std::move(taken->mesh);

    const design::Job job = demo::demo_job(taken->truth, {}, {});
    Specimen specimen;
    specimen.side = shape.side;
    specimen.foot = *job.foot(shape.side);
    specimen.foot.repairs.clear();  // places of the other cast
    specimen.foot.balance = {};     // a drawing shows one thing
    specimen.foot.dress = {};
    specimen.foot.features.clear();
    specimen.foot.posts = {};
    specimen.foot.cast.unit.value = spec.unit;
    specimen.foot.cast.inside_out = false;  // the foot itself, normals outward
    specimen.cast = std::move(cast);
    return specimen;
}

Outcome<build::Received> stand(const Specimen& specimen) {
    Progress progress;
    return build::receive_stage(specimen.cast, specimen.foot, specimen.side, "the drawing's job", progress);
}

Outcome<Made> make(const Specimen& specimen) {
    Progress progress;
    auto received = stand(specimen);
    if (!received) return received.fault();
    auto surfaced = build::surface_stage(*received, specimen.foot, progress);
    if (!surfaced) return surfaced.fault();
    return Made{std::move(*received), std::move(*surfaced)};
}

Outcome<build::Shelled> make_shell(const Specimen& specimen, const Made& made) {
    Progress progress;
    const auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return materials.fault();
    return build::shell_stage(made.received, made.surfaced, specimen.foot, *materials, progress);
}

}  // namespace archwright::drawings
