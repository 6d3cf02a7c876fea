#include "tests/bench/peers.hpp"

#include <openvdb/openvdb.h>
#include <openvdb/tools/MeshToVolume.h>
#include <openvdb/tools/VolumeToMesh.h>

#include <BRepGProp.hxx>
#include <BRepMesh_IncrementalMesh.hxx>
#include <BRepOffset_MakeSimpleOffset.hxx>
#include <BRep_Builder.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopLoc_Location.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Face.hxx>
#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/solid/occt.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::bench {

namespace {

// Least and greatest distance from points of one sheet to another sheet, away from their edges.
std::string wall_between(const std::vector<Vec3>& from, const TriangleMesh& to, double wall_mm) {
    if (to.triangles.empty()) return "no result";
    const Bvh tree(to);
    std::vector<double> apart(from.size(), wall_mm);
    parallel_for(from.size(), 256, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            if (const auto near = tree.nearest(from[i], 4.0 * wall_mm)) apart[i] = near->distance;
    });
    const auto [least, most] = std::minmax_element(apart.begin(), apart.end());
    return "wall " + rounded(*least, 3) + " to " + rounded(*most, 3) + " mm asked " + exact(wall_mm) + ", " +
           std::to_string(self_intersections(to, 16).size()) + " self-crossings";
}

// Foot-side points at least 3 walls in from the trim line.
std::vector<Vec3> inner_points(const surface::ShellMesh& mesh, const surface::PeriodicCurve& trim,
                               double wall_mm) {
    const surface::Outline outline(trim);
    std::vector<Vec3> points;
    for (std::size_t i = 0; i < mesh.foot_side_points; ++i)
        if (outline.inside(mesh.uv[i]) && outline.distance(mesh.uv[i]) > 3.0 * wall_mm)
            points.push_back(mesh.mesh.points[i]);
    return points;
}

TriangleMesh sheet(const surface::ShellMesh& mesh, std::size_t first, std::size_t last) {
    return {mesh.mesh.points,
            {mesh.mesh.triangles.begin() + static_cast<std::ptrdiff_t>(first),
             mesh.mesh.triangles.begin() + static_cast<std::ptrdiff_t>(last)},
            {}};
}

TriangleMesh triangles_of(const TopoDS_Shape& shape) {
    TriangleMesh mesh;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        TopLoc_Location place;
        const auto part = BRep_Tool::Triangulation(TopoDS::Face(it.Current()), place);
        if (part.IsNull()) continue;
        const auto first = static_cast<std::int32_t>(mesh.points.size());
        for (int i = 1; i <= part->NbNodes(); ++i) mesh.points.push_back(solid::to_vec(part->Node(i)));
        for (int i = 1; i <= part->NbTriangles(); ++i) {
            int a = 0, b = 0, c = 0;
            part->Triangle(i).Get(a, b, c);
            mesh.triangles.push_back({first + a - 1, first + b - 1, first + c - 1});
        }
    }
    return mesh;
}

TopoDS_Face largest_face(const TopoDS_Shape& shape, int skip) {
    std::vector<std::pair<double, TopoDS_Face>> faces;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        GProp_GProps area;
        BRepGProp::SurfaceProperties(it.Current(), area);
        faces.emplace_back(area.Mass(), TopoDS::Face(it.Current()));
    }
    std::stable_sort(faces.begin(), faces.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    return faces[static_cast<std::size_t>(skip)].second;
}

}  // namespace

