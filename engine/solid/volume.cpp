#include "engine/solid/volume.hpp"

#include <BRep_Tool.hxx>
#include <Geom2d_BSplineCurve.hxx>
#include <Geom2d_Curve.hxx>
#include <Geom2d_TrimmedCurve.hxx>
#include <Geom_BSplineSurface.hxx>
#include <Geom_Plane.hxx>
#include <Geom_RectangularTrimmedSurface.hxx>
#include <Precision.hxx>
#include <TColStd_Array1OfInteger.hxx>
#include <TColStd_Array1OfReal.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Face.hxx>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "engine/base/parallel.hpp"
#include "engine/base/vec.hpp"
#include "engine/solid/occt.hpp"

namespace archwright::solid {

namespace {

constexpr int most_degree = 5;

// Gauss' rule on [-1, 1], exact for polynomials up to degree 2 n - 1: zeros of Legendre's polynomial by
// Newton's method.
struct Gauss {
    std::vector<double> at, weight;

    explicit Gauss(int n) : at(static_cast<std::size_t>(n)), weight(at.size()) {
        for (int i = 0; i < n; ++i) {
            double x = std::cos(std::numbers::pi * (i + 0.75) / (n + 0.5)), slope = 1.0;
            for (int step = 0; step < 100; ++step) {
                double p = 1.0, before = 0.0;
                for (int k = 1; k <= n; ++k) {
                    const double next = ((2 * k - 1) * x * p - (k - 1) * before) / k;
                    before = p;
                    p = next;
                }
                slope = n * (x * p - before) / (x * x - 1.0);
                const double moved = p / slope;
                x -= moved;
                if (std::abs(moved) < 1e-15) break;
            }
            at[static_cast<std::size_t>(i)] = x;
            weight[static_cast<std::size_t>(i)] = 2.0 / ((1.0 - x * x) * slope * slope);
        }
    }
};

using Functions = std::array<double, most_degree + 1>;

// One direction of a B-spline surface: distinct knots and the functions between them.
struct Direction {
    int degree = 1;
    std::vector<double> knots;  // distinct
    std::vector<double> full;   // each as often as it counts
    std::vector<int> first;     // of each span: its first function that does not vanish

    static Direction of(int degree, const TColStd_Array1OfReal& knots, const TColStd_Array1OfInteger& times) {
        Direction d;
        d.degree = degree;
        for (int k = knots.Lower(); k <= knots.Upper(); ++k) {
            d.knots.push_back(knots(k));
            for (int c = 0; c < times(k); ++c) d.full.push_back(knots(k));
            if (k < knots.Upper()) d.first.push_back(static_cast<int>(d.full.size()) - 1 - degree);
        }
        return d;
    }
    int spans() const { return static_cast<int>(first.size()); }
    int span(double t) const {
        const auto above = std::upper_bound(knots.begin(), knots.end(), t);
        return std::clamp(static_cast<int>(above - knots.begin()) - 1, 0, spans() - 1);
    }
    // functions and slopes at t, continued from span k (de Boor 1978, ch. X)
    void evaluate(int k, double t, Functions& n, Functions& slope) const {
        const std::size_t top =
            static_cast<std::size_t>(first[static_cast<std::size_t>(k)]) + static_cast<std::size_t>(degree);
        Functions left{}, right{};
        n[0] = 1.0;
        for (int j = 1; j <= degree; ++j) {
            const auto q = static_cast<std::size_t>(j);
            left[q] = t - full[top + 1 - q];
            right[q] = full[top + q] - t;
            double saved = 0.0;
            if (j == degree) {
                // slopes from the functions of one degree less
                double before = 0.0;
                for (std::size_t r = 0; r < q; ++r) {
                    const double part = degree * n[r] / (full[top + r + 1] - full[top + r + 1 - q]);
                    slope[r] = before - part;
                    before = part;
                }
                slope[q] = before;
            }
            for (std::size_t r = 0; r < q; ++r) {
                const double part = n[r] / (right[r + 1] + left[q - r]);
                n[r] = saved + right[r + 1] * part;
                saved = left[q - r] * part;
            }
            n[q] = saved;
        }
    }
};

// What is integrated over (u,v): z times the third component of S_u x S_v.
class SplineFace {
  public:
    SplineFace(const Geom_BSplineSurface& s, double base)
        : u_(Direction::of(s.UDegree(), s.UKnots(), s.UMultiplicities())),
          v_(Direction::of(s.VDegree(), s.VKnots(), s.VMultiplicities())),
          columns_(static_cast<std::size_t>(s.NbVPoles())) {
        poles_.reserve(static_cast<std::size_t>(s.NbUPoles()) * columns_);
        for (int i = 1; i <= s.NbUPoles(); ++i)
            for (int j = 1; j <= s.NbVPoles(); ++j)
                poles_.push_back(to_vec(s.Pole(i, j)) - Vec3(0.0, 0.0, base));
    }

