#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepCheck_ListIteratorOfListOfStatus.hxx>
#include <BRepCheck_Result.hxx>
#include <BRepGProp.hxx>
#include <BRep_Tool.hxx>
#include <GProp_GProps.hxx>
#include <Geom2d_Curve.hxx>
#include <Geom_BSplineCurve.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Geom_Surface.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <TopoDS_Vertex.hxx>
#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/solid/occt.hpp"
#include "engine/solid/volume.hpp"

namespace archwright::solid {

namespace {

struct Named {
    TopAbs_ShapeEnum type;
    const char* word;
};
constexpr std::array<Named, 5> kinds = {{{TopAbs_VERTEX, "vertex"},
                                         {TopAbs_EDGE, "edge"},
                                         {TopAbs_WIRE, "border"},
                                         {TopAbs_FACE, "face"},
                                         {TopAbs_SHELL, "shell"}}};

std::optional<Vec3> place_of(const TopoDS_Shape& shape) {
    for (TopExp_Explorer v(shape, TopAbs_VERTEX); v.More(); v.Next())
        return to_vec(BRep_Tool::Pnt(TopoDS::Vertex(v.Current())));
    return std::nullopt;
}

/// The smallest part the topology check faults, with the check's own words.
void find_fault(const TopoDS_Shape& shape, const BRepCheck_Analyzer& check, SolidReport& report) {
    for (const auto& [type, word] : kinds)
        for (TopExp_Explorer part(shape, type); part.More(); part.Next()) {
            if (check.IsValid(part.Current())) continue;
            report.where = place_of(part.Current());
            report.fault = std::string("A ") + word + " of the exact solid is not valid";
            const Handle(BRepCheck_Result)& result = check.Result(part.Current());
            if (!result.IsNull())
                for (BRepCheck_ListIteratorOfListOfStatus status(result->Status()); status.More();
                     status.Next())
                    if (status.Value() != BRepCheck_NoError)
                        report.fault +=
                            " (topology status " + rounded(static_cast<int>(status.Value()), 0) + ")";
            if (report.where) report.fault += " near " + coordinates(*report.where);
            report.fault += ".";
            return;
        }
    report.fault = "The exact solid is not valid as a whole.";
}

/// Greatest distance between an edge and its image on one of its faces, sampled between all knots.
double deviation(const TopoDS_Edge& edge, const TopoDS_Face& face) {
    constexpr int per_interval = 4;
    double begin = 0.0, end = 0.0, begin_on = 0.0, end_on = 0.0;
    const Handle(Geom_Curve) curve = BRep_Tool::Curve(edge, begin, end);
    const Handle(Geom2d_Curve) image = BRep_Tool::CurveOnSurface(edge, face, begin_on, end_on);
    const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
    if (curve.IsNull() || image.IsNull() || surface.IsNull()) return 0.0;
    std::vector<double> at = {begin, end};
    if (const auto spline = Handle(Geom_BSplineCurve)::DownCast(curve); !spline.IsNull())
        for (int k = 1; k <= spline->NbKnots(); ++k)
            if (spline->Knot(k) > begin && spline->Knot(k) < end) at.push_back(spline->Knot(k));
    std::sort(at.begin(), at.end());
    double worst = 0.0;
    for (std::size_t i = 0; i + 1 < at.size(); ++i)
        for (int k = 0; k < per_interval; ++k) {
            const double s = at[i] + (at[i + 1] - at[i]) * (k + 0.5) / per_interval;
            const gp_Pnt2d uv = image->Value(begin_on + (s - begin) * (end_on - begin_on) / (end - begin));
            worst = std::max(worst, curve->Value(s).Distance(surface->Value(uv.X(), uv.Y())));
        }
    return worst;
}

/// Control points where there are some, else points at even steps of the parameters. The library's own
/// optimal box searches, and may find another one for the same solid after a round through a file.
Box3 box_of(const TopoDS_Shape& shape, const TopTools_IndexedDataMapOfShapeListOfShape& edges) {
    constexpr int steps = 16;
    Box3 box;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        const BRepAdaptor_Surface surface(TopoDS::Face(it.Current()));
        // a flat face lies within its edges, and these are rows of control points of the walls beside it
        if (surface.GetType() == GeomAbs_Plane) continue;
        if (surface.GetType() == GeomAbs_BSplineSurface) {
            const Handle(Geom_BSplineSurface) spline = surface.BSpline();
            for (int i = 1; i <= spline->NbUPoles(); ++i)
                for (int j = 1; j <= spline->NbVPoles(); ++j) box.add(to_vec(spline->Pole(i, j)));
            continue;
        }
        const double u0 = surface.FirstUParameter(), u1 = surface.LastUParameter(),
                     v0 = surface.FirstVParameter(), v1 = surface.LastVParameter();
        for (int i = 0; i <= steps; ++i)
            for (int j = 0; j <= steps; ++j)
                box.add(to_vec(surface.Value(u0 + (u1 - u0) * i / steps, v0 + (v1 - v0) * j / steps)));
    }
    for (int e = 1; e <= edges.Extent(); ++e) {
        const TopoDS_Edge& edge = TopoDS::Edge(edges.FindKey(e));
        if (BRep_Tool::Degenerated(edge)) continue;
        const BRepAdaptor_Curve curve(edge);
        const double t0 = curve.FirstParameter(), t1 = curve.LastParameter();
        for (int i = 0; i <= steps; ++i) box.add(to_vec(curve.Value(t0 + (t1 - t0) * i / steps)));
    }
    return box;
}

void measure(const TopoDS_Shape& shape, SolidReport& report) {
    TopTools_IndexedMapOfShape solids, shells, faces;
    TopExp::MapShapes(shape, TopAbs_SOLID, solids);
    TopExp::MapShapes(shape, TopAbs_SHELL, shells);
    TopExp::MapShapes(shape, TopAbs_FACE, faces);
    report.faces = faces.Extent();
    TopTools_IndexedDataMapOfShapeListOfShape edges;
    TopExp::MapShapesAndAncestors(shape, TopAbs_EDGE, TopAbs_FACE, edges);
    report.one_closed_solid = solids.Extent() == 1 && shells.Extent() == 1 && edges.Extent() > 0;
    for (int i = 1; i <= edges.Extent(); ++i) {
        const TopoDS_Edge& edge = TopoDS::Edge(edges.FindKey(i));
        if (edges(i).Extent() != 2) {
            report.one_closed_solid = false;
            report.where = place_of(edge);
            report.fault = "The exact solid is open: an edge is shared by " + rounded(edges(i).Extent(), 0) +
                           " faces" + (report.where ? " near " + coordinates(*report.where) : "") + ".";
        }
        for (const TopoDS_Shape& face : edges(i))
            report.edge_deviation_mm =
                std::max(report.edge_deviation_mm, deviation(edge, TopoDS::Face(face)));
    }
    if (!report.one_closed_solid && report.fault.empty())
        report.fault = "There are " + rounded(solids.Extent(), 0) + " solids of " +
                       rounded(shells.Extent(), 0) + " shells where one of one is wanted.";

    const BRepCheck_Analyzer check(shape);
    report.valid = check.IsValid();
    if (!report.valid && report.fault.empty()) find_fault(shape, check, report);

    report.box = box_of(shape, edges);
    if (const auto volume = volume_within(shape, 0.5 * (report.box.low.z() + report.box.high.z()))) {
        report.volume_mm3 = *volume;
    } else {  // read from elsewhere: faces of other kinds
        GProp_GProps properties;
        BRepGProp::VolumeProperties(shape, properties, tolerance::solid_volume_relative);
        report.volume_mm3 = properties.Mass();
    }
    if (!(report.volume_mm3 > 0.0) && report.fault.empty()) {
        report.valid = false;
        report.fault =
            "The exact solid is inside out: its volume is " + rounded(report.volume_mm3, 1) + " mm3.";
    }
}

}  // namespace

SolidReport examine(const Solid& solid) {
    SolidReport report;
    const auto done =
        guarded(FaultKind::internal, "solid", "Examining the exact solid", [&]() -> Outcome<Done> {
            measure(solid.body().shape, report);
            return Done{};
        });
    if (!done) {
        report.valid = false;
        report.fault = done.fault().message;
    }
    return report;
}

SolidReport mirrored(const SolidReport& report) {
    SolidReport image = report;
    image.box.low.y() = -report.box.high.y();
    image.box.high.y() = -report.box.low.y();
    if (image.where) image.where->y() = -image.where->y();
    return image;
}

Outcome<double> area(const Solid& solid) {
    return guarded(FaultKind::internal, "solid", "Measuring the exact solid", [&]() -> Outcome<double> {
        GProp_GProps properties;
        BRepGProp::SurfaceProperties(solid.body().shape, properties, tolerance::solid_volume_relative);
        return properties.Mass();
    });
}

}  // namespace archwright::solid
