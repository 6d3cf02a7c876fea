#include "engine/build/part_stage.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/feature/part.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/range.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/patch_of.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::build {

namespace {

constexpr std::size_t part_crossings_shown = 4;

Outcome<Part> part_of(const feature::FeatureMap::Laid& one, const feature::FeatureMap& features,
                      const surface::Shell& shell, const surface::TrimRegion& trim,
                      const design::Materials& materials) {
    auto laid = feature::lay_part(one, features, shell.carpet, shell.foot_side, trim);
    if (!laid) return laid.fault();
    const feature::OwnPart& asked = laid->feature.part;
    auto material = materials.find(asked.material);
    if (!material) return material.fault();
    Part part;
    part.name = laid->feature.name;
    part.kind = laid->feature.seat() ? Part::Kind::plug : Part::Kind::pad;
    part.material = std::move(*material);
    part.clearance_mm = laid->feature.seat() ? asked.clearance_mm : 0.0;
    part.glue_mm = asked.glue_mm;
    part.body = std::move(laid->body);
    part.origin = laid->origin;
    part.side = std::move(laid->side);
    part.fit_mm = laid->fit_mm;
    part.lost_share = laid->lost_share;
    auto mesh = surface::mesh_shell(part.body);
    if (!mesh)
        return feature::fault_of(one.feature, "its part cannot be made: " + mesh.fault().message,
                                 mesh.fault().where);
    part.mesh = std::move(*mesh);
    return part;
}

// Its top is the underside, moved straight down by the glue's gap: what is rolled under a relief may bend too
// sharply to be offset.
Outcome<Part> part_of(surface::Post post, const surface::SplineSurface& underside,
                      const feature::PostPart& asked, const std::string& name,
                      const design::Materials& materials) {
    auto material = materials.find(asked.material);
    if (!material) return material.fault();
    Part part;
    part.name = name;
    part.kind = Part::Kind::post;
    part.material = std::move(*material);
    part.glue_mm = asked.glue_mm;
    const surface::TrimRegion within{surface::Outline(post.curve)};
    surface::CutOut cut = surface::cut_out(underside, within.low(), within.high());
    part.origin = cut.origin;
    for (Vec2& p : post.curve.control) p -= cut.origin;
    surface::SplineSurface& top = cut.surface;
    for (Vec3& p : top.control) p.z() -= asked.glue_mm;
    part.body = surface::shell_over(top, post);
    auto mesh = surface::mesh_post(top, post);
    if (!mesh) return mesh.fault();
    part.mesh = std::move(*mesh);
    return part;
}

void measure_thickness(const Part& part, PartProof& proof) {
    const surface::ShellMesh& mesh = part.mesh;
    const bool post = part.kind == Part::Kind::post;
    const TriangleMesh below = post ? range(mesh.mesh, mesh.walls_end, mesh.mesh.triangles.size())
                                    : range(mesh.mesh, mesh.foot_side_end, mesh.underside_end);
    const Bvh tree(below);
    constexpr double thickest_mm = 100.0;
    proof.least_mm = thickest_mm;
    for (std::size_t k = 0; k < mesh.foot_side_points; ++k) {
        const Vec3& p = mesh.mesh.points[k];
        const auto near = tree.nearest(p, thickest_mm);
        const double thick = post   ? surface::height_above_floor(part.body.posts.front(), p)
                             : near ? near->distance
                                    : thickest_mm;
        proof.least_mm = std::min(proof.least_mm, thick);
        proof.greatest_mm = std::max(proof.greatest_mm, thick);
    }
    const double area = below.area();
    proof.mean_mm = area > 0.0 ? proof.soundness.volume / area : 0.0;
}

// Least distance of the plug's side from its seat, both exact surfaces; the side is where the clearance has
// come to its full size.
std::optional<double> clearance_of(const Part& part, const surface::SplineSurface& seat) {
    if (!part.side) return std::nullopt;
    const surface::TrimRegion inside{surface::Outline(part.body.trim)};
    constexpr double spacing_mm = 0.3;
    const surface::Lattice lattice =
        surface::Lattice::spaced(part.body.underside.u, part.body.underside.v, spacing_mm);
    std::vector<Vec2> places;
    for (std::size_t k = 0; k < lattice.size(); ++k)
        if (inside.inside(lattice.uv(k))) places.push_back(lattice.uv(k));
    for (std::size_t k = 0; k < part.mesh.underside_points; ++k)
        places.push_back(part.mesh.uv[part.mesh.foot_side_points + k]);
    std::optional<double> least;
    for (const Vec2& uv : places) {
        if (part.side(uv) < 1.0) continue;
        Vec2 at = part.origin + uv;
        const double distance = seat.project(part.body.underside.point(uv), at);
        if (!least || distance < *least) least = distance;
    }
    return least;
}

// How far the points of one body lie within another: 0 where they only touch.
double depth_within(const TriangleMesh& one, const Bvh& other, const Box3& box) {
    std::vector<double> depth(one.points.size(), 0.0);
    parallel_for(depth.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec3& p = one.points[k];
            if ((p.array() < box.low.array()).any() || (p.array() > box.high.array()).any()) continue;
            constexpr double far_mm = 100.0;
            const auto near = other.nearest(p, far_mm);
            if (!near || near->distance <= tolerance::part_touch_mm) continue;
            // askew to everything a foot has, so that no ray runs along an edge
            const Vec3 askew = Vec3(0.2718281, 0.3141593, 0.9123457).normalized();
            constexpr double out_mm = 1000.0;
            if (other.ray_all(p, askew, 0.0, out_mm).size() % 2 == 1) depth[k] = near->distance;
        }
    });
    return depth.empty() ? 0.0 : *std::max_element(depth.begin(), depth.end());
}