    const Direction& u() const { return u_; }
    const Direction& v() const { return v_; }

    // The surface's control points contracted to the curve along u at one v, and those of S_v there.
    struct Row {
        std::vector<Vec3> at, across;
    };
    Row row(int span_v, double t) const {
        Functions n{}, d{};
        v_.evaluate(span_v, t, n, d);
        const std::size_t rows = poles_.size() / columns_;
        const auto first = static_cast<std::size_t>(v_.first[static_cast<std::size_t>(span_v)]);
        Row row{std::vector<Vec3>(rows, Vec3::Zero()), std::vector<Vec3>(rows, Vec3::Zero())};
        for (std::size_t i = 0; i < rows; ++i)
            for (std::size_t j = 0; j <= static_cast<std::size_t>(v_.degree); ++j) {
                const Vec3& p = poles_[i * columns_ + first + j];
                row.at[i] += n[j] * p;
                row.across[i] += d[j] * p;
            }
        return row;
    }
    double integrand(const Row& row, std::size_t first, const Functions& n, const Functions& d) const {
        double z = 0.0, xu = 0.0, yu = 0.0, xv = 0.0, yv = 0.0;
        for (std::size_t i = 0; i <= static_cast<std::size_t>(u_.degree); ++i) {
            const Vec3 &p = row.at[first + i], &q = row.across[first + i];
            z += n[i] * p.z();
            xu += d[i] * p.x();
            yu += d[i] * p.y();
            xv += n[i] * q.x();
            yv += n[i] * q.y();
        }
        return z * (xu * yv - yu * xv);
    }
    // The same at one place of a cell.
    double integrand(int span_u, int span_v, double u, double v) const {
        Functions nu{}, du{}, nv{}, dv{};
        u_.evaluate(span_u, u, nu, du);
        v_.evaluate(span_v, v, nv, dv);
        const auto i0 = static_cast<std::size_t>(u_.first[static_cast<std::size_t>(span_u)]),
                   j0 = static_cast<std::size_t>(v_.first[static_cast<std::size_t>(span_v)]);
        Vec3 s = Vec3::Zero(), su = Vec3::Zero(), sv = Vec3::Zero();
        for (std::size_t i = 0; i <= static_cast<std::size_t>(u_.degree); ++i) {
            Vec3 r = Vec3::Zero(), rv = Vec3::Zero();
            for (std::size_t j = 0; j <= static_cast<std::size_t>(v_.degree); ++j) {
                const Vec3& p = poles_[(i0 + i) * columns_ + j0 + j];
                r += nv[j] * p;
                rv += dv[j] * p;
            }
            s += nu[i] * r;
            su += du[i] * r;
            sv += nu[i] * rv;
        }
        return s.z() * (su.x() * sv.y() - su.y() * sv.x());
    }

  private:
    Direction u_, v_;
    std::size_t columns_;
    std::vector<Vec3> poles_;
};

// A place on a border and what dv weighs there.
struct Step {
    int span_u, span_v;
    double u, v, dv;
};

// A border's image on a face: smooth between its own knots.
struct Image {
    Handle(Geom2d_Curve) curve;
    double begin, end, sign;

