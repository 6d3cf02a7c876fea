#include "engine/solid/pieces.hpp"

#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TColgp_Array1OfPnt.hxx>
#include <TColgp_Array1OfPnt2d.hxx>
#include <TColgp_Array2OfPnt.hxx>

#include "engine/base/tolerances.hpp"
#include "engine/solid/occt.hpp"

namespace archwright::solid {

namespace {

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

}  // namespace

Handle(Geom_BSplineSurface) to_geom(const KnottedSurface& surface) {
    const auto size = [](const std::vector<double>& knots) { return static_cast<int>(knots.size()); };
    const int nu = size(surface.u) + 2, nv = size(surface.v) + 2;
    constexpr double grid_mm = tolerance::solid_point_mm;
    TColgp_Array2OfPnt poles(1, nu, 1, nv);
    for (int i = 0; i < nu; ++i)
        for (int j = 0; j < nv; ++j) {
            const Vec3& p = surface.control[static_cast<std::size_t>(i * nv + j)];
            // divided, so that the nearest number to a short decimal comes out
            poles(i + 1, j + 1) = to_pnt((p / grid_mm).array().round() / (1.0 / grid_mm));
        }
    const auto knots = [&](const std::vector<double>& from, TColStd_Array1OfReal& at,
                           TColStd_Array1OfInteger& times) {
        for (int i = 1; i <= size(from); ++i) {
            at(i) = from[static_cast<std::size_t>(i) - 1];
            times(i) = i == 1 || i == size(from) ? 4 : 1;
        }
    };
    TColStd_Array1OfReal u(1, size(surface.u)), v(1, size(surface.v));
    TColStd_Array1OfInteger u_times(1, u.Length()), v_times(1, v.Length());
    knots(surface.u, u, u_times);
    knots(surface.v, v, v_times);
    return new Geom_BSplineSurface(poles, u, v, u_times, v_times, 3, 3);
}

std::vector<double> corners_of(const surface::PeriodicCurve& curve) {
    const std::size_t spans = curve.control.size();
    std::vector<double> corners;
    for (std::size_t i = 0; i < piece_count; ++i)
        corners.push_back(static_cast<double>(i * spans / piece_count));
    return corners;
}

std::vector<Piece> cut(const RimCurves& curves, const surface::PeriodicCurve& curve,
                       const std::vector<double>& corners) {
    const Handle(Geom2d_BSplineCurve) whole = to_geom(curve);
    std::vector<Piece> pieces(corners.size());
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        Piece& piece = pieces[i];
        piece.begin = corners[i];
        piece.end = i + 1 < corners.size() ? corners[i + 1] : corners.front() + curve.period();
        piece.curve = Handle(Geom2d_BSplineCurve)::DownCast(whole->Copy());
        piece.curve->Segment(piece.begin, piece.end);
        for (const auto& row : curves.rows) {
            piece.rows.push_back(Handle(Geom_BSplineCurve)::DownCast(row->Copy()));
            piece.rows.back()->Segment(piece.begin, piece.end);
        }
    }
    return pieces;
}

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

}  // namespace archwright::solid
