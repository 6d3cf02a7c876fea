// Direct topology: vertices, edges and faces are made from the shell's own control points.
#include <BRepBuilderAPI_Transform.hxx>
#include <BRep_Builder.hxx>
#include <Geom2d_BSplineCurve.hxx>
#include <Geom2d_Line.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColgp_Array1OfPnt.hxx>
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
#include <gp_Trsf.hxx>

#include "engine/base/tolerances.hpp"
#include "engine/solid/occt.hpp"
#include "engine/solid/rim_curves.hpp"

namespace archwright::solid {

namespace {

constexpr int piece_count = 4;  // no face closes on itself, so no seam edges

Handle(Geom_BSplineSurface) to_geom(const surface::SplineSurface& surface) {
    TColgp_Array2OfPnt poles(1, surface.u.count, 1, surface.v.count);
    for (int i = 0; i < surface.u.count; ++i)
        for (int j = 0; j < surface.v.count; ++j)
            poles(i + 1, j + 1) = to_pnt(surface.control[static_cast<std::size_t>(i) * surface.v.count + j]);
    const auto knots = [](const surface::Basis& basis, TColStd_Array1OfReal& at,
                          TColStd_Array1OfInteger& times) {
        for (int i = 0; i <= basis.spans(); ++i) {
            at(i + 1) = basis.knot(i + 3);
            times(i + 1) = i == 0 || i == basis.spans() ? 4 : 1;
        }
    };
    TColStd_Array1OfReal u(1, surface.u.spans() + 1), v(1, surface.v.spans() + 1);
    TColStd_Array1OfInteger u_times(1, u.Length()), v_times(1, v.Length());
    knots(surface.u, u, u_times);
    knots(surface.v, v, v_times);
    return new Geom_BSplineSurface(poles, u, v, u_times, v_times, 3, 3);
}

Handle(Geom2d_BSplineCurve) to_geom(const surface::PeriodicCurve& curve) {
    const int n = static_cast<int>(curve.control.size());
    TColgp_Array1OfPnt2d poles(1, n);
    TColStd_Array1OfReal knots(1, n + 1);
    TColStd_Array1OfInteger times(1, n + 1);
    for (int i = 0; i < n; ++i) {
        const Vec2& p = curve.control[static_cast<std::size_t>((i + n - 1) % n)];
        poles(i + 1) = gp_Pnt2d(p.x(), p.y());
    }
    for (int i = 0; i <= n; ++i) {
        knots(i + 1) = i;
        times(i + 1) = 1;
    }
    return new Geom2d_BSplineCurve(poles, knots, times, 3, true);
}

/// One piece of the trim, between two corners: the pcurve and the rows of the rim over the same parameters.
struct Piece {
    double begin = 0.0, end = 0.0;
    Handle(Geom2d_BSplineCurve) trim;
    std::vector<Handle(Geom_BSplineCurve)> rows;
};

/// A Bezier curve on [0,1] from the lower row of a band to the upper, at the beginning of a piece.
Handle(Geom_BSplineCurve) across(const Piece& piece, int lower_row, int degree) {
    TColgp_Array1OfPnt poles(1, degree + 1);
    for (int c = 0; c <= degree; ++c) poles(c + 1) = piece.rows[lower_row - c]->Pole(1);
    TColStd_Array1OfReal knots(1, 2);
    TColStd_Array1OfInteger times(1, 2);
    knots(1) = 0.0;
    knots(2) = 1.0;
    times(1) = times(2) = degree + 1;
    return new Geom_BSplineCurve(poles, knots, times, degree);
}

/// Along the trim in the first parameter, from the lower row (0) to the upper (1) in the second.
Handle(Geom_BSplineSurface) band_surface(const Piece& piece, int lower_row, int degree) {
    const Handle(Geom_BSplineCurve)& row = piece.rows[lower_row];
    TColgp_Array2OfPnt poles(1, row->NbPoles(), 1, degree + 1);
    for (int i = 1; i <= row->NbPoles(); ++i)
        for (int c = 0; c <= degree; ++c) poles(i, c + 1) = piece.rows[lower_row - c]->Pole(i);
    TColStd_Array1OfReal v(1, 2);
    TColStd_Array1OfInteger v_times(1, 2);
    v(1) = 0.0;
    v(2) = 1.0;
    v_times(1) = v_times(2) = degree + 1;
    return new Geom_BSplineSurface(poles, row->Knots(), v, row->Multiplicities(), v_times, row->Degree(),
                                   degree);
}

std::vector<Piece> cut(const RimCurves& curves, const Handle(Geom2d_BSplineCurve) & trim,
                       const std::vector<double>& corners, double period) {
    std::vector<Piece> pieces(corners.size());
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        Piece& piece = pieces[i];
        piece.begin = corners[i];
        piece.end = i + 1 < corners.size() ? corners[i + 1] : corners.front() + period;
        piece.trim = Handle(Geom2d_BSplineCurve)::DownCast(trim->Copy());
        piece.trim->Segment(piece.begin, piece.end);
        for (const auto& row : curves.rows) {
            piece.rows.push_back(Handle(Geom_BSplineCurve)::DownCast(row->Copy()));
            piece.rows.back()->Segment(piece.begin, piece.end);
        }
    }
    return pieces;
}

TopoDS_Solid assemble(const surface::Shell& shell, const RimCurves& curves,
                      const std::vector<Piece>& pieces) {
    // Seen from the foot the trim runs counter-clockwise, so the foot side is used as it stands, the
    // underside turned over, and a rim face whose second parameter runs from underside to foot side points
    // outward.
    const BRep_Builder make;
    const double edge_tolerance = std::max(tolerance::solid_point_mm, 1.2 * curves.deviation_mm);
    const std::size_t n = pieces.size();
    const int degree = curves.degree;
    const std::size_t bands = (curves.rows.size() - 1) / static_cast<std::size_t>(degree);

    // borders[b][i]: edge along piece i on row b * degree; the first border is the foot side's
    std::vector<std::vector<TopoDS_Vertex>> corners(bands + 1, std::vector<TopoDS_Vertex>(n));
    std::vector<std::vector<TopoDS_Edge>> borders(bands + 1, std::vector<TopoDS_Edge>(n));
    const auto edge = [&](const Handle(Geom_BSplineCurve) & curve, const TopoDS_Vertex& from,
                          const TopoDS_Vertex& to, double begin, double end) {
        TopoDS_Edge made;
        make.MakeEdge(made, curve, edge_tolerance);
        make.Add(made, from.Oriented(TopAbs_FORWARD));
        make.Add(made, to.Oriented(TopAbs_REVERSED));
        make.Range(made, begin, end);
        return made;
    };
    for (std::size_t b = 0; b <= bands; ++b) {
        const std::size_t row = b * static_cast<std::size_t>(degree);
        for (std::size_t i = 0; i < n; ++i)
            make.MakeVertex(corners[b][i], pieces[i].rows[row]->Pole(1), edge_tolerance);
        for (std::size_t i = 0; i < n; ++i)
            borders[b][i] = edge(pieces[i].rows[row], corners[b][i], corners[b][(i + 1) % n], pieces[i].begin,
                                 pieces[i].end);
    }

    TopoDS_Shell boundary;
    make.MakeShell(boundary);
    const auto side = [&](const surface::SplineSurface& surface, const std::vector<TopoDS_Edge>& border,
                          TopAbs_Orientation orientation) {
        TopoDS_Face face;
        make.MakeFace(face, to_geom(surface), tolerance::solid_point_mm);
        TopoDS_Wire wire;
        make.MakeWire(wire);
        for (std::size_t i = 0; i < n; ++i) {
            make.UpdateEdge(border[i], pieces[i].trim, face, edge_tolerance);
            make.Add(wire, border[i]);
        }
        wire.Closed(true);
        make.Add(face, wire);
        make.Add(boundary, face.Oriented(orientation));
    };
    side(shell.foot_side, borders.front(), TopAbs_FORWARD);
    side(shell.underside, borders.back(), TopAbs_REVERSED);

    const auto line = [](double u, double v, double du, double dv) {
        return new Geom2d_Line(gp_Pnt2d(u, v), gp_Dir2d(du, dv));
    };
    for (std::size_t k = 0; k < bands; ++k) {
        const int lower_row = static_cast<int>(k + 1) * degree;
        std::vector<TopoDS_Edge> posts(n);
        for (std::size_t i = 0; i < n; ++i)
            posts[i] = edge(across(pieces[i], lower_row, degree), corners[k + 1][i], corners[k][i], 0.0, 1.0);
        for (std::size_t i = 0; i < n; ++i) {
            const TopoDS_Edge &lower = borders[k + 1][i], &upper = borders[k][i];
            const TopoDS_Edge &left = posts[i], &right = posts[(i + 1) % n];
            TopoDS_Face face;
            make.MakeFace(face, band_surface(pieces[i], lower_row, degree), tolerance::solid_point_mm);
            make.UpdateEdge(lower, line(0.0, 0.0, 1.0, 0.0), face, edge_tolerance);
            make.UpdateEdge(upper, line(0.0, 1.0, 1.0, 0.0), face, edge_tolerance);
            make.UpdateEdge(left, line(pieces[i].begin, 0.0, 0.0, 1.0), face, edge_tolerance);
            make.UpdateEdge(right, line(pieces[i].end, 0.0, 0.0, 1.0), face, edge_tolerance);
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
    const std::size_t spans = shell.trim.control.size();
    if (spans < piece_count) return fault("The trim line has fewer than four control points.");
    const auto finite = [](const auto& points) {
        return std::all_of(points.begin(), points.end(), [](const auto& p) { return p.allFinite(); });
    };
    if (!finite(shell.foot_side.control) || !finite(shell.underside.control) || !finite(shell.trim.control))
        return fault("A control point of the shell is not a finite number.");
    if (!(shell.trim.signed_area() > 0.0))
        return fault("The trim line runs clockwise in (u,v); it must run counter-clockwise.");
    return guarded(FaultKind::internal, "solid", "Building the exact solid", [&]() -> Outcome<Solid> {
        std::vector<double> corners;
        for (std::size_t i = 0; i < piece_count; ++i)
            corners.push_back(static_cast<double>(i * spans / piece_count));
        const auto curves = rim_curves(shell, corners, tolerance::edge_curve_mm);
        if (!curves) return curves.fault();
        return make_solid(
            assemble(shell, *curves, cut(*curves, to_geom(shell.trim), corners, shell.trim.period())));
    });
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
