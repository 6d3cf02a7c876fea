#include "engine/picture/of_device.hpp"

#include <cmath>
#include <tuple>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/build/plan_border.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::picture {

namespace {

/// The region's curve, as the wall map has it: smooth through the points of its outline.
std::vector<Vec2> curve_of(const design::WallRegion& region) {
    if (region.outline.size() < 3) return region.outline;
    constexpr int per_span = 12;
    const auto curve = surface::PeriodicCurve::through(region.outline);
    std::vector<Vec2> points;
    for (std::size_t i = 0; i < per_span * region.outline.size(); ++i)
        points.push_back(curve.point(static_cast<double>(i) / per_span));
    return points;
}

/// "1.2 x wall", "2 x rigidity".
std::string value_words(const design::WallZone& zone) {
    const bool scale = zone.kind == design::WallZone::Kind::scale;
    return exact(scale ? zone.scale : zone.rigidity) + (scale ? " x wall" : " x rigidity");
}

}  // namespace

std::vector<PlanOutline> feature_outlines(const build::Shelled& shelled) {
    std::vector<PlanOutline> all;
    const surface::ShellMesh& mesh = shelled.mesh;
    const FaceRange foot_side{0, mesh.foot_side_end};
    std::vector<Vec3> carpet;  // under each point, where any feature asks for it
    if (!shelled.features.empty()) {
        carpet.resize(mesh.foot_side_points);
        parallel_for(carpet.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) carpet[i] = shelled.shell.carpet.point(mesh.uv[i]);
        });
    }
    for (const feature::FeatureMap::Laid& laid : shelled.features.laid()) {
        if (!(laid.shape.asked_mm > 0.0)) continue;
        std::vector<double> heights(mesh.mesh.points.size(), 0.0);
        parallel_for(carpet.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i)
                heights[i] = std::abs(laid.shape.at(mesh.uv[i], carpet[i]));
        });
        PlanOutline outline;
        outline.kind = laid.feature.relief() ? PlanOutline::Kind::hollow : PlanOutline::Kind::raised;
        // of several pieces the longest: a sliver beyond a flank is no outline
        double longest = 0.0;
        for (const Chain& chain : level_curves(mesh.mesh, heights, 0.5 * laid.shape.asked_mm, foot_side)) {
            if (chain.length() <= longest) continue;
            longest = chain.length();
            outline.points.clear();
            for (const Vec3& p : chain.points) outline.points.push_back(p.head<2>());
        }
        if (outline.points.size() < 3) continue;
        outline.value_mm = laid.shape.asked_mm;
        outline.feature = laid.feature.name;
        all.push_back(std::move(outline));
    }
    return all;
}

std::vector<PlanMark> plan_marks(const design::FootDesign& foot, const foot::Frame& frame) {
    std::vector<PlanMark> all;
    for (const design::Mark& mark : foot.marks) {
        if (mark.refused) continue;
        PlanMark drawn;
        drawn.name = mark.name;
        drawn.area = mark.kind == design::Mark::Kind::area;
        drawn.open = mark.open();
        if (mark.kind == design::Mark::Kind::spot) drawn.across_mm = mark.breadth_mm;
        for (const Vec3& p : mark.points) drawn.points.push_back(frame.to_design(p).head<2>());
        all.push_back(std::move(drawn));
    }
    return all;
}

PictureInput input_of(const build::Device& device, const design::FootDesign& foot) {
    return input_of(device, foot, feature_outlines(*device.shelled));
}

PictureInput input_of(const build::Device& device, const design::FootDesign& foot,
                      std::vector<PlanOutline> outlines) {
    PictureInput input;
    input.side = device.side;
    input.case_code = device.case_code;
    input.title = "Revision " + device.revision;
    input.cast = &device.received->standing.mesh;
    input.shell = &device.shelled->shell;
    input.shell_mesh = &device.made();
    for (const build::Part& part : device.shelled->parts) input.parts.push_back(&part.mesh.mesh);
    input.landmarks = device.received->standing.landmarks;
    if (device.proved) input.walls = &device.proved->walls;
    for (const design::WallRegion& region : foot.wall.regions) {
        const bool wall = region.kind == design::WallZone::Kind::wall;
        input.outlines.push_back({PlanOutline::Kind::wall_region,
                                  region.name,
                                  curve_of(region),
                                  wall ? region.wall_mm : 0.0,
                                  {},
                                  wall ? std::string() : value_words(region)});
    }
    const std::vector<Vec2> line =
        build::trim_in_plan(device.shelled->shell.carpet, device.shelled->shell.trim);
    for (const auto& [column, medial] :
         {std::pair{&foot.wall.medial_column, true}, std::pair{&foot.wall.lateral_column, false}}) {
        std::vector<Vec2> strip;
        if (column->on) strip = build::column_in_plan(line, *column, medial);
        if (strip.empty()) continue;
        const bool wall = column->kind == design::WallZone::Kind::wall;
        input.outlines.push_back({PlanOutline::Kind::wall_region,
                                  medial ? "medial column" : "lateral column",
                                  std::move(strip),
                                  wall ? column->wall_mm : 0.0,
                                  {},
                                  wall ? std::string() : value_words(*column)});
    }
    for (PlanOutline& outline : outlines) input.outlines.push_back(std::move(outline));
    input.marks = plan_marks(foot, device.received->standing.frame);
    input.base_wall_mm = foot.wall.base_mm;
    std::tie(input.asked_low_mm, input.asked_high_mm) = device.shelled->wall->asked_range();
    input.rigidity_n_mm2 = device.shelled->rigidity.of_1_mm;
    input.density_g_cm3 = device.shelled->material.density_g_cm3.value;
    input.minimum_wall_mm = device.shelled->material.wall_min_mm.value;
    input.checks = device.checks;
    return input;
}

PictureInput input_of(const build::Received& received, Side side) {
    PictureInput input;
    input.side = side;
    input.cast = &received.standing.mesh;
    input.landmarks = received.standing.landmarks;
    input.checks = received.checks;
    return input;
}

}  // namespace archwright::picture
