#include "engine/mark/trace.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/mark/centre.hpp"
#include "engine/mark/polyline.hpp"
#include "engine/mark/region.hpp"
#include "engine/mesh/bvh.hpp"

namespace archwright::mark {

namespace {

constexpr double least_ink_mm2 = 2.0;   // less is a speck
constexpr double line_mm = 8.0;         // shorter is a spot
constexpr double line_slender = 3.0;    // length over breadth
constexpr double patch_mm2 = 180.0;     // a spot broader than 15 mm is an area
constexpr double margin_mm = 1.2;       // ink bleeds, and the smoothing widens it
constexpr double simplified_mm = 0.12;  // of the points a mark keeps
constexpr double chord_mm = 8.0;
constexpr double join_mm = 7.0;  // between the ends of two pieces of one line
constexpr double join_cosine = 0.85;
constexpr int most_lines = 12;  // of one region: more is a stain

class Tracer {
  public:
    Tracer(const Skin& skin, const InkField& field)
        : skin_(skin), field_(field), walker_(skin), bvh_(skin.mesh()) {}

    std::vector<Traced> of(const std::vector<std::int32_t>& region) {
        std::vector<Traced> found;
        double area = 0.0;
        Box3 box;
        for (const std::int32_t p : region) {
            area += skin_.area(p);
            box.add(skin_.place(p));
        }
        if (area < least_ink_mm2) return found;
        Ink ink{skin_, field_, grown(skin_, walker_, region, std::max(margin_mm, 1.2 * skin_.spacing()))};
        Vec3 colour = Vec3::Zero();
        for (const std::int32_t p : region) colour += skin_.area(p) * field_.off[static_cast<std::size_t>(p)];
        if (colour.norm() > 0.0) ink.colour = colour.normalized();

        // what it encloses
        std::vector<std::uint8_t> covered(skin_.size(), 0);
        constexpr double least_ring_mm = 5.0;
        if (box.size().norm() >= least_ring_mm) {
            auto holes = enclosed_by(skin_, walker_, region, 0.0);
            if (holes.empty()) holes = enclosed_by(skin_, walker_, region, std::max(1.2, skin_.spacing()));
            for (const auto& hole : holes) {
                auto area_mark = ring(hole, ink);
                if (!area_mark) continue;
                cover(area_mark->mark.points, true, area_mark->mark.breadth_mm, region, covered);
                found.push_back(std::move(*area_mark));
            }
        }
        const bool ringed = !found.empty();

        // lines: the longest way through it, then through what is left
        std::vector<std::vector<std::int32_t>> open;
        if (box.size().norm() >= line_mm && (ringed || !round(ink))) open.push_back(region);
        int lines = 0;
        for (std::size_t k = 0; k < open.size() && lines < most_lines; ++k) {
            const auto line = this->line(open[k], ink, covered);
            if (!line) continue;
            ++lines;
            cover(line->mark.points, false, line->mark.breadth_mm, region, covered);
            found.push_back(std::move(*line));
            std::vector<std::uint8_t> left(skin_.size(), 0);
            for (const std::int32_t p : open[k])
                left[static_cast<std::size_t>(p)] = covered[static_cast<std::size_t>(p)] == 0 ? 1 : 0;
            for (auto& rest : connected(skin_, left)) open.push_back(std::move(rest));
        }
        if (ringed && lines == 0) {  // what hangs on a ring
            std::vector<std::uint8_t> left(skin_.size(), 0);
            for (const std::int32_t p : region)
                left[static_cast<std::size_t>(p)] = covered[static_cast<std::size_t>(p)] == 0 ? 1 : 0;
            for (const auto& rest : connected(skin_, left))
                if (auto line = this->line(rest, ink, covered)) found.push_back(std::move(*line));
        }
        if (found.empty()) {
            auto one = area >= patch_mm2 ? patch(region, ink, area) : spot(region, ink);
            if (one) found.push_back(std::move(*one));
        }
        const double beside = just_outside(region);
        for (Traced& one : found) finish(one, region, beside);
        return found;
    }

    /// Pieces of one line that end near one another and point at one another become one.
    void join(std::vector<Traced>& all) const {
        for (bool again = true; again;) {
            again = false;
            for (std::size_t i = 0; i < all.size() && !again; ++i)
                for (std::size_t j = i + 1; j < all.size() && !again; ++j) again = joined(all, i, j);
        }
    }

