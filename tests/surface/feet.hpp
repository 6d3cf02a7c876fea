// Feet for the tests of this folder: generated ones with their truth, and real scans where they are.
#pragma once

#include <Eigen/Geometry>
#include <filesystem>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "assets/generator/foot.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/stand.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/read.hpp"
#include "engine/scan/receive.hpp"
#include "engine/surface/carpet.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::tests {

struct Specimen {
    std::string name;
    TriangleMesh mesh;
    surface::TrimRule rule;
};

/// The generator's plain foot.
inline const generator::Foot& plain_foot() {
    static const generator::Foot foot = generator::Foot::make({}).value();
    return foot;
}

inline surface::TrimRule rule_of(const generator::Foot& foot) {
    surface::TrimRule rule;
    rule.heel_centre = foot.truth().landmarks.at("heel_centre");
    rule.first_head = foot.truth().landmarks.at("first_head_border");
    rule.fifth_head = foot.truth().landmarks.at("fifth_head_border");
    return rule;
}

/// Noise along the normal, `spikes` of 2 mm, and round holes in the sole at places of the rule's frame.
inline Specimen specimen(const generator::Foot& foot, std::size_t triangles, double noise_mm, int spikes = 0,
                         const std::vector<Vec2>& holes = {}, double hole_radius = 0.0) {
    Specimen made{"generated", foot.mesh_of(triangles).value(), rule_of(foot)};
    std::mt19937_64 random(7);
    std::normal_distribution<double> normal(0.0, noise_mm);
    std::uniform_int_distribution<std::size_t> any(0, made.mesh.points.size() - 1);
    const std::vector<Vec3> normals = made.mesh.point_normals();
    if (noise_mm > 0.0)
        for (std::size_t i = 0; i < made.mesh.points.size(); ++i)
            made.mesh.points[i] += normal(random) * normals[i];
    for (int k = 0; k < spikes; ++k) {
        const std::size_t i = any(random);
        made.mesh.points[i] += (k % 3 == 0 ? -2.0 : 2.0) * normals[i];
    }
    for (const Vec2& hole : holes) {
        const Vec3 centre = foot.sole(hole.x(), hole.y()).value();
        std::erase_if(made.mesh.triangles, [&](const Triangle& t) {
            const Vec3 middle =
                (made.mesh.points[t[0]] + made.mesh.points[t[1]] + made.mesh.points[t[2]]) / 3.0;
            return (middle - centre).norm() < hole_radius;
        });
    }
    return made;
}

/// Distances of the carpet inside the trim line from the foot's exact surface.
struct Truth {
    double rms = 0.0, max = 0.0;
    Vec3 worst = Vec3::Zero();
};
inline Truth against(const generator::Foot& foot, const surface::Carpet& carpet,
                     const surface::TrimLine& trim) {
    const surface::Outline outline(trim.curve);
    Truth truth;
    int count = 0;
    for (int i = 0; i < 260; ++i)
        for (int j = 0; j < 140; ++j) {
            const Vec2 uv(carpet.surface.u.length * (i + 0.5) / 260,
                          carpet.surface.v.length * (j + 0.5) / 140);
            if (!outline.inside(uv)) continue;
            const Vec3 p = carpet.surface.point(uv);
            const auto exact = foot.project(p);
            const double d = exact ? (p - *exact).norm() : 1e3;
            truth.rms += d * d;
            ++count;
            if (d > truth.max) {
                truth.max = d;
                truth.worst = p;
            }
        }
    truth.rms = std::sqrt(truth.rms / count);
    return truth;
}

/// Whole real feet, standing in the design frame; empty where the folder of scans is absent.
inline std::vector<Specimen> real_feet() {
    const std::filesystem::path folder =
        std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / ".." / "shared" / "scans";
    std::vector<Specimen> feet;
    for (const char* name :
         {"sculpted_base_left.stl", "sculpted_male_left.stl", "sculpted_heavy_left.stl",
          "sculpted_female_right.stl", "sculpted_child_right.stl", "standing_left_m.stl",
          "standing_right_m.stl", "relaxed_left_template_colour.ply", "relaxed_left_a_colour.ply",
          "relaxed_right_b_colour.ply", "relaxed_left_a_colour_yup_m.obj", "noisy_holes_left_colour.ply"}) {
        const std::string text = name;
        if (!std::filesystem::exists(folder / text)) continue;
        const auto read = scan::read_cast(folder / text);
        if (!read) continue;
        const scan::Cleaning cleaned = scan::clean(read->mesh);
        const auto received = scan::receive(cleaned.mesh, read->declared_unit, {});
        if (!received) continue;
        const auto standing = foot::stand(
            cleaned.mesh, *received, text.find("_left") != std::string::npos ? Side::left : Side::right,
            text.find("_m.") != std::string::npos ? LengthUnit::metre : LengthUnit::millimetre, {});
        if (!standing) continue;
        Specimen made{text, standing->mesh, {}};
        made.rule.heel_centre = standing->landmarks.at(foot::LandmarkId::heel_centre).position;
        made.rule.first_head = standing->landmarks.at(foot::LandmarkId::first_head_border).position;
        made.rule.fifth_head = standing->landmarks.at(foot::LandmarkId::fifth_head_border).position;
        feet.push_back(std::move(made));
    }
    return feet;
}

/// The specimen turned about the middle of the foot.
inline Specimen turned(Specimen specimen, double roll_deg, double pitch_deg, double yaw_deg) {
    const Mat3 turn = (Eigen::AngleAxisd(radians(yaw_deg), Vec3::UnitZ()) *
                       Eigen::AngleAxisd(radians(pitch_deg), Vec3::UnitY()) *
                       Eigen::AngleAxisd(radians(roll_deg), Vec3::UnitX()))
                          .toRotationMatrix();
    const Vec3 middle(100.0, 0.0, 20.0);
    const auto move = [&](Vec3& p) { p = middle + turn * (p - middle); };
    for (Vec3& p : specimen.mesh.points) move(p);
    for (Vec3* p : {&specimen.rule.heel_centre, &specimen.rule.first_head, &specimen.rule.fifth_head})
        move(*p);
    return specimen;
}

}  // namespace archwright::tests
