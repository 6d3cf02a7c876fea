#include "engine/feature/shape.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "engine/base/text.hpp"
#include "engine/feature/line.hpp"
#include "engine/feature/tangent.hpp"
#include "engine/surface/blend.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::feature {

namespace {

using surface::bump;
using surface::ease;

double signed_size(const Feature& feature) {
    return feature.relief() ? -feature.depth_mm : feature.height_mm;
}

void box_round(Shape& shape, const std::vector<Vec3>& points, double reach) {
    shape.low = Vec3::Constant(1e300);
    shape.high = Vec3::Constant(-1e300);
    for (const Vec3& p : points) {
        shape.low = shape.low.cwiseMin(p);
        shape.high = shape.high.cwiseMax(p);
    }
    shape.low.array() -= reach;
    shape.high.array() += reach;
}

// First-order distance from an ellipse of half axes a, b: negative inside. Exact for a circle.
double ellipse_distance(const Vec2& q, double a, double b) {
    const double r2 = q.x() * q.x() / (a * a) + q.y() * q.y() / (b * b), r = std::sqrt(r2);
    const double slope = Vec2(q.x() / (a * a), q.y() / (b * b)).norm();
    return slope > 0.0 ? (r - 1.0) * r / slope : -std::min(a, b);
}

Shape ellipse(const Feature& feature, const Site& site, const Spot& spot) {
    Shape shape;
    const double a = 0.5 * feature.length_mm, b = 0.5 * feature.width_mm, flank = feature.flank_mm;
    shape.height = [tangent = Tangent(site.carpet, spot, feature.turn_deg), a, b, flank,
                    size = signed_size(feature)](const Vec2&, const Vec3& p) {
        return size * ease(0.5 - ellipse_distance(tangent.of(p), a, b) / flank);
    };
    box_round(shape, {spot.p}, std::max(a, b) + flank);
    shape.spine = {spot};
    return shape;
}

Outcome<Shape> drawn(const Feature& feature, const Site& site, const std::vector<Spot>& corners) {
    std::vector<Vec2> places;
    for (const Spot& spot : corners) places.push_back(spot.uv);
    const auto outline = std::make_shared<surface::Outline>(surface::PeriodicCurve::through(places));
    if (outline->self_crossings() > 0)
        return fault_of(feature, "its curve crosses itself: draw it anew.", corners.front().p);
    std::vector<Vec3> edge;
    Vec2 middle = Vec2::Zero();
    for (const Vec2& q : outline->points()) {
        edge.push_back(site.carpet.point(q));
        middle += q / static_cast<double>(outline->points().size());
    }
    Shape shape;
    box_round(shape, edge, feature.flank_mm);
    edge.push_back(edge.front());
    // how far is measured in space, on which side in the plane of (u,v)
    shape.height = [line = std::make_shared<SurfaceLine>(edge), outline, flank = feature.flank_mm,
                    size = signed_size(feature)](const Vec2& uv, const Vec3& p) {
        const double distance = line->nearest(p).distance;
        return size * ease(0.5 - (outline->inside(uv) ? -distance : distance) / flank);
    };
    const Spot centre{middle, site.carpet.point(middle)};
    shape.spine = {centre};
    return shape;
}

Outcome<Shape> groove(const Feature& feature, const std::vector<Spot>& points, const Site& site) {
    if (points.size() < 2) return fault_of(feature, "a groove runs along a line of two points or more.");
    std::vector<Spot> spine = smooth_line(points, site.carpet);
    if (spine.size() < 2)
        return fault_of(feature, "the points of its line lie in one place.", points.front().p);
    std::vector<Vec3> places;
    for (const Spot& spot : spine) places.push_back(spot.p);
    auto line = std::make_shared<SurfaceLine>(std::move(places));
    Shape shape;
    double widest = feature.width_mm, deepest = feature.stations.empty() ? feature.depth_mm : 0.0;
    for (const GrooveStation& s : feature.stations) {
        widest = std::max(widest, s.width_mm);
        deepest = std::max(deepest, s.depth_mm);
    }
    const Along width(feature.stations, feature.width_mm, &GrooveStation::width_mm),
        depth(feature.stations, feature.depth_mm, &GrooveStation::depth_mm);
    box_round(shape, line->points(), 0.5 * (widest + feature.flank_mm));
    shape.spine = std::move(spine);
    shape.asked_mm = deepest;
    shape.height = [line, width, depth, flank = feature.flank_mm, start = feature.fade_start_mm,
                    end = feature.fade_end_mm](const Vec2&, const Vec3& p) {
        const SurfaceLine::Foot foot = line->nearest(p);
        const double t = foot.along / line->length();
        const double share = ease(0.5 - (foot.distance - 0.5 * width.at(t)) / flank);
        const double from_start = start > 0.0 ? ease(foot.along / start) : 1.0;
        const double from_end = end > 0.0 ? ease((line->length() - foot.along) / end) : 1.0;
        return -depth.at(t) * share * from_start * from_end;
    };
    return shape;
}

// The rule whose distal edge is the line of the heads itself, from border to border of the 1st and 5th.
surface::TrimRule line_of(surface::TrimRule heads) {
    heads.distal_first_mm = heads.distal_fifth_mm = 0.0;
    heads.first_ray_cutout = {};
    return heads;
}

Outcome<Shape> dome(const Feature& feature, const Site& site, const Layer& layer,
                    const surface::TrimRule& heads) {
    constexpr double in_front = 0.4;  // of its length lies in front of its highest point (our choice)
    const auto second = site.landmarks.find(foot::LandmarkId::second_head_plantar);
    const double y = (second != site.landmarks.end() ? second->second.position.y()
                                                     : surface::axis_y(heads, heads.first_head.x())) +
                     feature.medial_mm;
    const double head_x = second != site.landmarks.end() ? second->second.position.x()
                                                         : surface::distal_edge_x(line_of(heads), y);
    const double leading = head_x - feature.behind_mm + feature.forward_mm;
    const auto top = layer.at(Vec2(leading - in_front * feature.length_mm, y));
    if (!top)
        return fault_of(feature, "there is no sole under the dome's highest point.",
                        Vec3(leading - in_front * feature.length_mm, y, 0.0));
    Shape shape;
    shape.height = [tangent = Tangent(site.carpet, *top, feature.turn_deg), a = feature.length_mm,
                    b = 0.5 * feature.width_mm, size = feature.height_mm](const Vec2&, const Vec3& p) {
        const Vec2 q = tangent.of(p);
        const double x = q.x() / (q.x() > 0.0 ? in_front * a : (1.0 - in_front) * a), across = q.y() / b;
        return size * bump(x * x + across * across);
    };
    box_round(shape, {top->p}, std::max(feature.length_mm, feature.width_mm));
    shape.spine = {*top};
    return shape;
}

Outcome<Shape> bar(const Feature& feature, const Layer& layer, const surface::TrimRule& heads) {
    const double y = surface::axis_y(heads, heads.first_head.x()) + feature.medial_mm;
    const surface::TrimRule line = line_of(heads);
    const Vec2 middle(
        surface::distal_edge_x(line, y) - feature.behind_mm + feature.forward_mm - 0.5 * feature.length_mm,
        y);
    const auto top = layer.at(middle);
    if (!top) return fault_of(feature, "there is no sole under the bar's middle.", Vec3(middle.x(), y, 0.0));
    Shape shape;
    // width and length are at half height, as of every flanked shape
    shape.height = [line, y, feature](const Vec2&, const Vec3& p) {
        const double leading = surface::distal_edge_x(line, p.y()) - feature.behind_mm + feature.forward_mm;
        const double behind = leading - p.x(), flank = feature.flank_mm;
        const double along = ease(0.5 + behind / flank) * ease(0.5 + (feature.length_mm - behind) / flank);
        const double across = ease(0.5 - (std::abs(p.y() - y) - 0.5 * feature.width_mm) / flank);
        return feature.height_mm * along * across;
    };
    const double reach = 0.5 * feature.width_mm + feature.length_mm + feature.flank_mm;
    box_round(shape, {top->p}, reach);
    shape.spine = {*top};
    return shape;
}

}  // namespace

Outcome<Shape> shape_of(const Feature& feature, const Site& site, const Layer& layer,
                        const surface::TrimRule& heads) {
    const auto laid = [&]() -> Outcome<Shape> {
        if (feature.kind == Feature::Kind::metatarsal_dome) return dome(feature, site, layer, heads);
        if (feature.kind == Feature::Kind::metatarsal_bar) return bar(feature, layer, heads);
        const auto spots = place_of(feature, site, layer);
        if (!spots) return spots.fault();
        if (feature.kind == Feature::Kind::groove) return groove(feature, *spots, site);
        if (spots->size() > 2) return drawn(feature, site, *spots);
        return ellipse(feature, site, spots->front());
    };
    auto shape = laid();
    if (shape && shape->asked_mm == 0.0) shape->asked_mm = std::abs(signed_size(feature));
    return shape;
}

}  // namespace archwright::feature