    std::vector<double> joints() const {
        std::vector<double> all = {begin, end};
        Handle(Geom2d_Curve) basis = curve;
        while (const auto trimmed = Handle(Geom2d_TrimmedCurve)::DownCast(basis))
            basis = trimmed->BasisCurve();
        if (const auto spline = Handle(Geom2d_BSplineCurve)::DownCast(basis); !spline.IsNull())
            for (int k = 1; k <= spline->NbKnots(); ++k)
                if (spline->Knot(k) > begin && spline->Knot(k) < end) all.push_back(spline->Knot(k));
        std::sort(all.begin(), all.end());
        return all;
    }
};

bool images_of(const TopoDS_Face& face, std::vector<Image>& images) {
    for (TopExp_Explorer it(face.Oriented(TopAbs_FORWARD), TopAbs_EDGE); it.More(); it.Next()) {
        const TopoDS_Edge& edge = TopoDS::Edge(it.Current());
        double begin = 0.0, end = 0.0;
        const Handle(Geom2d_Curve) curve = BRep_Tool::CurveOnSurface(edge, face, begin, end);
        if (curve.IsNull() || !(end > begin) || Precision::IsInfinite(begin) || Precision::IsInfinite(end))
            return false;
        if (edge.Orientation() != TopAbs_FORWARD && edge.Orientation() != TopAbs_REVERSED) return false;
        images.push_back({curve, begin, end, edge.Orientation() == TopAbs_FORWARD ? 1.0 : -1.0});
    }
    return true;
}

// Places along an image, cut where it passes from one cell to the next.
void walk(const Image& image, const SplineFace& face, const Gauss& rule, std::vector<Step>& steps) {
    constexpr int parts = 4;      // of a smooth piece: within one, a cell is left once
    constexpr int halvings = 40;  // of a piece, to where it leaves its cell
    const int most_cuts = 2 * (face.u().spans() + face.v().spans());
    const auto cell = [&](double s) {
        const gp_Pnt2d p = image.curve->Value(s);
        return std::pair{face.u().span(p.X()), face.v().span(p.Y())};
    };
    const auto add = [&](double a, double b, const std::pair<int, int>& in) {
        for (std::size_t g = 0; g < rule.at.size(); ++g) {
            gp_Pnt2d p;
            gp_Vec2d d;
            image.curve->D1(0.5 * (a + b) + 0.5 * (b - a) * rule.at[g], p, d);
            steps.push_back(
                {in.first, in.second, p.X(), p.Y(), image.sign * 0.5 * (b - a) * rule.weight[g] * d.Y()});
        }
    };
    const std::vector<double> joints = image.joints();
    for (std::size_t k = 0; k + 1 < joints.size(); ++k)
        for (int part = 0; part < parts; ++part) {
            const double step = (joints[k + 1] - joints[k]) / parts;
            double from = joints[k] + step * part;
            const double to = part + 1 == parts ? joints[k + 1] : from + step;
            // just behind the joint: an image may begin on a knot
            constexpr double inside = 1e-9;
            auto here = cell(from + inside * step);
            for (int cuts = 0; cuts < most_cuts && here != cell(to - inside * step); ++cuts) {
                double low = from, high = to;
                for (int h = 0; h < halvings; ++h) {
                    const double middle = 0.5 * (low + high);
                    (cell(middle) == here ? low : high) = middle;
                }
                if (!(high > from) || !(high < to)) break;
                add(from, high, here);
                from = high;
                here = cell(from);
            }
            add(from, to, here);
        }
}

double under_spline(const SplineFace& face, const std::vector<Image>& images) {
    static const Gauss along(8);
    std::vector<Step> steps;
    for (const Image& image : images) walk(image, face, along, steps);
    const Direction &u = face.u(), &v = face.v();
    std::vector<std::vector<Step>> in_row(static_cast<std::size_t>(v.spans()));
    for (const Step& step : steps) in_row[static_cast<std::size_t>(step.span_v)].push_back(step);

    // the integrand has degree 3 p - 1 in a parameter of degree p
    const Gauss rule((3 * u.degree + 1) / 2);
    struct Place {
        Functions n{}, d{};
        double weight = 0.0;
    };
    std::vector<Place> places;  // of every span
    for (int i = 0; i < u.spans(); ++i) {
        const double low = u.knots[static_cast<std::size_t>(i)],
                     high = u.knots[static_cast<std::size_t>(i) + 1];
        for (std::size_t g = 0; g < rule.at.size(); ++g) {
            Place place;
            u.evaluate(i, 0.5 * (low + high) + 0.5 * (high - low) * rule.at[g], place.n, place.d);
            place.weight = 0.5 * (high - low) * rule.weight[g];
            places.push_back(place);
        }
    }
    // in v it is known from as many values as its degree and one; Chebyshev's places, barycentric formula
    const auto nodes = static_cast<std::size_t>(3 * v.degree);
    std::vector<double> node(nodes), bary(nodes);
    for (std::size_t k = 0; k < nodes; ++k) {
        const double angle =
            std::numbers::pi * (2.0 * static_cast<double>(k) + 1.0) / (2.0 * static_cast<double>(nodes));
        node[k] = std::cos(angle);
        bary[k] = (k % 2 == 0 ? 1.0 : -1.0) * std::sin(angle);
    }
    std::vector<double> sums(in_row.size(), 0.0);
    parallel_for(in_row.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t j = begin; j < end; ++j) {
            if (in_row[j].empty()) continue;
            const int span_v = static_cast<int>(j);
            const double low = v.knots[j], high = v.knots[j + 1];
            int most = 0;
            for (const Step& step : in_row[j]) most = std::max(most, step.span_u);
            // integral from the first knot to the beginning of span i, at each node
            std::vector<double> before(nodes * (static_cast<std::size_t>(most) + 1), 0.0);
            for (std::size_t k = 0; k < nodes; ++k) {
                const SplineFace::Row row =
                    face.row(span_v, 0.5 * (low + high) + 0.5 * (high - low) * node[k]);
                double sum = 0.0;
                for (std::size_t i = 0; i < static_cast<std::size_t>(most); ++i) {
                    for (std::size_t g = 0; g < rule.at.size(); ++g) {
                        const Place& place = places[i * rule.at.size() + g];
                        sum += place.weight *
                               face.integrand(row, static_cast<std::size_t>(u.first[i]), place.n, place.d);
                    }
                    before[(i + 1) * nodes + k] = sum;
                }
            }
            for (const Step& step : in_row[j]) {
                const double x = (2.0 * step.v - low - high) / (high - low);
                double over = 0.0, under = 0.0;
                for (std::size_t k = 0; k < nodes; ++k) {
                    const double value = before[static_cast<std::size_t>(step.span_u) * nodes + k];
                    if (x == node[k]) {
                        over = value;
                        under = 1.0;
                        break;
                    }
                    over += bary[k] / (x - node[k]) * value;
                    under += bary[k] / (x - node[k]);
                }
                double sum = over / under;
                const double from = u.knots[static_cast<std::size_t>(step.span_u)];
                for (std::size_t g = 0; g < rule.at.size(); ++g)
                    sum += 0.5 * (step.u - from) * rule.weight[g] *
                           face.integrand(step.span_u, span_v,
                                          0.5 * (from + step.u) + 0.5 * (step.u - from) * rule.at[g], step.v);
                sums[j] += sum * step.dv;
            }
        }
    });
    double sum = 0.0;
    for (const double s : sums) sum += s;
    return sum;
}

