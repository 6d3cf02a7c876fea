#include "engine/surface/patch.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/surface/fans.hpp"

namespace archwright::surface {

namespace {

// Lowest point of the sections across the axis, from the cast itself: enough for a margin, not for the trim.
class SectionLows {
  public:
    SectionLows(const TriangleMesh& cast, const std::vector<char>& usable, double from, double to)
        : from_(from), low_(static_cast<std::size_t>(std::max(1.0, (to - from) / step)) + 2, 1e300) {
        const auto add = [&](const Vec3& p) {
            const double at = std::round((p.x() - from_) / step);
            if (at >= 0.0 && at < static_cast<double>(low_.size())) {
                double& low = low_[static_cast<std::size_t>(at)];
                low = std::min(low, p.z());
            }
        };
        for (std::size_t t = 0; t < cast.triangles.size(); ++t) {
            if (!usable.empty() && usable[t] == 0) continue;
            const Triangle& triangle = cast.triangles[t];
            for (std::size_t k = 0; k < 3; ++k) {
                const Vec3& a = cast.points[static_cast<std::size_t>(triangle[k])];
                const Vec3& b = cast.points[static_cast<std::size_t>(triangle[(k + 1) % 3])];
                add(a);
                if (std::abs(b.x() - a.x()) < 0.5 * step) continue;
                const int pieces = std::min(1000, static_cast<int>(std::abs(b.x() - a.x()) / (0.5 * step)));
                for (int i = 1; i <= pieces; ++i) add(a + (b - a) * i / (pieces + 1));
            }
        }
        for (std::size_t i = 1; i < low_.size(); ++i)
            if (low_[i] > 1e200) low_[i] = low_[i - 1];
        for (std::size_t i = low_.size() - 1; i-- > 0;)
            if (low_[i] > 1e200) low_[i] = low_[i + 1];
        const std::vector<double> rough = low_;
        for (std::size_t i = 2; i + 2 < low_.size(); ++i)
            low_[i] = (rough[i - 2] + rough[i - 1] + rough[i] + rough[i + 1] + rough[i + 2]) / 5.0;
    }
    bool empty() const { return low_.front() > 1e200; }
    double at(double x) const {
        const double q = std::clamp((x - from_) / step, 0.0, static_cast<double>(low_.size()) - 1.001);
        const std::size_t i = static_cast<std::size_t>(q);
        const double t = q - static_cast<double>(i);
        return (1.0 - t) * low_[i] + t * low_[i + 1];
    }