    Vec3 on_cast(const Vec3& p) const {
        constexpr double far_mm = 20.0;
        const auto near = bvh_.nearest(p, far_mm);
        return near ? near->point : p;
    }

  private:
    std::vector<Vec3> laid(const std::vector<Vec3>& points) const {
        std::vector<Vec3> on;
        on.reserve(points.size());
        for (const Vec3& p : points) on.push_back(on_cast(p));
        return on;
    }

    /// Whether ink lies as in a filled ellipse that is no stroke, by its second moments: those of one with
    /// half axes a, b are a^2 / 4 and b^2 / 4. What hangs on it thinly counts little.
    bool round(const Ink& ink) const {
        double sum = 0.0, most = 0.0;
        Vec3 middle = Vec3::Zero();
        for (const std::int32_t p : ink.points) {
            const double w = ink.weight(p);
            sum += w;
            middle += w * skin_.place(p);
            most = std::max(most, ink.share(p));
        }
        if (!(sum > 0.0)) return true;
        middle /= sum;
        Mat3 spread = Mat3::Zero();
        for (const std::int32_t p : ink.points) {
            const Vec3 d = skin_.place(p) - middle;
            spread += ink.weight(p) / sum * d * d.transpose();
        }
        const Vec3 moments = Eigen::SelfAdjointEigenSolver<Mat3>(spread).eigenvalues();
        constexpr double elongated = 2.2, filled = 0.55;
        const double a = 2.0 * std::sqrt(std::max(0.0, moments[2])),
                     b = 2.0 * std::sqrt(std::max(0.0, moments[1]));
        return a < elongated * b && sum > filled * most * std::numbers::pi * a * b;
    }

    /// Marks the points of the region that belong to a stroke.
    void cover(const std::vector<Vec3>& points, bool closed, double breadth_mm,
               const std::vector<std::int32_t>& region, std::vector<std::uint8_t>& covered) const {
        const double within = 0.5 * breadth_mm + margin_mm + 0.5 * skin_.spacing();
        for (const std::int32_t p : region)
            if (distance(points, closed, skin_.place(p)) <= within) covered[static_cast<std::size_t>(p)] = 1;
    }

    std::optional<Traced> ring(const std::vector<std::int32_t>& hole, const Ink& ink) {
        std::vector<Vec3> outline = outer_loop(skin_, hole);
        if (outline.size() < 4) return std::nullopt;
        // the hole ends inside of the ink's inner edge: first far, then near
        constexpr double first_mm = 3.5, then_mm = 2.2, along_mm = 2.5;
        outline = resampled(smoothed(resampled(outline, 1.0, true), 2.0, true), 1.0, true);
        outline = centred(std::move(outline), true, ink, first_mm, along_mm, 2);
        outline = centred(std::move(outline), true, ink, then_mm, along_mm, 3);
        if (outline.size() < 4) return std::nullopt;
        Traced one;
        one.mark.kind = Kind::area;
        one.mark.ring = true;
        one.mark.points = laid(outline);
        one.mark.contrast = contrast(one.mark.points, true, ink, 0.6);
        one.mark.breadth_mm = breadth(one.mark.points, true, ink, one.mark.contrast, then_mm);
        one.mark.length_mm = length(one.mark.points, true);
        one.mark.area_mm2 = enclosed(one.mark.points);
        return one;
    }