double under_plane(const gp_Ax3& frame, double base, const std::vector<Image>& images) {
    static const Gauss along(8);
    const gp_Dir x = frame.XDirection(), y = frame.YDirection();
    const double lean = x.X() * y.Y() - x.Y() * y.X(), origin = frame.Location().Z() - base;
    double sum = 0.0;
    for (const Image& image : images) {
        const std::vector<double> joints = image.joints();
        for (std::size_t k = 0; k + 1 < joints.size(); ++k)
            for (std::size_t g = 0; g < along.at.size(); ++g) {
                const double half = 0.5 * (joints[k + 1] - joints[k]);
                gp_Pnt2d p;
                gp_Vec2d d;
                image.curve->D1(0.5 * (joints[k] + joints[k + 1]) + half * along.at[g], p, d);
                const double inner = p.X() * (origin + p.Y() * y.Z() + 0.5 * p.X() * x.Z());
                sum += image.sign * half * along.weight[g] * d.Y() * lean * inner;
            }
    }
    return sum;
}

}  // namespace

std::optional<double> volume_within(const TopoDS_Shape& shape, double middle_z) {
    double sum = 0.0;
    for (TopExp_Explorer it(shape, TopAbs_FACE); it.More(); it.Next()) {
        const TopoDS_Face& face = TopoDS::Face(it.Current());
        if (face.Orientation() != TopAbs_FORWARD && face.Orientation() != TopAbs_REVERSED)
            return std::nullopt;
        const double sign = face.Orientation() == TopAbs_FORWARD ? 1.0 : -1.0;
        std::vector<Image> images;
        if (!images_of(face, images)) return std::nullopt;
        Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
        while (const auto trimmed = Handle(Geom_RectangularTrimmedSurface)::DownCast(surface))
            surface = trimmed->BasisSurface();
        if (const auto plane = Handle(Geom_Plane)::DownCast(surface); !plane.IsNull()) {
            sum += sign * under_plane(plane->Position(), middle_z, images);
            continue;
        }
        const auto spline = Handle(Geom_BSplineSurface)::DownCast(surface);
        if (spline.IsNull() || spline->IsURational() || spline->IsVRational() || spline->IsUPeriodic() ||
            spline->IsVPeriodic() || spline->UDegree() > most_degree || spline->VDegree() > most_degree)
            return std::nullopt;
        sum += sign * under_spline(SplineFace(*spline, middle_z), images);
    }
    return sum;
}

}  // namespace archwright::solid