void prove_apart(const Shelled& shelled, std::vector<PartProof>& proofs) {
    struct Body {
        const TriangleMesh* mesh;
        Bvh tree;
        Box3 box;
        std::string name;
    };
    std::vector<Body> bodies;
    bodies.reserve(shelled.parts.size() + 1);
    const auto add = [&](const TriangleMesh& mesh, const std::string& name) {
        bodies.push_back({&mesh, Bvh(mesh), mesh.box(), name});
    };
    add(shelled.mesh.mesh, "the shell");
    for (const Part& part : shelled.parts) add(part.mesh.mesh, "\"" + part.name + "\"");
    for (std::size_t a = 1; a < bodies.size(); ++a)
        for (std::size_t b = 0; b < bodies.size(); ++b) {
            if (b == a) continue;
            const double depth =
                std::max(depth_within(*bodies[a].mesh, bodies[b].tree, bodies[b].box),
                         b == 0 ? depth_within(*bodies[b].mesh, bodies[a].tree, bodies[a].box) : 0.0);
            if (depth <= proofs[a - 1].deepest_mm) continue;
            proofs[a - 1].deepest_mm = depth;
            proofs[a - 1].cuts = bodies[b].name;
        }
}

// What is wrong with a part; empty when it fits.
std::string trouble_of(const Part& part, const PartProof& proof) {
    const auto mm = [](double value, int decimals) { return rounded(value, decimals) + " mm"; };
    if (!proof.soundness.sound() || proof.soundness.components != 1 || proof.crossings > 0)
        return "it is no closed body: " + std::to_string(proof.soundness.open_edges) + " open edges, " +
               std::to_string(proof.soundness.components) + " pieces, " + std::to_string(proof.crossings) +
               " pairs of triangles that cross. Make it broader or its flank less steep";
    if (proof.deepest_mm > tolerance::part_touch_mm)
        return "it cuts " + mm(proof.deepest_mm, 2) + " into " + proof.cuts + ". Move one of the two";
    if (part.fit_mm > tolerance::part_fit_mm)
        return "its faces lie up to " + mm(part.fit_mm, 3) +
               " from what was asked. Make its flank broader, or its outline smoother";
    if (part.side && !proof.clearance_mm)
        return "it ends on the floor of its seat, before its side comes to " + mm(part.clearance_mm, 2) +
               " from the flank: the seat is too shallow. Deepen it, or ask for less clearance";
    if (proof.clearance_mm &&
        std::abs(*proof.clearance_mm - part.clearance_mm) > tolerance::part_clearance_mm)
        return "its side comes to " + mm(*proof.clearance_mm, 3) + " from its seat instead of " +
               mm(part.clearance_mm, 2) +
               ": the seat bends too sharply. Ask for less clearance, or a broader flank";
    return {};
}

}  // namespace

bool is_part(const surface::Post& post, const design::FootDesign& foot) {
    return (post.name == rearfoot_post && foot.posts.rearfoot.part.asked()) ||
           (post.name == forefoot_post && foot.posts.forefoot.part.asked());
}

Outcome<std::vector<Part>> lay_parts(const Surfaced& surfaced, const surface::Shell& shell,
                                     const feature::FeatureMap& features,
                                     const std::vector<surface::Post>& posts, const design::FootDesign& foot,
                                     const design::Materials& materials) {
    for (const feature::Feature& one : foot.features)
        if (one.on && one.part.asked() && !one.seat() && !one.stuck_on())
            return feature::fault_of(one,
                                     "a groove or an aperture cannot hold a part of its own; a cavity (a "
                                     "plug), a pad, a dome and a bar can. Take its part.material out.");
    const surface::TrimRegion trim{surface::Outline(surfaced.trim.curve)};
    std::vector<Part> parts;
    for (const feature::FeatureMap::Laid& one : features.laid()) {
        if (!one.feature.part.asked()) continue;
        auto part = part_of(one, features, shell, trim, materials);
        if (!part) return part.fault();
        parts.push_back(std::move(*part));
    }
    for (const surface::Post& post : posts) {
        const bool rear = post.name == rearfoot_post;
        auto part = part_of(post, shell.underside, rear ? foot.posts.rearfoot.part : foot.posts.forefoot.part,
                            rear ? "rearfoot-post" : "forefoot-post", materials);
        if (!part) return part.fault();
        parts.push_back(std::move(*part));
    }
    std::set<std::string> names;  // files of names that differ in case alone are one on some disks
    for (const Part& part : parts)
        if (!names.insert(lower(part.name)).second)
            return Fault{FaultKind::check,
                         "features",
                         "Two parts would be called \"" + part.name + "\" in their files: rename one.",
                         {}};
    return parts;
}

