// Direct topology: vertices, edges and faces are made from the shell's own control points.
#include <BRepBuilderAPI_Transform.hxx>
#include <BRep_Builder.hxx>
#include <Geom2d_Line.hxx>
#include <Geom_Plane.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColgp_Array1OfPnt2d.hxx>
#include <TColgp_Array2OfPnt.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Shell.hxx>
#include <TopoDS_Vertex.hxx>
#include <TopoDS_Wire.hxx>
#include <algorithm>
#include <gp_Ax2.hxx>
#include <gp_Ax3.hxx>
#include <gp_Trsf.hxx>

#include "engine/base/tolerances.hpp"
#include "engine/solid/occt.hpp"
#include "engine/solid/pieces.hpp"
#include "engine/solid/rim_curves.hpp"
#include "engine/surface/border.hpp"
#include "engine/surface/loop_check.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/shell_mesh.hpp"
#include "engine/surface/trim_region.hpp"

namespace archwright::solid {

namespace {

TopoDS_Edge make_edge(const Handle(Geom_BSplineCurve) & curve, const TopoDS_Vertex& from,
                      const TopoDS_Vertex& to, double begin, double end, double tolerance) {
    const BRep_Builder make;
    TopoDS_Edge made;
    make.MakeEdge(made, curve, tolerance);
    make.Add(made, from.Oriented(TopAbs_FORWARD));
    make.Add(made, to.Oriented(TopAbs_REVERSED));
    make.Range(made, begin, end);
    return made;
}

/// What stands on one border: its edges, and the faces between them.
struct Ring {
    surface::Border::Kind kind;
    const surface::Post* post = nullptr;
    int degree = 1;
    double tolerance = 0.0;  ///< of its vertices and edges
    std::vector<Piece> pieces;
    /// borders[b][i]: edge along piece i on row b * degree; the first border is the upper one.
    std::vector<std::vector<TopoDS_Vertex>> corners;
    std::vector<std::vector<TopoDS_Edge>> borders;

