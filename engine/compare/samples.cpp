#include "engine/compare/samples.hpp"

#include <algorithm>
#include <cmath>

#include "engine/compare/surface.hpp"

namespace archwright::compare {

namespace {

std::vector<Sample> spread_over(const Sheet& sheet) {
    std::vector<char> used(sheet.points.size(), 0);
    for (const Triangle& t : sheet.triangles)
        for (const auto corner : t) used[static_cast<std::size_t>(corner)] = 1;
    std::vector<std::size_t> all;
    for (std::size_t i = 0; i < used.size(); ++i)
        if (used[i] != 0 && sheet.normals[i].squaredNorm() > 0.5) all.push_back(i);
    std::vector<Sample> samples;
    const std::size_t count = std::min(most_samples, all.size());
    for (std::size_t k = 0; k < count; ++k) {
        const std::size_t i = all[k * all.size() / count];
        samples.push_back({sheet.points[i], sheet.normals[i]});
    }
    return samples;
}

void judge(const std::vector<Sample>& samples, const Reference& now, Moved& moved) {
    for (const Sample& sample : samples) {
        const auto along = now.along(sample.at, sample.normal);
        if (!along) {
            ++moved.lost;
        } else if (std::abs(*along) > moved.most_mm) {
            moved.most_mm = std::abs(*along);
            moved.where = sample.at;
        }
    }
}

}  // namespace

Samples samples_of(const build::Device& device) {
    const surface::Shell& shell = device.shelled->shell;
    const surface::ShellMesh& mesh = device.made();
    Samples samples;
    samples.foot_side = spread_over(foot_side(shell, mesh));
    samples.underside = spread_over(underside(shell, mesh));
    const std::size_t first = mesh.foot_side_points + mesh.underside_points;
    const std::size_t rest = mesh.mesh.points.size() - std::min(first, mesh.mesh.points.size());
    const std::size_t count = std::min(most_samples, rest);
    for (std::size_t k = 0; k < count; ++k)
        samples.rest.push_back(mesh.mesh.points[first + k * rest / count]);
    return samples;
}

Moved moved_since(const Samples& samples, const build::Device& now) {
    const surface::Shell& shell = now.shelled->shell;
    const surface::ShellMesh& mesh = now.made();
    Moved moved;
    judge(samples.foot_side, Reference::foot_side(shell, mesh), moved);
    judge(samples.underside, Reference::underside(shell, mesh), moved);
    const Bvh tree(mesh.mesh);
    for (const Vec3& at : samples.rest) {
        const auto near = tree.nearest(at, reach_mm);
        if (!near) {
            ++moved.lost;
        } else if (const double away = (near->point - at).norm(); away > moved.most_mm) {
            moved.most_mm = away;
            moved.where = at;
        }
    }
    return moved;
}

}  // namespace archwright::compare
