#include "engine/surface/bspline.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/tolerances.hpp"

namespace archwright::surface {

double Basis::knot(int i) const {
    return length * std::clamp(i - 3, 0, spans()) / spans();
}

double Basis::greville(int i) const {
    return (knot(i + 1) + knot(i + 2) + knot(i + 3)) / 3.0;
}

int Basis::evaluate(double t, std::array<double, 4>& n, std::array<double, 4>* d1,
                    std::array<double, 4>* d2) const {
    t = std::clamp(t, 0.0, length);
    const double per_mm = spans() / length;
    const int first = std::clamp(static_cast<int>(t * per_mm), 0, spans() - 1);
    if (first >= 2 && first <= spans() - 3) {  // all the knots that matter are evenly spaced
        const double x = t * per_mm - first, y = 1.0 - x;
        n[0] = y * y * y / 6.0;
        n[1] = (x * x * (3.0 * x - 6.0) + 4.0) / 6.0;
        n[2] = (y * y * (3.0 * y - 6.0) + 4.0) / 6.0;
        n[3] = x * x * x / 6.0;
        if (d1 != nullptr) {
            const double f = 0.5 * per_mm;
            *d1 = {-y * y * f, x * (3.0 * x - 4.0) * f, y * (4.0 - 3.0 * y) * f, x * x * f};
        }
        if (d2 != nullptr) {
            const double f = per_mm * per_mm;
            *d2 = {y * f, (3.0 * x - 2.0) * f, (3.0 * y - 2.0) * f, x * f};
        }
        return first;
    }
    const int top = first + 3;  // index of the knot at or left of t
    // nd[j][q] below the diagonal: knot differences; above: basis values of degree j (de Boor 1978, ch. X)
    double left[4], right[4], nd[4][4];
    nd[0][0] = 1.0;
    for (int j = 1; j <= 3; ++j) {
        left[j] = t - knot(top + 1 - j);
        right[j] = knot(top + j) - t;
        double saved = 0.0;
        for (int q = 0; q < j; ++q) {
            nd[j][q] = right[q + 1] + left[j - q];
            const double ratio = nd[q][j - 1] / nd[j][q];
            nd[q][j] = saved + right[q + 1] * ratio;
            saved = left[j - q] * ratio;
        }
        nd[j][j] = saved;
    }
    for (int j = 0; j < 4; ++j) n[j] = nd[j][3];
    if (d1 != nullptr)
        for (int j = 0; j < 4; ++j) {
            double slope = 0.0;
            if (j > 0) slope += nd[j - 1][2] / nd[3][j - 1];
            if (j < 3) slope -= nd[j][2] / nd[3][j];
            (*d1)[j] = 3.0 * slope;
        }
    if (d2 != nullptr) {
        double quadratic[3];  // slopes of the quadratic functions
        for (int j = 0; j < 3; ++j) {
            double slope = 0.0;
            if (j > 0) slope += nd[j - 1][1] / nd[2][j - 1];
            if (j < 2) slope -= nd[j][1] / nd[2][j];
            quadratic[j] = 2.0 * slope;
        }
        for (int j = 0; j < 4; ++j) {
            double bend = 0.0;
            if (j > 0) bend += quadratic[j - 1] / nd[3][j - 1];
            if (j < 3) bend -= quadratic[j] / nd[3][j];
            (*d2)[j] = 3.0 * bend;
        }
    }
    return first;
}

Vec3 SplineSurface::point(const Vec2& uv) const {
    std::array<double, 4> nu, nv;
    const int i = u.evaluate(uv.x(), nu), j = v.evaluate(uv.y(), nv);
    Vec3 sum = Vec3::Zero();
    for (int p = 0; p < 4; ++p) {
        const Vec3* row = &control[static_cast<std::size_t>(i + p) * v.count + j];
        sum += nu[p] * (nv[0] * row[0] + nv[1] * row[1] + nv[2] * row[2] + nv[3] * row[3]);
    }
    return sum;
}

SurfacePoint SplineSurface::first(const Vec2& uv) const {
    std::array<double, 4> nu, nv, du, dv;
    const int i = u.evaluate(uv.x(), nu, &du), j = v.evaluate(uv.y(), nv, &dv);
    SurfacePoint at;
    at.s = at.su = at.sv = at.suu = at.suv = at.svv = Vec3::Zero();
    for (int p = 0; p < 4; ++p) {
        const Vec3* row = &control[static_cast<std::size_t>(i + p) * v.count + j];
        const Vec3 r = nv[0] * row[0] + nv[1] * row[1] + nv[2] * row[2] + nv[3] * row[3];
        const Vec3 rv = dv[0] * row[0] + dv[1] * row[1] + dv[2] * row[2] + dv[3] * row[3];
        at.s += nu[p] * r;
        at.su += du[p] * r;
        at.sv += nu[p] * rv;
    }
    return at;
}

SurfacePoint SplineSurface::second(const Vec2& uv) const {
    std::array<double, 4> nu, nv, du, dv, duu, dvv;
    const int i = u.evaluate(uv.x(), nu, &du, &duu), j = v.evaluate(uv.y(), nv, &dv, &dvv);
    SurfacePoint at;
    at.s = at.su = at.sv = at.suu = at.suv = at.svv = Vec3::Zero();
    for (int p = 0; p < 4; ++p) {
        const Vec3* row = &control[static_cast<std::size_t>(i + p) * v.count + j];
        const Vec3 r = nv[0] * row[0] + nv[1] * row[1] + nv[2] * row[2] + nv[3] * row[3];
        const Vec3 rv = dv[0] * row[0] + dv[1] * row[1] + dv[2] * row[2] + dv[3] * row[3];
        const Vec3 rvv = dvv[0] * row[0] + dvv[1] * row[1] + dvv[2] * row[2] + dvv[3] * row[3];
        at.s += nu[p] * r;
        at.su += du[p] * r;
        at.sv += nu[p] * rv;
        at.suu += duu[p] * r;
        at.suv += du[p] * rv;
        at.svv += nu[p] * rvv;
    }
    return at;
}

Curvatures SplineSurface::curvatures(const Vec2& uv) const {
    return curvatures_of(second(uv));
}

Curvatures curvatures_of(const SurfacePoint& at) {
    const Vec3 n = at.normal();
    const double e = at.su.dot(at.su), f = at.su.dot(at.sv), g = at.sv.dot(at.sv);
    const double l = at.suu.dot(n), m = at.suv.dot(n), k = at.svv.dot(n);
    const double det = e * g - f * f;
    const double mean = (e * k - 2.0 * f * m + g * l) / (2.0 * det), gauss = (l * k - m * m) / det;
    const double spread = std::sqrt(std::max(0.0, mean * mean - gauss));
    return {mean + spread, mean - spread};
}

double SplineSurface::project(const Vec3& p, Vec2& uv, int iterations) const {
    constexpr double longest_step = 5.0;  // mm in (u,v): keeps a bad start from leaping across the foot
    uv = clamp(uv);
    for (int k = 0; k < iterations; ++k) {
        const SurfacePoint at = first(uv);
        const Vec3 r = p - at.s;
        const double e = at.su.dot(at.su), f = at.su.dot(at.sv), g = at.sv.dot(at.sv);
        const double a = at.su.dot(r), b = at.sv.dot(r), det = e * g - f * f;
        if (det < tolerance::degenerate) break;
        Vec2 step((g * a - f * b) / det, (e * b - f * a) / det);
        const double size = step.cwiseAbs().maxCoeff();
        if (size > longest_step) step *= longest_step / size;
        const Vec2 next = clamp(uv + step);
        const double moved = (next - uv).cwiseAbs().maxCoeff();
        uv = next;
        if (moved < tolerance::newton_step_mm) break;
    }
    return (p - point(uv)).norm();
}

double SplineField::value(const Vec2& uv) const {
    std::array<double, 4> nu, nv;
    const int i = u.evaluate(uv.x(), nu), j = v.evaluate(uv.y(), nv);
    double sum = 0.0;
    for (int p = 0; p < 4; ++p)
        for (int q = 0; q < 4; ++q)
            sum += nu[p] * nv[q] * control[static_cast<std::size_t>(i + p) * v.count + j + q];
    return sum;
}

Vec2 SplineField::gradient(const Vec2& uv) const {
    std::array<double, 4> nu, nv, du, dv;
    const int i = u.evaluate(uv.x(), nu, &du), j = v.evaluate(uv.y(), nv, &dv);
    Vec2 sum = Vec2::Zero();
    for (int p = 0; p < 4; ++p)
        for (int q = 0; q < 4; ++q) {
            const double c = control[static_cast<std::size_t>(i + p) * v.count + j + q];
            sum += c * Vec2(du[p] * nv[q], nu[p] * dv[q]);
        }
    return sum;
}

}  // namespace archwright::surface
