#include "engine/pattern/brush.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/text.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::pattern {

namespace {

constexpr int brush_samples = 12;  // of a span between two points

Fault brush_fault(const std::string& why, std::optional<Vec3> where = {}) {
    return Fault{FaultKind::usage, "paint", why, where};
}

Vec2 on_brush_grid(const Vec2& p) {
    // as text of few decimals gives it back
    const auto to = [](double v) { return std::round(v / brush_grid_mm) / (1.0 / brush_grid_mm); };
    return {to(p.x()), to(p.y())};
}

/// A ring by the length gone along it.
class RingWay {
  public:
    explicit RingWay(const Ring& ring) : ring_(ring), at_(ring.size() + 1, 0.0) {
        for (std::size_t i = 0; i < ring.size(); ++i)
            at_[i + 1] = at_[i] + (ring[(i + 1) % ring.size()] - ring[i]).norm();
    }
    double length() const { return at_.back(); }
    double at(std::size_t vertex) const { return at_[vertex]; }
    Vec2 point(double s) const {
        s = std::fmod(std::fmod(s, length()) + length(), length());
        const auto next = std::upper_bound(at_.begin(), at_.end() - 1, s);
        const auto i = static_cast<std::size_t>(next - at_.begin()) - 1;
        const Vec2 &a = ring_[i], &b = ring_[(i + 1) % ring_.size()];
        const double piece = at_[i + 1] - at_[i];
        return piece > 0 ? Vec2(a + (s - at_[i]) / piece * (b - a)) : a;
    }
    /// Where a place lies along it, and how far beside.
    std::pair<double, double> nearest(const Vec2& p) const {
        double best = 1e300, s = 0;
        for (std::size_t i = 0; i < ring_.size(); ++i) {
            const Vec2 &a = ring_[i], way = ring_[(i + 1) % ring_.size()] - a;
            const double square = way.squaredNorm();
            const double t = square > 0 ? std::clamp((p - a).dot(way) / square, 0.0, 1.0) : 0.0;
            const double away = (a + t * way - p).norm();
            if (away < best) best = away, s = at_[i] + t * std::sqrt(square);
        }
        return {s, best};
    }

  private:
    const Ring& ring_;
    std::vector<double> at_;
};

/// Points of a curve, in order along the ring.
struct Knot {
    double s;
    Vec2 at;
    bool kept = false;
};

class RingFit {
  public:
    RingFit(const Ring& ring, double within)
        : way_(ring), ring_(ring), border_(ring), area_(signed_area(ring)), within_(within) {}

    Outcome<std::vector<Vec2>> fit(const std::vector<Vec2>& keep, std::size_t most) {
        begin(keep);
        for (int round = 0; round < most_rounds; ++round) {
            if (knots_.size() > most)
                return brush_fault("What is painted is too intricate for one curve of " +
                                       std::to_string(most) +
                                       " points: paint it with a wider brush, or in parts.",
                                   Vec3(ring_[0].x(), ring_[0].y(), 0));
            if (!refine(knots_)) break;
        }
        if (!good(knots_))
            return brush_fault("No simple curve follows what is painted there: paint it with a wider brush.",
                               Vec3(ring_[0].x(), ring_[0].y(), 0));
        thin();
        return points_of(knots_);
    }

  private:
    static constexpr int most_rounds = 14;
    // chords of neighbours differ at most so much: a curve of even parameter overshoots beside a short one
    static constexpr double most_growth = 3.0;

    void begin(const std::vector<Vec2>& keep) {
        constexpr double on_ring_mm = 0.05, least_apart_mm = 0.5;
        std::vector<Knot> kept;
        for (const Vec2& p : keep)
            if (const auto [s, away] = way_.nearest(p); away < on_ring_mm) kept.push_back({s, p, true});
        std::sort(kept.begin(), kept.end(), [](const Knot& a, const Knot& b) { return a.s < b.s; });
        for (const Knot& k : kept)
            if (knots_.empty() || k.s - knots_.back().s > least_apart_mm) knots_.push_back(k);
        if (knots_.size() >= 4) return;
        constexpr int first_points = 4;
        knots_.clear();
        for (int i = 0; i < first_points; ++i) {
            const double s = way_.length() * i / first_points;
            knots_.push_back({s, on_brush_grid(way_.point(s))});
        }
    }