    std::optional<Traced> line(const std::vector<std::int32_t>& part, const Ink& ink,
                               const std::vector<std::uint8_t>& covered) {
        double area = 0.0;
        std::vector<std::uint8_t> inside(skin_.size(), 0);
        for (const std::int32_t p : part) {
            inside[static_cast<std::size_t>(p)] = 1;
            area += skin_.area(p);
        }
        if (area < least_ink_mm2) return std::nullopt;
        // ways keep to the middle of the ink
        std::vector<std::int32_t> edge;
        for (const std::int32_t p : part) {
            const auto around = skin_.neighbours(p);
            if (std::any_of(around.begin(), around.end(),
                            [&](std::int32_t q) { return inside[static_cast<std::size_t>(q)] == 0; }))
                edge.push_back(p);
        }
        if (edge.empty()) return std::nullopt;
        constexpr double far_mm = 1e9, towards_middle = 3.0, soft_mm = 0.4;
        std::vector<double> cost(skin_.size(), 1.0);
        const Reached depth = walker_.from(edge, far_mm, inside, {});
        for (std::size_t i = 0; i < depth.point.size(); ++i)
            cost[static_cast<std::size_t>(depth.point[i])] = 1.0 + towards_middle / (depth.way[i] + soft_mm);
        const auto farthest = [&](std::int32_t from) {
            return walker_.from(std::vector<std::int32_t>{from}, far_mm, inside, cost);
        };
        const Reached first = farthest(part.front());
        const Reached second = farthest(first.point.back());
        std::vector<Vec3> path;
        double fresh = 0.0;  // of the way, what no other mark covers
        for (std::int32_t at = static_cast<std::int32_t>(second.point.size()) - 1; at >= 0;
             at = second.from[static_cast<std::size_t>(at)]) {
            const std::int32_t p = second.point[static_cast<std::size_t>(at)];
            if (!path.empty() && covered[static_cast<std::size_t>(p)] == 0)
                fresh += (skin_.place(p) - path.back()).norm();
            path.push_back(skin_.place(p));
        }
        const double way = length(path, false);
        if (fresh < line_mm || fresh < 0.3 * way) return std::nullopt;
        const double rough = area / way;
        if (way < line_slender * rough) return std::nullopt;
        const double half = std::clamp(0.5 * rough + margin_mm, 1.6, 4.0);
        constexpr double along_mm = 2.0;
        path = centred(resampled(smoothed(resampled(path, 1.0, false), 2.0, false), 1.0, false), false, ink,
                       half, along_mm, 4);
        if (path.size() < 3) return std::nullopt;
        Traced one;
        one.mark.kind = Kind::line;
        one.mark.points = laid(path);
        one.mark.contrast = contrast(one.mark.points, false, ink, 0.6);
        one.mark.breadth_mm = breadth(one.mark.points, false, ink, one.mark.contrast, half);
        one.mark.length_mm = length(one.mark.points, false);
        return one;
    }

    std::optional<Traced> spot(const std::vector<std::int32_t>& region, const Ink& ink) const {
        Vec3 centre = Vec3::Zero();
        double sum = 0.0;
        for (const std::int32_t p : ink.points) {
            const double w = ink.weight(p);
            centre += w * skin_.place(p);
            sum += w;
        }
        if (!(sum > 0.0)) return std::nullopt;
        Traced one;
        one.mark.kind = Kind::spot;
        one.mark.points = {on_cast(centre / sum)};
        // of the weighted mean: in a speck of few points noise alone stands out in one of them
        double shares = 0.0, weights = 0.0;
        for (const std::int32_t p : region) {
            const double w = skin_.area(p) * field_.strength[static_cast<std::size_t>(p)];
            shares += w * ink.share(p);
            weights += w;
        }
        one.mark.contrast = weights > 0.0 ? shares / weights : 0.0;
        one.mark.area_mm2 = one.mark.contrast > 0.0 ? sum / one.mark.contrast : 0.0;
        one.mark.breadth_mm = 2.0 * std::sqrt(one.mark.area_mm2 / std::numbers::pi);
        return one;
    }

    std::optional<Traced> patch(const std::vector<std::int32_t>& region, const Ink& ink, double area) const {
        std::vector<Vec3> outline = outer_loop(skin_, region);
        if (outline.size() < 4) return std::nullopt;
        Traced one;
        one.mark.kind = Kind::area;
        one.mark.points = laid(resampled(smoothed(resampled(outline, 1.0, true), 2.0, true), 1.0, true));
        one.mark.contrast =
            contrast({skin_.place(region.front())}, false, {skin_, field_, region, ink.colour}, 1e9);
        one.mark.length_mm = length(one.mark.points, true);
        one.mark.area_mm2 = area;
        one.mark.breadth_mm = 2.0 * std::sqrt(area / std::numbers::pi);
        return one;
    }

