#include <cmath>
#include <future>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/asked_wall.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/build/stages.hpp"

namespace archwright::build {

namespace {

constexpr std::size_t crossings_shown = 16;

Check proof_gate(const std::string& id, const std::string& title, bool holds, const std::string& message) {
    Check check = named_check(id, title);
    check.verdict = holds ? Verdict::pass : Verdict::stop;
    check.message = message;
    check.signable = false;
    return check;
}

void prove_wall(const Shelled& shelled, Proved& proved) {
    const surface::WallGate& walls = proved.walls;
    const design::Material& material = shelled.material;

    Check underside =
        proof_gate("wall.underside", "Wall seen from the underside",
                   std::abs(walls.underside_worst_mm) <= tolerance::wall_mm,
                   "Against the wall asked the underside is off by " + rounded(walls.underside_worst_mm, 3) +
                       " mm at most, at " + place(walls.underside_where) + ".");
    underside.figure = walls.underside_worst_mm;
    underside.limit = tolerance::wall_mm;
    underside.unit = "mm";
    underside.where = walls.underside_where;
    proved.checks.push_back(underside);

    Check foot =
        proof_gate("wall.foot_side", "Wall seen from the foot side",
                   walls.foot_worst_mm >= -tolerance::wall_mm && walls.rays_disagree == 0,
                   "The wall falls short of the map by " + rounded(std::max(0.0, -walls.foot_worst_mm), 3) +
                       " mm at most, at " + place(walls.foot_where) + "." +
                       (walls.rays_disagree == 0
                            ? std::string()
                            : " At " + std::to_string(walls.rays_disagree) + " places, one at " +
                                  place(walls.rays_where) +
                                  ", a line through the wall finds it thinner than the search for the "
                                  "nearest place did: reliefs that lie this close to each other cannot be "
                                  "measured. Move them apart or make them shallower."));
    foot.figure = walls.foot_worst_mm;
    foot.limit = -tolerance::wall_mm;
    foot.unit = "mm";
    foot.where = walls.rays_disagree == 0 ? walls.foot_where : walls.rays_where;
    proved.checks.push_back(foot);

    Check least = proof_gate(
        "wall.least", "Least wall", walls.least_wall_mm >= material.wall_min_mm.value - tolerance::wall_mm,
        "Least wall " + rounded(walls.least_wall_mm, 2) + " mm at " + place(walls.least_where) + "; " +
            material.name + " needs " + rounded(material.wall_min_mm.value, 2) + " mm.");
    least.figure = walls.least_wall_mm;
    least.limit = material.wall_min_mm.value;
    least.unit = "mm";
    least.where = walls.least_where;
    proved.checks.push_back(least);

    Check most = named_check("wall.most", "Greatest wall");
    most.figure = walls.most_mm;
    most.unit = "mm";
    most.where = walls.most_where;
    most.message = "Greatest wall " + rounded(walls.most_mm, 2) + " mm at " + place(walls.most_where) +
                   ", where the surface or the map bends; mean " + rounded(walls.mean_mm, 2) + " mm.";
    proved.checks.push_back(most);

    // Beside the edge the wall ends; a rim much thinner than the material's least wall cuts and cracks.
    constexpr double rim_share = 0.5;
    const double rim_limit = rim_share * material.wall_min_mm.value;
    Check rim = named_check("wall.rim", "Rim");
    rim.figure = walls.rim_least_mm;
    rim.limit = rim_limit;
    rim.unit = "mm";
    rim.where = walls.rim_where;
    rim.verdict = walls.rim_least_mm >= rim_limit ? Verdict::pass : Verdict::stop;
    rim.message = std::string("Beside the trim line ") +
                  (shelled.shell.apertures.empty() ? "" : "and the apertures ") + "the wall is " +
                  rounded(walls.rim_least_mm, 2) + " mm at the least, at " + place(walls.rim_where) +
                  (rim.verdict == Verdict::pass ? "." : ": a thin rim can cut the skin.");
    proved.checks.push_back(rim);
}

void prove_mesh(const Shelled& shelled, const std::vector<Crossing>& crossings, Proved& proved) {
    const TriangleMesh& mesh = shelled.mesh.mesh;
    const Soundness& sound = proved.soundness;
    const std::size_t wrong = sound.open_edges + sound.non_manifold_edges + sound.misoriented_edges +
                              sound.non_manifold_points + sound.degenerate_triangles;
    Check closed =
        proof_gate("mesh.closed", "Closed, two triangles an edge", sound.sound() && sound.components == 1,
                   std::to_string(mesh.triangles.size()) + " triangles, " + std::to_string(sound.open_edges) +
                       " open edges, " + std::to_string(wrong - sound.open_edges) + " other faults, " +
                       std::to_string(sound.components) + (sound.components == 1 ? " part." : " parts."));
    closed.figure = static_cast<double>(wrong);
    closed.limit = 0.0;
    if (!sound.places.empty()) closed.where = sound.places.front();
    proved.checks.push_back(closed);

    Check outward = proof_gate(
        "mesh.outward", "Outward", sound.volume > 0.0,
        "Volume " + rounded(sound.volume, 0) + " mm3, positive when every triangle faces outward.");
    outward.figure = sound.volume;
    outward.unit = "mm3";
    proved.checks.push_back(outward);

    Check crossing = proof_gate(
        "mesh.self_intersection", "No self-intersection", crossings.empty(),
        crossings.empty()
            ? "No two triangles cross (exact test)."
            : std::to_string(crossings.size()) + (crossings.size() == crossings_shown ? " or more" : "") +
                  " pairs of triangles cross, the first at " + place(crossings.front().where) + ".");
    crossing.figure = static_cast<double>(crossings.size());
    crossing.limit = 0.0;
    if (!crossings.empty()) crossing.where = crossings.front().where;
    proved.checks.push_back(crossing);
}

void prove_solid(const Shelled& shelled, Proved& proved) {
    const solid::SolidReport& report = proved.solid_report;
    Check valid =
        proof_gate("solid.valid", "Exact solid", report.valid && report.one_closed_solid,
                   report.valid && report.one_closed_solid
                       ? "One closed solid of " + std::to_string(report.faces) + " faces, edges within " +
                             rounded(report.edge_deviation_mm, 4) + " mm of their faces."
                       : "The exact solid is not sound: " + report.fault);
    valid.figure = report.edge_deviation_mm;
    valid.limit = tolerance::edge_mm;
    valid.unit = "mm";
    valid.where = report.where;
    if (report.edge_deviation_mm > tolerance::edge_mm) valid.verdict = Verdict::stop;
    proved.checks.push_back(valid);

    // docs/decisions.md: the chords of rims and posts' walls cut off at most 2/3 of the chord tolerance on
    // average; floors are flat
    double rim_area = 0.0;
    for (std::size_t i = shelled.mesh.underside_end; i < shelled.mesh.walls_end; ++i)
        rim_area += shelled.mesh.mesh.area(i);
    const double limit =
        tolerance::volume_relative * report.volume_mm3 + 2.0 / 3.0 * tolerance::chord_mm * rim_area;
    const double difference = std::abs(report.volume_mm3 - proved.soundness.volume);
    Check volume = proof_gate("solid.volume", "Volumes of mesh and solid", difference <= limit,
                              "Mesh " + rounded(proved.soundness.volume, 1) + " mm3, solid " +
                                  rounded(report.volume_mm3, 1) + " mm3, apart by " + rounded(difference, 1) +
                                  " mm3 of " + rounded(limit, 1) + " allowed.");
    volume.figure = difference;
    volume.limit = limit;
    volume.unit = "mm3";
    proved.checks.push_back(volume);
}

}  // namespace

Outcome<Proved> prove_stage(const Surfaced& surfaced, const Shelled& shelled, Progress& progress) {
    // The exact solid is built and examined beside the measurements on the mesh: they share nothing.
    auto exact =
        std::async(std::launch::async, [&]() -> Outcome<std::pair<solid::Solid, solid::SolidReport>> {
            auto body = solid::build_solid(shelled.shell);
            if (!body) return body.fault();
            solid::SolidReport report = solid::examine(*body);
            return std::pair(std::move(*body), std::move(report));
        });
    progress.report("Measuring the wall", 0.66);
    std::vector<surface::BallLayer> sheets =
        shelled.features.sheets(asked_wall(shelled.wall, progress), shelled.material.wall_min_mm.value);
    const surface::WallFunction first = sheets.front().radius;
    surface::WallMeasureSettings measuring;
    measuring.further.assign(sheets.begin() + 1, sheets.end());
    surface::WallGate walls =
        surface::measure_wall(shelled.shell, first, surface::Outline(surfaced.trim.curve), measuring);
    progress.report("Proving the mesh", 0.74);
    const Soundness soundness = find_soundness(shelled.mesh.mesh);
    const std::vector<Crossing> crossings = self_intersections(shelled.mesh.mesh, crossings_shown);
    progress.report("Proving the exact solid", 0.8);
    auto solid = exact.get();
    if (!solid) return solid.fault();
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "prove", "Cancelled.", {}};

    constexpr double mm3_per_cm3 = 1000.0;
    Proved proved{std::move(walls),
                  soundness,
                  crossings.size(),
                  std::move(solid->first),
                  std::move(solid->second),
                  soundness.volume,
                  soundness.volume / mm3_per_cm3 * shelled.material.density_g_cm3.value,
                  prove_parts(shelled),
                  {}};
    prove_wall(shelled, proved);
    prove_mesh(shelled, crossings, proved);
    prove_solid(shelled, proved);
    for (Check& check : check_parts(shelled, proved.parts)) proved.checks.push_back(std::move(check));
    return proved;
}

}  // namespace archwright::build