    static std::vector<Vec2> points_of(const std::vector<Knot>& knots) {
        std::vector<Vec2> points;
        for (const Knot& k : knots) points.push_back(k.at);
        return points;
    }
    double span(const std::vector<Knot>& knots, std::size_t i) const {
        const double next = i + 1 < knots.size() ? knots[i + 1].s : knots[0].s + way_.length();
        return next - knots[i].s;
    }
    /// Spans in which curve and ring lie too far apart.
    std::vector<char> bad_spans(const std::vector<Knot>& knots) const {
        const auto curve = surface::PeriodicCurve::through(points_of(knots));
        const surface::Outline fine(curve, brush_samples);
        const std::size_t count = knots.size();
        std::vector<char> bad(count, 0);
        for (std::size_t i = 0; i < count * brush_samples; ++i)
            if (border_.distance(fine.points()[i]) > within_) bad[i / brush_samples] = 1;
        for (std::size_t v = 0; v < ring_.size(); ++v) {
            const double s = way_.at(v);
            const auto next = std::upper_bound(knots.begin(), knots.end(), s,
                                               [](double at, const Knot& k) { return at < k.s; });
            const std::size_t i =
                next == knots.begin() ? count - 1 : static_cast<std::size_t>(next - knots.begin()) - 1;
            if (bad[i] == 0 && fine.distance(ring_[v]) > within_) bad[i] = 1;
        }
        return bad;
    }
    bool uneven(const std::vector<Knot>& knots, std::size_t i) const {
        const std::size_t count = knots.size();
        const double own = span(knots, i);
        return own > most_growth * span(knots, (i + 1) % count) ||
               own > most_growth * span(knots, (i + count - 1) % count);
    }
    bool good(const std::vector<Knot>& knots) const {
        const auto bad = bad_spans(knots);
        if (std::any_of(bad.begin(), bad.end(), [](char b) { return b != 0; })) return false;
        return whole(knots);
    }
    /// A simple curve that holds as much as the ring.
    bool whole(const std::vector<Knot>& knots) const {
        const auto curve = surface::PeriodicCurve::through(points_of(knots));
        return std::abs(curve.signed_area() - area_) <= brush_area_share * area_ &&
               surface::Outline(curve).self_crossings() == 0;
    }
    /// A point in the middle of every span that wants one; whether any did.
    bool refine(std::vector<Knot>& knots) const {
        constexpr double least_span_mm = 0.6;
        std::vector<char> wants = bad_spans(knots);
        bool any = std::any_of(wants.begin(), wants.end(), [](char b) { return b != 0; });
        if (!any) {
            if (whole(knots)) return false;
            wants.assign(knots.size(), 1);
        }
        any = false;
        for (std::size_t i = 0; i < knots.size(); ++i)
            wants[i] = static_cast<char>(wants[i] != 0 || uneven(knots, i));
        std::vector<Knot> finer;
        for (std::size_t i = 0; i < knots.size(); ++i) {
            finer.push_back(knots[i]);
            const double length = span(knots, i);
            if (wants[i] == 0 || length < 2.0 * least_span_mm) continue;
            double s = knots[i].s + 0.5 * length;
            if (s >= way_.length()) s -= way_.length();
            finer.push_back({s, on_brush_grid(way_.point(s))});
            any = true;
        }
        std::stable_sort(finer.begin(), finer.end(), [](const Knot& a, const Knot& b) { return a.s < b.s; });
        knots = std::move(finer);
        return any;
    }
    /// Points that are not needed go, those first where the curve runs straightest.
    void thin() {
        for (bool gone = true; gone;) {
            gone = false;
            std::vector<std::pair<double, double>> order;  // bend, place
            const std::size_t count = knots_.size();
            for (std::size_t i = 0; i < count; ++i) {
                if (knots_[i].kept) continue;
                const Vec2 a = knots_[(i + count - 1) % count].at, b = knots_[(i + 1) % count].at;
                order.emplace_back((knots_[i].at - 0.5 * (a + b)).norm(), knots_[i].s);
            }
            std::sort(order.begin(), order.end());
            for (const std::pair<double, double>& bend_and_place : order) {
                if (knots_.size() <= 4) return;
                const double place = bend_and_place.second;
                std::vector<Knot> fewer = knots_;
                fewer.erase(std::find_if(fewer.begin(), fewer.end(),
                                         [place](const Knot& k) { return k.s == place; }));
                if (!good(fewer)) continue;
                knots_ = std::move(fewer);
                gone = true;
            }
            // one more round finds what its neighbours had held
            if (order.size() > most_thinned) return;
        }
    }
    static constexpr std::size_t most_thinned = 40;