  private:
    static constexpr double step = 3.0;
    double from_;
    std::vector<double> low_;
};

Fault no_sole(const std::string& message, const Vec3& where) {
    return {FaultKind::input, "carpet", message, where};
}

}  // namespace

Outcome<Patch> select_patch(const TriangleMesh& cast, const std::vector<char>& usable, const TrimRule& rule,
                            const PatchSettings& settings) {
    const Vec3 heel = rule.heel_centre, heads = 0.5 * (rule.first_head + rule.fifth_head);
    TrimRule whole = rule;  // the sole under a cut-out belongs to the surface: it bears the rest
    whole.first_ray_cutout = {};
    const double front = std::max(rule.first_head.x(), rule.fifth_head.x());
    const double width = rule.first_head.y() - rule.fifth_head.y();
    if (!(front > heel.x() + 20.0) || !(width > 10.0))
        return Fault{
            FaultKind::input, "carpet",
            "The metatarsal heads are not in front of the heel centre, with the 1st medial to the 5th: "
            "set the landmarks anew.",
            heads};
    const SectionLows lows(cast, usable, heel.x(), front);
    if (lows.empty())
        return no_sole("The cast has no surface between the heel centre and the metatarsal heads.", heads);

    enum : char { outside, below_rule, under_roof };
    std::vector<char> place(cast.points.size(), outside);
    parallel_for(cast.points.size(), 4096, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3& p = cast.points[i];
            const double slope = distal_edge_slope(whole, p.y());
            if (p.x() - distal_edge_x(whole, p.y()) > settings.beyond_distal_mm * std::hypot(1.0, slope))
                continue;
            const double side = p.y() - axis_y(rule, std::max(p.x(), heel.x()));
            const bool medial = side > 0.0;
            double station = station_of_x(rule, p.x(), medial), uncut = station_of_x(whole, p.x(), medial);
            if (p.x() < heel.x())
                station = uncut = heel_station * std::atan2(std::abs(p.y() - heel.y()), heel.x() - p.x()) /
                                  std::atan2(1.0, 0.0);
            const double asked =
                std::max(rule_height(rule, station, medial), rule_height(whole, uncut, medial));
            const double height = p.z() - lows.at(p.x());
            if (height < asked + settings.above_rule_mm)
                place[i] = below_rule;
            else if (height < settings.tallest_mm &&
                     std::abs(side) < least_reach(rule, p.x(), medial) + settings.beyond_distal_mm)
                place[i] = under_roof;
        }
    });

    // Any corner will do: a coarse cast would else lose an edge's length all round. Besides what lies below
    // the rule: the roof of a high arch, as far out as the line may run.
    Patch patch;
    std::vector<std::int32_t> to(cast.points.size(), -1);
    for (std::size_t t = 0; t < cast.triangles.size(); ++t) {
        if (!usable.empty() && usable[t] == 0) continue;
        const Triangle& q = cast.triangles[t];
        char best = outside;
        for (std::int32_t p : q) {
            const char at = place[static_cast<std::size_t>(p)];
            if (at == below_rule || best == outside) best = at == outside ? best : at;
        }
        if (best == outside || (best == under_roof && cast.normal2(t).z() >= 0.0)) continue;
        Triangle turned = {q[0], q[2], q[1]};  // towards the foot
        for (std::int32_t& p : turned) {
            std::int32_t& own = to[static_cast<std::size_t>(p)];
            if (own < 0) {
                own = static_cast<std::int32_t>(patch.mesh.points.size());
                patch.mesh.points.push_back(cast.points[static_cast<std::size_t>(p)]);
                patch.origin.push_back(p);
            }
            p = own;
        }
        patch.mesh.triangles.push_back(turned);
    }

    Topology topology = find_topology(patch.mesh);
    patch.left_out = drop_disputed(patch.mesh, topology);

    // The part with the most sole: area in plan that faces the ground, under the shell.
    const Parts parts = find_parts(patch.mesh, topology);
    std::vector<double> sole(parts.count(), 0.0);
    for (std::size_t t = 0; t < patch.mesh.triangles.size(); ++t)
        sole[static_cast<std::size_t>(parts.of_triangle[t])] +=
            std::max(0.0, 0.5 * patch.mesh.normal2(t).z());
    const double total = std::accumulate(sole.begin(), sole.end(), 0.0);
    const auto most = std::max_element(sole.begin(), sole.end());
    // a whole sole covers some 60-80 % of the rectangle of heel, heads and width
    constexpr double least_share = 0.25;
    if (most == sole.end() || (settings.connected ? *most : total) < least_share * width * (front - heel.x()))
        return no_sole(
            "The cast has no connected sole between the heel and the metatarsal heads: check that it is the "
            "plantar surface, the right way up, and not in pieces.",
            0.5 * (heel + heads));
    const std::int32_t chosen = static_cast<std::int32_t>(most - sole.begin());
    if (settings.connected && parts.count() > 1) {
        std::vector<char> keep(patch.mesh.triangles.size());
        for (std::size_t t = 0; t < keep.size(); ++t) keep[t] = parts.of_triangle[t] == chosen;
        patch.left_out += patch.mesh.triangles.size() - parts.triangles[static_cast<std::size_t>(chosen)];
        patch.mesh = keep_triangles(patch.mesh, keep, patch.origin);
        topology = find_topology(patch.mesh);
    }
    for (std::int32_t copied : split_pinched(patch.mesh, topology))
        patch.origin.push_back(patch.origin[static_cast<std::size_t>(copied)]);
    return patch;
}

}  // namespace archwright::surface