void run_peers(const surface::Shell& shell, double wall_mm, std::vector<Figure>& figures) {
    auto made = surface::mesh_shell(shell);
    auto body = solid::build_solid(shell);
    if (!made || !body) return;
    const surface::ShellMesh& mesh = *made;
    const std::vector<Vec3> inner = inner_points(mesh, shell.trim, wall_mm);
    const TriangleMesh underside = sheet(mesh, mesh.foot_side_end, mesh.underside_end);
    const TriangleMesh foot_side = sheet(mesh, 0, mesh.foot_side_end);

    figures.push_back(measure("offset: ours, exact surface by rolling balls", 0, [&] {
        surface::UndersideSettings settings;
        settings.within = shell.trim;
        const auto sides = surface::roll_underside(
            shell.carpet, [wall_mm](const Vec2&, const Vec3&) { return wall_mm; }, {}, settings);
        return sides ? std::string("-") : sides.fault().message;
    }));
    figures.back().note = wall_between(inner, underside, wall_mm);

    // the carpet is one of the two large faces; which one does not matter to the time
    const TopoDS_Face face = largest_face(body->body().shape, 0);
    TopoDS_Shape offset;
    figures.push_back(measure("offset: OCCT, constant thickness of our face", 0, [&] {
        BRepOffset_MakeSimpleOffset maker(face, -wall_mm);
        maker.Perform();
        if (!maker.IsDone()) return std::string("it failed: ") + maker.GetErrorMessage().ToCString();
        offset = maker.GetResultShape();
        return std::string("one face; constant wall only, no sides, no rim");
    }));

    std::vector<Vec3> moved;
    figures.push_back(measure("offset: each vertex along its normal", 0, [&] {
        moved = foot_side.points;
        std::vector<Vec3> normal(moved.size(), Vec3::Zero());
        for (std::size_t t = 0; t < foot_side.triangles.size(); ++t)
            for (const std::int32_t i : foot_side.triangles[t])
                normal[static_cast<std::size_t>(i)] += foot_side.normal2(t);
        for (std::size_t i = 0; i < moved.size(); ++i)
            if (normal[i].norm() > 0.0) moved[i] -= wall_mm * normal[i].normalized();
        return std::string("-");
    }));
    figures.back().note = wall_between(inner, {moved, foot_side.triangles, {}}, wall_mm);

    openvdb::initialize();
    TriangleMesh voxels;
    figures.push_back(measure("offset: OpenVDB, 0.5 mm voxels", 0, [&] {
        constexpr double voxel = 0.5;
        const auto transform = openvdb::math::Transform::createLinearTransform(voxel);
        std::vector<openvdb::Vec3s> points;
        for (const Vec3& p : foot_side.points)
            points.emplace_back(p.x() / voxel, p.y() / voxel, p.z() / voxel);
        std::vector<openvdb::Vec3I> triangles;
        for (const Triangle& t : foot_side.triangles) triangles.emplace_back(t[0], t[1], t[2]);
        std::vector<openvdb::Vec4I> none;
        const openvdb::tools::QuadAndTriangleDataAdapter<openvdb::Vec3s, openvdb::Vec3I> adapter(points,
                                                                                                 triangles);
        const auto grid = openvdb::tools::meshToVolume<openvdb::FloatGrid>(
            adapter, *transform, static_cast<float>(wall_mm / voxel) + 2.0F,
            static_cast<float>(wall_mm / voxel) + 2.0F, openvdb::tools::UNSIGNED_DISTANCE_FIELD);
        std::vector<openvdb::Vec3s> out;
        std::vector<openvdb::Vec3I> out_triangles;
        std::vector<openvdb::Vec4I> out_quads;
        openvdb::tools::volumeToMesh(*grid, out, out_triangles, out_quads, wall_mm, 0.0);
        voxels = {};
        for (const auto& p : out) voxels.points.emplace_back(p.x(), p.y(), p.z());
        const auto add = [&](std::uint32_t a, std::uint32_t b, std::uint32_t c) {
            voxels.triangles.push_back(
                {static_cast<std::int32_t>(a), static_cast<std::int32_t>(b), static_cast<std::int32_t>(c)});
        };
        for (const auto& t : out_triangles) add(t[0], t[1], t[2]);
        for (const auto& q : out_quads) {
            add(q[0], q[1], q[2]);
            add(q[0], q[2], q[3]);
        }
        return std::string("-");
    }));
    figures.back().note = wall_between(inner, voxels, wall_mm) + ", both sides at once";

    figures.push_back(measure("mesh: ours, both sides and rim, chord 0.02 mm", 0, [&] {
        const auto again = surface::mesh_shell(shell);
        return again ? std::to_string(again->mesh.triangles.size() / 1000) + "k triangles"
                     : again.fault().message;
    }));
    const double ours = figures.back().median_s;
    figures.push_back(measure("mesh: OCCT (BRepMesh) of our solid, chord 0.02 mm", 0, [&] {
        TopoDS_Shape copy = body->body().shape;
        for (TopExp_Explorer it(copy, TopAbs_FACE); it.More(); it.Next())
            BRep_Builder().UpdateFace(TopoDS::Face(it.Current()), Handle(Poly_Triangulation)());
        BRepMesh_IncrementalMesh maker(copy, 0.02, Standard_False, 0.5, Standard_True);
        return std::to_string(triangles_of(copy).triangles.size() / 1000) + "k triangles";
    }));
    figures.back().note += ", " + rounded(figures.back().median_s / ours, 1) + " times ours (goal 20)";
}

}  // namespace archwright::bench