    RingWay way_;
    const Ring& ring_;
    surface::Outline border_;
    double area_, within_;
    std::vector<Knot> knots_;
};

double area_of(const Region& region) {
    double sum = 0;
    for (const Ring& ring : region.rings()) sum += signed_area(ring);
    return sum;
}

double rounding(double radius) {
    return std::min(brush_round_share * radius, brush_round_mm);
}

/// Outer borders, the largest first, without crumbs; and the area of the holes in them.
std::vector<Ring> outer_rings(const Region& region, double& holes_mm2) {
    std::vector<std::pair<double, Ring>> outer;
    holes_mm2 = 0;
    for (const Ring& ring : region.rings()) {
        const double area = signed_area(ring);
        if (area < 0) holes_mm2 -= area;
        if (area >= brush_crumb_mm2) outer.emplace_back(area, ring);
    }
    std::stable_sort(outer.begin(), outer.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<Ring> rings;
    for (auto& [area, ring] : outer) rings.push_back(std::move(ring));
    return rings;
}

std::optional<Fault> no_stroke(const std::vector<Vec2>& path, double radius) {
    if (path.empty()) return brush_fault("A stroke has one place or more.");
    if (!(radius > 0)) return brush_fault("A brush has a radius above 0 mm.");
    return {};
}

}  // namespace

double brush_fit(double radius) {
    return std::clamp(brush_fit_share * radius, brush_fit_least_mm, brush_fit_mm);
}

Region swept(const std::vector<Vec2>& path, double radius) {
    return Region::along(path, radius);
}

Region held_by(const std::vector<Vec2>& outline) {
    if (outline.size() < 3) return {};
    return Region(surface::Outline(surface::PeriodicCurve::through(outline)).points());
}

Outcome<std::vector<Vec2>> fitted(const Ring& ring, double within_mm, const std::vector<Vec2>& keep,
                                  std::size_t most) {
    if (ring.size() < 3 || !(within_mm > 0)) return brush_fault("There is nothing to draw a curve round.");
    return RingFit(ring, within_mm).fit(keep, most);
}

Outcome<Painted> paint(const std::vector<PaintedCurve>& curves, const std::vector<Vec2>& path, double radius,
                       std::size_t most_points) {
    if (auto none = no_stroke(path, radius)) return *none;
    Region whole = swept(path, radius);
    std::vector<const PaintedCurve*> met;
    std::vector<Vec2> keep;
    // what is met may reach what the stroke does not
    for (bool more = true; more;) {
        more = false;
        for (const PaintedCurve& curve : curves) {
            if (!curve.joins || std::find(met.begin(), met.end(), &curve) != met.end()) continue;
            const Region held = held_by(curve.outline);
            if (whole.common(held).empty()) continue;
            if (met.empty() && area_of(whole.without(held)) < 1e-6) return Painted{};
            met.push_back(&curve);
            keep.insert(keep.end(), curve.outline.begin(), curve.outline.end());
            whole = whole.joined(held);
            more = true;
        }
    }
    std::sort(met.begin(), met.end());  // as they stand in the list
    double holes = 0;
    const std::vector<Ring> rings = outer_rings(whole.closed(rounding(radius)), holes);
    if (rings.empty()) return brush_fault("The brush is too small: nothing of the stroke is left.");
    auto outline = fitted(rings.front(), brush_fit(radius), keep, most_points);
    if (!outline) return outline.fault();
    Painted painted;
    painted.changes.push_back({met.empty() ? std::string() : met.front()->name, {*outline}});
    for (std::size_t i = 1; i < met.size(); ++i) painted.changes.push_back({met[i]->name, {}});
    if (holes > brush_crumb_mm2)
        painted.told = "The hole of " + rounded(holes, 0) + " mm\u00b2 is closed: one curve has none.";
    return painted;
}

Outcome<Painted> cut(const std::vector<PaintedCurve>& curves, const std::vector<Vec2>& path, double radius,
                     std::size_t most_points) {
    if (auto none = no_stroke(path, radius)) return *none;
    const Region stroke = swept(path, radius);
    Painted painted;
    for (const PaintedCurve& curve : curves) {
        if (!curve.cut) continue;
        const Region held = held_by(curve.outline);
        if (held.common(stroke).empty()) continue;
        double holes = 0;
        const std::vector<Ring> rings = outer_rings(held.without(stroke).opened(rounding(radius)), holes);
        if (holes > 0)
            return brush_fault("That would leave a hole, and a curve has none: begin the cut at its edge.",
                               Vec3(path.front().x(), path.front().y(), 0));
        Painted::Change change{curve.name, {}};
        for (const Ring& ring : rings) {
            auto outline = fitted(ring, brush_fit(radius), curve.outline, most_points);
            if (!outline) return outline.fault();
            change.outlines.push_back(std::move(*outline));
        }
        painted.changes.push_back(std::move(change));
    }
    if (painted.changes.empty()) return brush_fault("There is nothing here to cut.");
    return painted;
}

}  // namespace archwright::pattern
