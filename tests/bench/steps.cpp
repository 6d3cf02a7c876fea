#include "tests/bench/steps.hpp"

#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "engine/base/text.hpp"
#include "engine/build/feature_preview.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/job_file.hpp"
#include "engine/examine/examine.hpp"
#include "engine/solid/solid.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"
#include "exporters/batch/child.hpp"
#include "exporters/step.hpp"
#include "exporters/stl.hpp"
#include "exporters/three_mf.hpp"
#include "tests/bench/must.hpp"

namespace archwright::bench {

namespace fs = std::filesystem;

namespace {

design::FootDesign plain_design() {
    design::FootDesign foot;
    foot.side.by = foot.cast.unit.by = design::StatedBy::person;
    foot.side.code = foot.cast.unit.code = "BENCH";
    return foot;
}

double groove(const Vec2& uv, const Vec2& from, const Vec2& to) {
    const Vec2 along = (to - from).normalized();
    const double t = std::clamp((uv - from).dot(along), 0.0, (to - from).norm());
    const double d = (uv - from - t * along).norm();
    return -2.0 * std::exp(-d * d / (2.0 * 3.0 * 3.0));
}

std::string triangles_of(std::size_t count) {
    return rounded(static_cast<double>(count) / 1000.0, 0) + "k triangles";
}

}  // namespace

void run_reading(std::size_t triangles, const fs::path& folder, std::vector<Figure>& figures) {
    const fs::path path = cast_of(triangles, folder);
    const auto size = static_cast<double>(triangles);
    Progress progress;
    figures.push_back(measure("read STL and weld", size, [&] {
        const auto reading = must(scan::read_cast(path));
        return rounded(static_cast<double>(reading.mesh.points.size()) / 1000.0, 0) + "k points";
    }));
    if (triangles == 1'000'000) figures.back().goal_s = 0.5;
    if (triangles == 5'000'000) figures.back().goal_s = 2.5;
    {
        const auto reading = must(scan::read_cast(path));
        figures.push_back(measure("clean", size, [&] {
            return std::to_string(scan::clean(reading.mesh).notes.size()) + " notes";
        }));
    }
    const auto cast = must(build::open_cast(path, {}, progress));
    const design::FootDesign foot = plain_design();
    figures.push_back(measure("receive, stand, landmarks", size, [&] {
        return std::to_string(
                   must(build::receive_stage(cast, foot, Side::left, "job.json", progress)).checks.size()) +
               " checks";
    }));
    const auto received = must(build::receive_stage(cast, foot, Side::left, "job.json", progress));
    figures.push_back(measure("examine", size, [&] {
        return std::to_string(must(examine::examine(received.standing, &progress)).findings.size()) +
               " findings";
    }));
    if (triangles == 300'000) figures.back().goal_s = 3.0;
    figures.push_back(measure("carpet and trim line", size, [&] {
        return rounded(must(build::surface_stage(received, foot, progress)).report.fit_rms_mm, 3) + " mm rms";
    }));
    figures.push_back(measure("cast file to carpet", size, [&] {
        const auto fresh = must(build::open_cast(path, {}, progress));
        const auto stood = must(build::receive_stage(fresh, foot, Side::left, "job.json", progress));
        return rounded(must(build::surface_stage(stood, foot, progress)).report.fit_rms_mm, 3) + " mm rms";
    }));
    if (triangles == 500'000) figures.back().goal_s = 0.6;
}

namespace {

// A groove that thins the wall, a cavity and a pad that the underside follows: as on the demonstration.
std::vector<feature::Feature> bench_features() {
    feature::Feature groove, cavity, pad;
    groove.kind = feature::Feature::Kind::groove;
    groove.name = "groove";
    groove.points = {{15.0, 2.0}, {60.0, 6.0}, {105.0, 4.0}};
    groove.width_mm = 11.0;
    groove.underside = feature::Feature::Underside::stays;
    groove.least_wall_mm = 1.5;
    cavity.name = "cavity";
    cavity.points = {{65.0, -20.0}};
    pad.kind = feature::Feature::Kind::pad;
    pad.name = "pad";
    pad.points = {{100.0, -15.0}};
    pad.height_mm = 2.5;
    pad.length_mm = 30.0;
    return {groove, cavity, pad};
}

build::Surfaced bench_surface(const fs::path& folder, build::Received* keep = nullptr) {
    Progress progress;
    const auto cast = must(build::open_cast(cast_of(500'000, folder), {}, progress));
    const design::FootDesign foot = plain_design();
    auto received = must(build::receive_stage(cast, foot, Side::left, "job.json", progress));
    auto surfaced = must(build::surface_stage(received, foot, progress));
    if (keep != nullptr) *keep = std::move(received);
    return surfaced;
}

}  // namespace

surface::Shell bench_shell(const fs::path& folder) {
    const auto surfaced = bench_surface(folder);
    surface::UndersideSettings settings;
    settings.within = surfaced.trim.curve;
    auto sides = must(surface::roll_underside(
        surfaced.carpet.surface, [](const Vec2&, const Vec3&) { return 3.2; }, {}, settings));
    return {surfaced.carpet.surface,
            std::move(sides.foot_side),
            std::move(sides.underside),
            surfaced.trim.curve,
            {}};
}

void run_feature_edits(const fs::path& folder, std::vector<Figure>& figures) {
    Progress progress;
    build::Device device;
    build::Received received;
    auto surfaced = bench_surface(folder, &received);
    const auto materials = must(design::load_materials(design::assets_folder() / "materials"));
    design::FootDesign foot = plain_design();
    foot.features = bench_features();
    device.received = std::make_shared<build::Received>(std::move(received));
    device.surfaced = std::make_shared<build::Surfaced>(std::move(surfaced));
    const auto stage = [&] {
        return must(build::shell_stage(*device.received, *device.surfaced, foot, materials, progress));
    };
    device.shelled = std::make_shared<build::Shelled>(stage());
    build::FeaturePreview preview(device, foot);
    for (std::size_t which = 0; which < foot.features.size(); ++which) {
        feature::Feature& edited = foot.features[which];
        figures.push_back(measure("feature edit to preview mesh, " + edited.name, 0, [&] {
            edited.depth_mm = edited.depth_mm == 2.0 ? 3.0 : 2.0;
            edited.height_mm = edited.height_mm == 2.5 ? 3.5 : 2.5;
            must(preview.edit(foot));
            return rounded(static_cast<double>(preview.moved()) / 1000.0, 0) + "k of " +
                   rounded(static_cast<double>(preview.mesh().uv.size()) / 1000.0, 0) + "k points moved";
        }));
        figures.back().goal_s = 0.05;
    }
    const double edit_s = figures[figures.size() - foot.features.size()].median_s;
    figures.push_back(measure("the same edit of the groove by the stage, fitted and meshed anew", 0, [&] {
        foot.features.front().depth_mm = foot.features.front().depth_mm == 2.0 ? 3.0 : 2.0;
        return triangles_of(stage().mesh.mesh.triangles.size());
    }));
    figures.back().note += ", " + rounded(figures.back().median_s / edit_s, 0) + " times the preview's";
}

void run_edits(const fs::path& folder, std::vector<Figure>& figures) {
    const auto surfaced = bench_surface(folder);
    const auto& carpet = surfaced.carpet.surface;
    const auto wall = [](const Vec2&, const Vec3& p) { return 3.2 + 0.002 * p.x(); };
    const Vec2 from(0.3 * carpet.u.length, 0.5 * carpet.v.length),
        to(0.7 * carpet.u.length, 0.55 * carpet.v.length);
    const auto cut = [&](const Vec2& uv) { return groove(uv, from, to); };
    const auto shell_of = [&](const surface::FeatureFunction& features, int halvings,
                              const surface::PeriodicCurve& trim) {
        surface::UndersideSettings settings;
        settings.within = trim;
        settings.halvings = halvings;
        auto sides = must(surface::roll_underside(carpet, wall, features, settings));
        return surface::Shell{carpet, std::move(sides.foot_side), std::move(sides.underside), trim, {}};
    };
    auto preview = must(surface::mesh_shell(shell_of({}, 0, surfaced.trim.curve), {0.1}));
    figures.push_back(measure("field edit to preview mesh, coarse", 0, [&] {
        surface::reevaluate(preview, shell_of({}, 0, surfaced.trim.curve));
        return triangles_of(preview.mesh.triangles.size());
    }));
    figures.back().goal_s = 0.02;
    auto fine = must(surface::mesh_shell(shell_of(cut, 0, surfaced.trim.curve)));
    figures.push_back(measure("field edit to preview mesh, fine, groove", 0, [&] {
        surface::reevaluate(fine, shell_of(cut, 1, surfaced.trim.curve));
        return triangles_of(fine.mesh.triangles.size());
    }));
    figures.back().goal_s = 0.05;
    surface::TrimRule rule = surfaced.rule;
    const auto trim_edit = [&](const surface::FeatureFunction& features) {
        rule.cup_medial_mm = rule.cup_medial_mm == 14.0 ? 15.0 : 14.0;
        const auto trim = must(surface::find_trim(carpet, rule));
        const auto mesh = must(surface::mesh_shell(shell_of(features, 3, trim.curve)));
        return triangles_of(mesh.mesh.triangles.size());
    };
    figures.push_back(measure("trim edit to full mesh, plain", 0, [&] { return trim_edit({}); }));
    figures.back().goal_s = 0.15;
    figures.push_back(measure("trim edit to full mesh, groove", 0, [&] { return trim_edit(cut); }));
    figures.back().goal_s = 0.35;
}

void run_shell(const fs::path& folder, std::vector<Figure>& figures) {
    Progress progress;
    build::Received received;
    const auto surfaced = bench_surface(folder, &received);
    const design::FootDesign foot = plain_design();
    const auto materials = must(design::load_materials(design::assets_folder() / "materials"));
    figures.push_back(measure("underside and mesh", 0, [&] {
        return triangles_of(must(build::shell_stage(received, surfaced, foot, materials, progress))
                                .mesh.mesh.triangles.size());
    }));
    const auto shelled = must(build::shell_stage(received, surfaced, foot, materials, progress));
    figures.push_back(measure("every gate (wall, mesh, solid)", 0, [&] {
        return rounded(must(build::prove_stage(surfaced, shelled, progress)).walls.least_wall_mm, 2) +
               " mm least wall";
    }));
    figures.push_back(measure("exact test for self-intersection", 0, [&] {
        return std::to_string(self_intersections(shelled.mesh.mesh, 16).size()) + " crossings";
    }));
    figures.push_back(measure("exact solid", 0, [&] {
        const auto solid = must(solid::build_solid(shelled.shell));
        return rounded(solid::examine(solid).volume_mm3, 0) + " mm3";
    }));
    figures.push_back(measure("STL written and read back", 0, [&] {
        must(exporters::write_stl(shelled.mesh.mesh, "bench", folder / "bench.stl"));
        return std::string();
    }));
    figures.push_back(measure("3MF written and read back", 0, [&] {
        must(exporters::write_three_mf({{"bench", shelled.mesh.mesh}}, {"bench", ""}, folder / "bench.3mf"));
        return std::string();
    }));
    const auto solid = must(solid::build_solid(shelled.shell));
    const auto report = solid::examine(solid);
    figures.push_back(measure("STEP written and read back", 0, [&] {
        must(exporters::write_step(solid, report, {"bench"}, folder / "bench.step"));
        return std::string();
    }));
}

void run_make(std::size_t triangles, const fs::path& program, const fs::path& folder,
              std::vector<Figure>& figures) {
    const fs::path cast = cast_of(triangles, folder),
                   job = folder / ("job-" + std::to_string(triangles) + ".json");
    const auto run = [&](std::vector<std::string> words) {
        words.insert(words.begin(), {program.string(), "--quiet"});
        const auto end = must(exporters::batch::run_child(words, folder / "out.txt", folder / "err.txt", {},
                                                          [] { return false; }));
        if (end.exit_code != 0) {
            std::fprintf(stderr, "bench: %s ended with %d\n", words[2].c_str(), end.exit_code);
            std::exit(1);
        }
        return end;
    };
    run({"new", cast.string(), "-o", job.string(), "--side", "left", "--unit", "mm", "--by", "BENCH",
         "--replace"});
    double peak = 0.0;
    figures.push_back(measure("archwright make (whole process)", static_cast<double>(triangles), [&] {
        const auto end = run({"make", job.string(), "-o", (folder / "made").string(), "--replace"});
        peak = std::max(peak, end.peak_mb);
        return std::string("STL, 3MF, STEP, report");
    }));
    figures.back().peak_mb = peak;
    if (triangles == 500'000) figures.back().goal_s = 2.5;
}

}  // namespace archwright::bench
