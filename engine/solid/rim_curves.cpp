#include "engine/solid/rim_curves.hpp"

#include <GeomAPI_Interpolate.hxx>
#include <TColStd_HArray1OfReal.hxx>
#include <TColgp_HArray1OfPnt.hxx>
#include <algorithm>
#include <array>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/solid/occt.hpp"

namespace archwright::solid {

namespace {

constexpr int first_per_span = 4;   // a cubic needs about this many to see the shape of one span
constexpr int most_per_span = 512;  // beyond this the curve has a corner, and no number of points will do
constexpr std::array<double, 3> between_knots = {0.25, 0.5, 0.75};

using Rows = std::vector<surface::RimRows>;

Rows rows_at(const surface::Border& border, const std::vector<double>& s) {
    Rows rows(s.size());
    parallel_for(s.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) rows[i] = border.rows(s[i]);
    });
    return rows;
}

Handle(Geom_BSplineCurve)
    interpolate(const std::vector<double>& s, const Rows& rows, std::size_t row, double period) {
    const int n = static_cast<int>(s.size());
    Handle(TColgp_HArray1OfPnt) points = new TColgp_HArray1OfPnt(1, n);
    Handle(TColStd_HArray1OfReal) parameters = new TColStd_HArray1OfReal(1, n + 1);
    for (int i = 0; i < n; ++i) {
        points->SetValue(i + 1, to_pnt(rows[i].rows[row]));
        parameters->SetValue(i + 1, s[i]);
    }
    parameters->SetValue(n + 1, s.front() + period);
    GeomAPI_Interpolate curve(points, parameters, true, tolerance::degenerate);
    curve.Perform();
    if (!curve.IsDone()) throw Standard_Failure("the rows along an edge cannot be interpolated");
    return curve.Curve();
}

}  // namespace

Outcome<RimCurves> rim_curves(const surface::Border& border, const std::vector<double>& corners,
                              double tolerance_mm) {
    const double period = border.curve.period();
    std::vector<double> s = corners;
    const int first = static_cast<int>(border.curve.control.size()) * first_per_span;
    for (int i = 0; i < first; ++i) s.push_back(period * i / first);
    std::sort(s.begin(), s.end());
    s.erase(std::unique(s.begin(), s.end()), s.end());
    Rows rows = rows_at(border, s);

    // An interval that was within tolerance stays so when its neighbours are halved (the influence of a
    // point on an interpolating cubic dies by 3.7 an interval), so only new ones and their neighbours move.
    for (;;) {
        RimCurves result;
        result.degree = rows.front().degree;
        result.knots = s.size();
        for (std::size_t row = 0; row < rows.front().rows.size(); ++row)
            result.rows.push_back(interpolate(s, rows, row, period));

        const std::size_t n = s.size();
        std::vector<double> probes;
        probes.reserve(n * between_knots.size());
        for (std::size_t i = 0; i < n; ++i) {
            const double length = (i + 1 < n ? s[i + 1] : s.front() + period) - s[i];
            for (const double t : between_knots) probes.push_back(s[i] + t * length);
        }
        const Rows truth = rows_at(border, probes);
        std::vector<double> more;
        Rows more_rows;
        double worst_s = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            double miss = 0.0;
            for (std::size_t p = i * between_knots.size(); p < (i + 1) * between_knots.size(); ++p)
                for (std::size_t row = 0; row < result.rows.size(); ++row)
                    miss = std::max(miss,
                                    (to_vec(result.rows[row]->Value(probes[p])) - truth[p].rows[row]).norm());
            if (miss > result.deviation_mm) worst_s = s[i];
            result.deviation_mm = std::max(result.deviation_mm, miss);
            if (miss <= tolerance_mm) continue;
            const std::size_t middle = i * between_knots.size() + 1;
            more.push_back(probes[middle]);
            more_rows.push_back(truth[middle]);
        }
        if (more.empty()) return result;
        if (s.size() + more.size() > border.curve.control.size() * most_per_span)
            return Fault{FaultKind::internal, "solid",
                         "The edge along " + border.name + " stays " + rounded(result.deviation_mm, 4) +
                             " mm off its sides near " + place(rows.front().rows.front()) +
                             ". Smooth the curve there.",
                         border.rows(worst_s).rows.front()};

        std::vector<double> merged;
        Rows merged_rows;
        merged.reserve(n + more.size());
        for (std::size_t i = 0, j = 0; i < n || j < more.size();) {
            const bool old = j == more.size() || (i < n && s[i] < more[j]);
            merged.push_back(old ? s[i] : more[j]);
            merged_rows.push_back(old ? std::move(rows[i]) : std::move(more_rows[j]));
            old ? ++i : ++j;
        }
        s = std::move(merged);
        rows = std::move(merged_rows);
    }
}

}  // namespace archwright::solid
