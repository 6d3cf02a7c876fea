#include "engine/feature/line.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace archwright::feature {

namespace {

constexpr std::size_t run_pieces = 12;

}  // namespace

SurfaceLine::SurfaceLine(std::vector<Vec3> points) : points_(std::move(points)), along_{0.0} {
    for (std::size_t i = 1; i < points_.size(); ++i)
        along_.push_back(along_.back() + (points_[i] - points_[i - 1]).norm());
    for (std::size_t first = 0; first + 1 < points_.size(); first += run_pieces) {
        const std::size_t last = std::min(first + run_pieces, points_.size() - 1);
        Run run{points_[(first + last) / 2], 0.0};
        for (std::size_t i = first; i <= last; ++i)
            run.radius = std::max(run.radius, (points_[i] - run.centre).norm());
        runs_.push_back(run);
    }
}

SurfaceLine::Foot SurfaceLine::nearest(const Vec3& p) const {
    constexpr double rounding_mm = 1e-9;
    double within = 1e300;
    for (const Run& run : runs_) within = std::min(within, (p - run.centre).norm());
    Foot foot{1e300, 0.0, 0};
    for (std::size_t r = 0; r < runs_.size(); ++r) {
        // every centre is a point of the line
        if ((p - runs_[r].centre).norm() - runs_[r].radius > within + rounding_mm) continue;
        const std::size_t last = std::min((r + 1) * run_pieces, points_.size() - 1);
        for (std::size_t i = r * run_pieces; i < last; ++i) {
            const Vec3 edge = points_[i + 1] - points_[i];
            const double length2 = edge.squaredNorm();
            const double t = length2 > 0.0 ? std::clamp((p - points_[i]).dot(edge) / length2, 0.0, 1.0) : 0.0;
            const double d = (p - points_[i] - t * edge).squaredNorm();
            if (d < foot.distance) foot = {d, along_[i] + t * (along_[i + 1] - along_[i]), i};
        }
    }
    foot.distance = std::sqrt(foot.distance);
    return foot;
}

std::vector<Spot> smooth_line(const std::vector<Spot>& through, const surface::SplineSurface& carpet) {
    // places that lie together are one: a spline needs chords
    constexpr double together_mm = 0.2, spacing_mm = 0.5;
    std::vector<Vec2> place;
    std::vector<double> s;
    for (const Spot& spot : through) {
        if (!place.empty() && (spot.uv - place.back()).norm() < together_mm) continue;
        s.push_back(place.empty() ? 0.0 : s.back() + (spot.uv - place.back()).norm());
        place.push_back(spot.uv);
    }
    const std::size_t n = place.size();
    std::vector<Vec2> second(n, Vec2::Zero());
    if (n > 2) {  // second derivatives by the tridiagonal system, zero at both ends (Thomas' algorithm)
        std::vector<double> factor(n, 0.0);
        std::vector<Vec2> right(n, Vec2::Zero());
        for (std::size_t i = 1; i + 1 < n; ++i) {
            const double h0 = s[i] - s[i - 1], h1 = s[i + 1] - s[i];
            const Vec2 bend = 6.0 * ((place[i + 1] - place[i]) / h1 - (place[i] - place[i - 1]) / h0);
            const double pivot = 2.0 * (h0 + h1) - h0 * factor[i - 1];
            factor[i] = h1 / pivot;
            right[i] = (bend - h0 * right[i - 1]) / pivot;
        }
        for (std::size_t i = n - 1; i-- > 1;) second[i] = right[i] - factor[i] * second[i + 1];
    }
    std::vector<Spot> line;
    if (n > 0) line.push_back({place.front(), carpet.point(place.front())});
    for (std::size_t i = 0; i + 1 < n; ++i) {
        const double h = s[i + 1] - s[i];
        const int pieces = std::max(1, static_cast<int>(std::ceil(h / spacing_mm)));
        for (int k = 1; k <= pieces; ++k) {
            const double b = static_cast<double>(k) / pieces, a = 1.0 - b;
            const Vec2 uv =
                carpet.clamp(a * place[i] + b * place[i + 1] +
                             h * h / 6.0 * ((a * a * a - a) * second[i] + (b * b * b - b) * second[i + 1]));
            line.push_back({uv, carpet.point(uv)});
        }
    }
    return line;
}

Along::Along(const std::vector<GrooveStation>& stations, double otherwise, double GrooveStation::*value)
    : otherwise_(otherwise) {
    std::vector<double> places, values;
    for (const GrooveStation& station : stations) {
        places.push_back(station.along);
        values.push_back(station.*value);
    }
    curve_ = surface::MonotoneCurve(std::move(places), std::move(values));
}

double Along::at(double t) const {
    return curve_.empty() ? otherwise_ : curve_.at(t).value;
}

}  // namespace archwright::feature