std::vector<surface::Post> posts_under(const Shelled& shelled) {
    std::vector<surface::Post> posts = shelled.shell.posts;
    for (const Part& part : shelled.parts) {
        if (part.kind != Part::Kind::post) continue;
        surface::Post post = part.body.posts.front();
        for (Vec2& p : post.curve.control) p += part.origin;
        posts.push_back(std::move(post));
    }
    return posts;
}

surface::Shell with_stuck_on(const Shelled& shelled) {
    surface::Shell shell = shelled.shell;
    shell.posts = posts_under(shelled);
    return shell;
}

TriangleMesh whole_mesh(const Shelled& shelled) {
    TriangleMesh whole = shelled.mesh.mesh;
    for (const Part& part : shelled.parts) {
        const auto first = static_cast<std::int32_t>(whole.points.size());
        const TriangleMesh& mesh = part.mesh.mesh;
        whole.points.insert(whole.points.end(), mesh.points.begin(), mesh.points.end());
        for (const Triangle& t : mesh.triangles)
            whole.triangles.push_back({t[0] + first, t[1] + first, t[2] + first});
    }
    return whole;
}

std::vector<PartProof> prove_parts(const Shelled& shelled) {
    std::vector<PartProof> proofs;
    for (const Part& part : shelled.parts) {
        PartProof proof;
        proof.soundness = find_soundness(part.mesh.mesh);
        proof.crossings = self_intersections(part.mesh.mesh, part_crossings_shown).size();
        constexpr double mm3_per_cm3 = 1000.0;
        proof.mass_g = proof.soundness.volume / mm3_per_cm3 * part.material.density_g_cm3.value;
        measure_thickness(part, proof);
        proof.clearance_mm = clearance_of(part, shelled.shell.foot_side);
        auto solid = part.kind == Part::Kind::post
                         ? solid::build_post(part.body.underside, part.body.posts.front())
                         : solid::build_solid(part.body);
        if (solid) {
            proof.solid_report = solid::examine(*solid);
            const solid::SolidReport& found = proof.solid_report;
            if (found.valid && found.one_closed_solid && found.edge_deviation_mm <= tolerance::edge_mm)
                proof.solid = std::move(*solid);
        } else {
            proof.solid_report.fault = solid.fault().message;
        }
        proofs.push_back(std::move(proof));
    }
    if (!proofs.empty()) prove_apart(shelled, proofs);
    return proofs;
}

std::vector<Check> check_parts(const Shelled& shelled, const std::vector<PartProof>& proofs) {
    std::vector<Check> checks;
    if (shelled.parts.empty()) return checks;
    Check fit = named_check("parts.fit", "Parts of their own");
    fit.signable = false;
    std::string troubles, figures, cut;
    for (std::size_t k = 0; k < proofs.size(); ++k) {
        const Part& part = shelled.parts[k];
        const PartProof& proof = proofs[k];
        const std::string trouble = trouble_of(part, proof);
        if (!trouble.empty()) troubles += "\"" + part.name + "\": " + trouble + ". ";
        figures += "\"" + part.name + "\" up to " + rounded(proof.greatest_mm, 2) + " mm thick";
        if (proof.clearance_mm) {
            figures += ", " + rounded(*proof.clearance_mm, 2) + " mm clear of its seat's flank";
            fit.figure = *proof.clearance_mm;
            fit.limit = part.clearance_mm;
            fit.unit = "mm";
        }
        figures += ". ";
        if (part.lost_share > tolerance::part_lost_look)
            cut += "\"" + part.name + "\" by " + rounded(100.0 * part.lost_share, 0) + " %. ";
    }
    fit.verdict = troubles.empty() ? Verdict::pass : Verdict::stop;
    fit.message =
        troubles.empty() ? "Closed bodies, apart from the shell and from one another: " + figures : troubles;
    fit.message.pop_back();
    checks.push_back(fit);
    if (cut.empty()) return checks;
    Check reach = named_check("parts.reach", "Parts cut short by the trim line");
    reach.verdict = Verdict::look;
    reach.message = "Cut " + rounded(tolerance::loop_apart_mm, 0) +
                    " mm inside the trim line, smaller than ordered: " + cut;
    reach.message.pop_back();
    checks.push_back(reach);
    return checks;
}

}  // namespace archwright::build