    /// Mean strength 1.5 to 4 mm outside a region.
    double just_outside(const std::vector<std::int32_t>& region) {
        constexpr double from_mm = 1.5, to_mm = 4.0;
        const Reached near = walker_.from(region, to_mm, {}, {});
        double sum = 0.0, count = 0.0;
        for (std::size_t i = 0; i < near.point.size(); ++i) {
            if (near.way[i] < from_mm) continue;
            sum += field_.strength[static_cast<std::size_t>(near.point[i])];
            count += 1.0;
        }
        return count > 0.0 ? sum / count : 0.0;
    }

    void finish(Traced& one, const std::vector<std::int32_t>& region, double beside) const {
        double sum = 0.0, count = 0.0;
        one.to_rim_mm = Skin::far_mm;
        const bool closed = one.mark.kind == Kind::area;
        const bool whole = one.mark.kind == Kind::spot || (closed && !one.mark.ring);
        for (const std::int32_t p : region) {
            if (!whole && distance(one.mark.points, closed, skin_.place(p)) > 0.5 * one.mark.breadth_mm + 0.3)
                continue;
            sum += field_.strength[static_cast<std::size_t>(p)];
            count += 1.0;
            one.to_rim_mm = std::min(one.to_rim_mm, skin_.to_rim(p));
        }
        one.strength = count > 0.0 ? sum / count : 0.0;
        one.beside = one.strength > 0.0 ? beside / one.strength : 1.0;
    }

    bool joined(std::vector<Traced>& all, std::size_t i, std::size_t j) const {
        if (all[i].mark.kind != Kind::line || all[j].mark.kind != Kind::line) return false;
        std::vector<Vec3>&a = all[i].mark.points, &b = all[j].mark.points;
        constexpr std::size_t back = 5;
        for (const bool turn_a : {false, true})
            for (const bool turn_b : {false, true}) {
                std::vector<Vec3> head = a, tail = b;
                if (turn_a) std::reverse(head.begin(), head.end());
                if (turn_b) std::reverse(tail.begin(), tail.end());
                const Vec3 gap = tail.front() - head.back();
                if (gap.norm() > join_mm) continue;
                const Vec3 out = (head.back() - head[head.size() - 1 - std::min(back, head.size() - 1)]),
                           in = (tail[std::min(back, tail.size() - 1)] - tail.front());
                const double straight = out.normalized().dot(in.normalized());
                const double onward = gap.norm() > 2.0 ? std::min(out.normalized().dot(gap.normalized()),
                                                                  in.normalized().dot(gap.normalized()))
                                                       : straight;
                if (straight < join_cosine || onward < join_cosine) continue;
                InkMark& m = all[i].mark;
                const InkMark& n = all[j].mark;
                const double share = m.length_mm / (m.length_mm + n.length_mm);
                m.contrast = share * m.contrast + (1.0 - share) * n.contrast;
                m.breadth_mm = share * m.breadth_mm + (1.0 - share) * n.breadth_mm;
                all[i].strength = share * all[i].strength + (1.0 - share) * all[j].strength;
                all[i].to_rim_mm = std::min(all[i].to_rim_mm, all[j].to_rim_mm);
                head.insert(head.end(), tail.begin(), tail.end());
                m.points = laid(resampled(head, 1.0, false));
                m.length_mm = length(m.points, false);
                all.erase(all.begin() + static_cast<std::ptrdiff_t>(j));
                return true;
            }
        return false;
    }

    const Skin& skin_;
    const InkField& field_;
    Walker walker_;
    Bvh bvh_;
};

}  // namespace

Outcome<std::vector<Traced>> trace(const Skin& skin, const InkField& ink, Progress* progress) {
    std::vector<Traced> all;
    Tracer tracer(skin, ink);
    for (const auto& region : ink_regions(skin, ink)) {
        if (progress != nullptr && progress->cancelled())
            return Fault{FaultKind::cancelled, "marks", "Cancelled.", {}};
        for (Traced& one : tracer.of(region)) all.push_back(std::move(one));
    }
    tracer.join(all);
    for (Traced& one : all) {
        const bool closed = one.mark.kind == Kind::area;
        if (one.mark.kind != Kind::spot)
            one.mark.points = thinned(one.mark.points, simplified_mm, chord_mm, closed);
    }
    return all;
}

}  // namespace archwright::mark