    const std::vector<TopoDS_Edge>& upper() const { return borders.front(); }
    const std::vector<TopoDS_Edge>& lower() const { return borders.back(); }
};

Outcome<Ring> make_ring(const surface::Border& border, double faces_moved_mm) {
    const std::vector<double> at = corners_of(border.curve);
    const auto curves = rim_curves(border, at, tolerance::edge_curve_mm);
    if (!curves) return curves.fault();
    Ring ring{border.kind, border.post, curves->degree, 0.0, {}, {}, {}};
    // found at samples; between them it may be a little more
    ring.tolerance = tolerance::solid_point_mm + 1.2 * (curves->deviation_mm + faces_moved_mm);
    ring.pieces = cut(*curves, border.curve, at);
    const std::size_t n = ring.pieces.size(), degree = static_cast<std::size_t>(ring.degree);
    const std::size_t bands = (curves->rows.size() - 1) / degree;
    ring.corners.assign(bands + 1, std::vector<TopoDS_Vertex>(n));
    ring.borders.assign(bands + 1, std::vector<TopoDS_Edge>(n));
    const BRep_Builder make;
    for (std::size_t b = 0; b <= bands; ++b) {
        auto& corners = ring.corners[b];
        for (std::size_t i = 0; i < n; ++i)
            make.MakeVertex(corners[i], ring.pieces[i].rows[b * degree]->Pole(1), ring.tolerance);
        for (std::size_t i = 0; i < n; ++i) {
            const Piece& piece = ring.pieces[i];
            ring.borders[b][i] = make_edge(piece.rows[b * degree], corners[i], corners[(i + 1) % n],
                                           piece.begin, piece.end, ring.tolerance);
        }
    }
    return ring;
}

// Seen from the foot the trim and posts run counter-clockwise and apertures clockwise. So the foot side is
// used as it stands, the underside turned over, and a face of a ring whose second parameter runs from the
// lower edge to the upper points outward.

/// The closed row of a ring's edges as part of a face's boundary. `turned` runs it the other way.
TopoDS_Wire wire_of(const std::vector<TopoDS_Edge>& edges, bool turned) {
    const BRep_Builder make;
    TopoDS_Wire wire;
    make.MakeWire(wire);
    for (std::size_t i = 0; i < edges.size(); ++i)
        make.Add(wire, turned ? edges[edges.size() - 1 - i].Oriented(TopAbs_REVERSED)
                              : edges[i].Oriented(TopAbs_FORWARD));
    wire.Closed(true);
    return wire;
}

/// Foot side or underside within the rings whose edges lie on it.
TopoDS_Face side_face(const KnottedSurface& surface, const std::vector<Ring>& rings, bool foot_side) {
    const BRep_Builder make;
    TopoDS_Face face;
    make.MakeFace(face, to_geom(surface), tolerance::solid_point_mm);
    for (const Ring& ring : rings) {
        const bool post = ring.kind == surface::Border::Kind::post;
        if (post && foot_side) continue;
        const std::vector<TopoDS_Edge>& edges = foot_side || post ? ring.upper() : ring.lower();
        for (std::size_t i = 0; i < edges.size(); ++i)
            make.UpdateEdge(edges[i], ring.pieces[i].curve, face, ring.tolerance);
        make.Add(face, wire_of(edges, post));
    }
    return face;
}

void add_bands(const Ring& ring, TopoDS_Shell& boundary) {
    const BRep_Builder make;
    const auto line = [](double u, double v, double du, double dv) {
        return new Geom2d_Line(gp_Pnt2d(u, v), gp_Dir2d(du, dv));
    };
    const std::size_t n = ring.pieces.size();
    for (std::size_t k = 0; k + 1 < ring.borders.size(); ++k) {
        const int lower_row = static_cast<int>(k + 1) * ring.degree;
        std::vector<TopoDS_Edge> ribs(n);
        for (std::size_t i = 0; i < n; ++i)
            ribs[i] = make_edge(across(ring.pieces[i], lower_row, ring.degree), ring.corners[k + 1][i],
                                ring.corners[k][i], 0.0, 1.0, ring.tolerance);
        for (std::size_t i = 0; i < n; ++i) {
            const Piece& piece = ring.pieces[i];
            const TopoDS_Edge &lower = ring.borders[k + 1][i], &upper = ring.borders[k][i];
            const TopoDS_Edge &left = ribs[i], &right = ribs[(i + 1) % n];
            TopoDS_Face face;
            make.MakeFace(face, band_surface(piece, lower_row, ring.degree), tolerance::solid_point_mm);
            make.UpdateEdge(lower, line(0.0, 0.0, 1.0, 0.0), face, ring.tolerance);
            make.UpdateEdge(upper, line(0.0, 1.0, 1.0, 0.0), face, ring.tolerance);
            make.UpdateEdge(left, line(piece.begin, 0.0, 0.0, 1.0), face, ring.tolerance);
            make.UpdateEdge(right, line(piece.end, 0.0, 0.0, 1.0), face, ring.tolerance);
            TopoDS_Wire wire;
            make.MakeWire(wire);
            make.Add(wire, lower.Oriented(TopAbs_FORWARD));
            make.Add(wire, right.Oriented(TopAbs_FORWARD));
            make.Add(wire, upper.Oriented(TopAbs_REVERSED));
            make.Add(wire, left.Oriented(TopAbs_REVERSED));
            wire.Closed(true);
            make.Add(face, wire);
            make.Add(boundary, face.Oriented(TopAbs_FORWARD));
        }
    }
}

/// A floor's surface and where a point of it lies there: affine coordinates, so the control points of an edge
/// on it give the exact pcurve.
struct Floor {
    Handle(Geom_Surface) surface;
    std::function<gp_Pnt2d(const gp_Pnt&)> flat;
};

Floor plane_floor(const surface::Post& post) {
    const Vec3 normal = post.floor_normal.normalized();
    const gp_Ax3 frame(to_pnt(post.floor_point), gp_Dir(normal.x(), normal.y(), normal.z()));
    return {new Geom_Plane(frame), [frame](const gp_Pnt& p) {
                const gp_Vec from(frame.Location(), p);
                return gp_Pnt2d(from.Dot(frame.XDirection()), from.Dot(frame.YDirection()));
            }};
}

// Two faces and the hinge between them are one surface: straight along the hinge, across it a quadratic
// spline with knots at the hinge's edges. Its control values are the polar form of the rise.
Floor hinged_floor(const surface::Post& post, const std::vector<Piece>& edge) {
    const surface::Post::Hinge hinge = *post.hinge;
    constexpr double half = surface::Post::Hinge::half_breadth_mm, air_mm = 1.0;
    const Vec2 along(-hinge.beyond.y(), hinge.beyond.x());
    const auto flat = [hinge, along](const gp_Pnt& p) {
        const Vec2 from = Vec2(p.X(), p.Y()) - hinge.point;
        return gp_Pnt2d(from.dot(along), from.dot(hinge.beyond));
    };
    double u0 = 1e300, u1 = -1e300, v0 = -half, v1 = half;
    for (const Piece& piece : edge)
        for (int k = 1; k <= piece.rows.back()->NbPoles(); ++k) {
            const gp_Pnt2d at = flat(piece.rows.back()->Pole(k));
            u0 = std::min(u0, at.X());
            u1 = std::max(u1, at.X());
            v0 = std::min(v0, at.Y());
            v1 = std::max(v1, at.Y());
        }
    u0 -= air_mm, u1 += air_mm, v0 -= air_mm, v1 += air_mm;
    const std::array<double, 5> across{v0, 0.5 * (v0 - half), 0.0, 0.5 * (half + v1), v1};
    surface::Post plane = post;
    plane.hinge.reset();
    TColgp_Array2OfPnt poles(1, 2, 1, 5);
    for (int i = 1; i <= 2; ++i)
        for (int j = 1; j <= 5; ++j) {
            const double v = across[static_cast<std::size_t>(j - 1)];
            const Vec2 plan = hinge.point + (i == 1 ? u0 : u1) * along + v * hinge.beyond;
            Vec3 point = surface::floor_point(plane, plan);
            if (j > 3) point.z() += hinge.rise * v;
            poles(i, j) = to_pnt(point);
        }
    TColStd_Array1OfReal u(1, 2), v(1, 4);
    TColStd_Array1OfInteger u_times(1, 2), v_times(1, 4);
    u(1) = u0, u(2) = u1;
    v(1) = v0, v(2) = -half, v(3) = half, v(4) = v1;
    u_times(1) = u_times(2) = 2;
    v_times(1) = v_times(4) = 3;
    v_times(2) = v_times(3) = 1;
    return {new Geom_BSplineSurface(poles, u, v, u_times, v_times, 1, 2), flat};
}

/// The floor of a post looks away from the shell.
TopoDS_Face floor_face(const Ring& ring) {
    const BRep_Builder make;
    const auto [floor, flat] =
        ring.post->hinge ? hinged_floor(*ring.post, ring.pieces) : plane_floor(*ring.post);
    TopoDS_Face face;
    make.MakeFace(face, floor, tolerance::solid_point_mm);
    for (std::size_t i = 0; i < ring.pieces.size(); ++i) {
        const Handle(Geom_BSplineCurve)& row = ring.pieces[i].rows.back();
        TColgp_Array1OfPnt2d poles(1, row->NbPoles());
        for (int k = 1; k <= row->NbPoles(); ++k) poles(k) = flat(row->Pole(k));
        make.UpdateEdge(ring.lower()[i],
                        new Geom2d_BSplineCurve(poles, row->Knots(), row->Multiplicities(), row->Degree()),
                        face, ring.tolerance);
    }
    make.Add(face, wire_of(ring.lower(), true));
    return face;
}

TopoDS_Solid assemble(const KnottedSurface& foot_side, const KnottedSurface& underside,
                      const std::vector<Ring>& rings) {
    const BRep_Builder make;
    TopoDS_Shell boundary;
    make.MakeShell(boundary);
    make.Add(boundary, side_face(foot_side, rings, true).Oriented(TopAbs_FORWARD));
    make.Add(boundary, side_face(underside, rings, false).Oriented(TopAbs_REVERSED));
    for (const Ring& ring : rings) add_bands(ring, boundary);
    for (const Ring& ring : rings)
        if (ring.kind == surface::Border::Kind::post)
            make.Add(boundary, floor_face(ring).Oriented(TopAbs_FORWARD));
    boundary.Closed(true);
    TopoDS_Solid made;
    make.MakeSolid(made);
    make.Add(made, boundary);
    return made;
}

}  // namespace

Outcome<Solid> build_solid(const surface::Shell& shell) {
    const auto fault = [](const std::string& message) {
        return Fault{FaultKind::internal, "solid", message, {}};
    };
    if (shell.trim.control.size() < piece_count)
        return fault("The trim line has fewer than four control points.");
    const auto finite = [](const auto& points) {
        return std::all_of(points.begin(), points.end(), [](const auto& p) { return p.allFinite(); });
    };
    if (!finite(shell.foot_side.control) || !finite(shell.underside.control) || !finite(shell.trim.control))
        return fault("A control point of the shell is not a finite number.");
    if (!(shell.trim.signed_area() > 0.0))
        return fault("The trim line runs clockwise in (u,v); it must run counter-clockwise.");
    if (auto loops = surface::check_loops(shell); !loops) return loops.fault();
    return guarded(FaultKind::internal, "solid", "Building the exact solid", [&]() -> Outcome<Solid> {
        const surface::TrimRegion within{surface::Outline(shell.trim)};
        const auto few = [&](const surface::SplineSurface& side) {
            return fewer_knots(side, within.low(), within.high(), tolerance::solid_face_mm);
        };
        const KnottedSurface foot_side = few(shell.foot_side), underside = few(shell.underside);
        const double moved = std::max(foot_side.moved_mm, underside.moved_mm);
        std::vector<Ring> rings;
        for (const surface::Border& border : surface::borders(shell)) {
            auto ring = make_ring(border, moved);
            if (!ring) return ring.fault();
            rings.push_back(std::move(*ring));
        }
        return make_solid(assemble(foot_side, underside, rings));
    });
}

Outcome<Solid> build_block(const surface::SplineSurface& top, const surface::Post& post) {
    const surface::Shell above = surface::shell_over(top, post);
    const surface::Border border = surface::borders(above).back();
    return guarded(FaultKind::internal, "solid", "Building the exact solid", [&]() -> Outcome<Solid> {
        const surface::TrimRegion within{surface::Outline(border.curve)};
        const KnottedSurface few = fewer_knots(top, within.low(), within.high(), tolerance::solid_face_mm);
        auto ring = make_ring(border, few.moved_mm);
        if (!ring) return ring.fault();
        const BRep_Builder make;
        TopoDS_Face lid;
        make.MakeFace(lid, to_geom(few), tolerance::solid_point_mm);
        for (std::size_t i = 0; i < ring->pieces.size(); ++i)
            make.UpdateEdge(ring->upper()[i], ring->pieces[i].curve, lid, ring->tolerance);
        make.Add(lid, wire_of(ring->upper(), false));
        TopoDS_Shell boundary;
        make.MakeShell(boundary);
        make.Add(boundary, lid.Oriented(TopAbs_FORWARD));
        add_bands(*ring, boundary);
        make.Add(boundary, floor_face(*ring).Oriented(TopAbs_FORWARD));
        boundary.Closed(true);
        TopoDS_Solid made;
        make.MakeSolid(made);
        make.Add(made, boundary);
        return make_solid(made);
    });
}

Outcome<Solid> build_post(const surface::SplineSurface& top, const surface::Post& post) {
    const surface::Shell above = surface::shell_over(top, post);
    if (auto stands = surface::check_post(surface::borders(above).back()); !stands) return stands.fault();
    return build_block(top, post);
}

Outcome<Solid> mirrored(const Solid& solid) {
    return guarded(FaultKind::internal, "solid", "Mirroring the exact solid", [&]() -> Outcome<Solid> {
        gp_Trsf mirror;
        mirror.SetMirror(gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 1.0, 0.0)));
        BRepBuilderAPI_Transform turned(solid.body().shape, mirror, true);
        TopTools_IndexedMapOfShape solids;
        TopExp::MapShapes(turned.Shape(), TopAbs_SOLID, solids);
        if (!turned.IsDone() || solids.Extent() != 1)
            return Fault{FaultKind::internal, "solid", "The exact solid could not be mirrored.", {}};
        return make_solid(TopoDS::Solid(solids(1)));
    });
}

}  // namespace archwright::solid
