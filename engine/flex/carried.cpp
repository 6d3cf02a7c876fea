#include "engine/flex/carried.hpp"

#include <Eigen/Geometry>
#include <limits>

#include "engine/base/parallel.hpp"
#include "engine/flex/rotation.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::flex {

namespace {

/// Shares of a triangle's corners at a place on it.
Vec3 shares_at(const Vec3& p, const Vec3& a, const Vec3& b, const Vec3& c) {
    const Vec3 ab = b - a, ac = c - a, ap = p - a;
    const double bb = ab.dot(ab), bc = ab.dot(ac), cc = ac.dot(ac);
    const double det = bb * cc - bc * bc;
    if (!(det > 0.0)) return Vec3(1, 0, 0);
    const double v = (cc * ap.dot(ab) - bc * ap.dot(ac)) / det;
    const double w = (bb * ap.dot(ac) - bc * ap.dot(ab)) / det;
    return {1.0 - v - w, v, w};
}

}  // namespace

CarriedFlex carried_to(const BenchResult& result, std::span<const Vec3> places) {
    const Model& model = result.model;
    TriangleMesh mesh;
    mesh.points = model.points;
    mesh.triangles = model.triangles;
    std::vector<double> foot(model.points.size(), 0.0), under(foot), area(foot);
    for (std::size_t t = 0; t < model.triangles.size(); ++t) {
        const auto& [a, b, c] = model.triangles[t];
        const double own =
            0.5 * (model.points[b] - model.points[a]).cross(model.points[c] - model.points[a]).norm();
        for (const std::int32_t corner : model.triangles[t]) {
            area[corner] += own;
            foot[corner] += own * result.stress[t].foot_side.von_mises();
            under[corner] += own * result.stress[t].underside.von_mises();
        }
    }
    for (std::size_t p = 0; p < area.size(); ++p)
        if (area[p] > 0.0) {
            foot[p] /= area[p];
            under[p] /= area[p];
        }
    const Bvh tree(mesh);
    CarriedFlex carried;
    carried.moved.resize(places.size());
    carried.foot_side_mpa.resize(places.size());
    carried.underside_mpa.resize(places.size());
    parallel_for(places.size(), 1024, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const auto near = tree.nearest(places[i], std::numeric_limits<double>::max());
            if (!near) continue;
            const Triangle& t = model.triangles[near->triangle];
            const Vec3 shares =
                shares_at(near->point, model.points[t[0]], model.points[t[1]], model.points[t[2]]);
            Vec3 moved = Vec3::Zero(), turned = Vec3::Zero();
            for (int k = 0; k < 3; ++k) {
                moved += shares[k] * result.displacement.segment<3>(6 * static_cast<Eigen::Index>(t[k]));
                turned += shares[k] * result.displacement.segment<3>(6 * static_cast<Eigen::Index>(t[k]) + 3);
                carried.foot_side_mpa[i] += shares[k] * foot[t[k]];
                carried.underside_mpa[i] += shares[k] * under[t[k]];
            }
            const Vec3 arm = places[i] - near->point;
            carried.moved[i] =
                moved + (result.deflections == Deflections::large ? Vec3(rotation_of(turned) * arm - arm)
                                                                  : Vec3(turned.cross(arm)));
        }
    });
    return carried;
}

}  // namespace archwright::flex
