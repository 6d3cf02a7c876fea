#include "engine/pattern/pattern.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/frame.hpp"
#include "engine/pattern/brush.hpp"
#include "engine/pattern/forefoot.hpp"

namespace archwright::pattern {

namespace {

using design::Cover;
using Kind = Cover::Kind;
using foot::LandmarkId;

// Where a border and what lies in front of it meet: no notch and no spike a knife could not follow.
constexpr double knife_radius_mm = 3.0;

// In front of the distal edge, which runs straight on beyond its corners; moved back by `overlap_mm`.
Region ahead_of(const Ring& distal, double overlap_mm) {
    constexpr double far = 500.0;
    const auto along = [&](std::size_t from, std::size_t to) {
        Vec2 way = distal[to] - distal[from];
        constexpr double steepest = 0.6;  // x over y, so that it never runs away along the foot
        way.x() = std::clamp(way.x(), -steepest * std::abs(way.y()), steepest * std::abs(way.y()));
        return Vec2(way.norm() > 0.0 ? Vec2(way.normalized()) : Vec2::UnitY());
    };
    const std::size_t last = distal.size() - 1, few = std::min<std::size_t>(last, 8);
    Ring ring{distal.front() - far * along(0, few)};
    ring.insert(ring.end(), distal.begin(), distal.end());
    ring.push_back(distal.back() + far * along(last - few, last));
    for (Vec2& p : ring) p.x() -= overlap_mm;
    ring.emplace_back(2.0 * far, ring.back().y());
    ring.emplace_back(2.0 * far, ring.front().y());
    return Region(ring);
}

// The borders run from shell to ball without the notch that the shell's rounded corner leaves: hollows there
// are no sharper than a radius. Further back the shell's own waist stays as it is.
Region smoothly_joined(const Region& shell, const Region& front, const LaidFlat& laid) {
    constexpr double hollow_radius_mm = 90.0, back_mm = 60.0, far = 1000.0;
    const Region whole = shell.joined(front);
    const double from = std::min(laid.medial().at.x(), laid.lateral().at.x()) - back_mm;
    const Region ahead(Ring{{from, -far}, {far, -far}, {far, far}, {from, far}});
    constexpr double corner_radius_mm = 12.0;
    return rounded_ahead(whole.joined(whole.common(ahead).closed(hollow_radius_mm)), corner_radius_mm,
                         laid.lateral().at, laid.medial().at);
}

Outcome<Ring> free_outline(const Cover& cover, const LaidFlat& laid) {
    constexpr int per_span = 12;
    const auto curve = surface::PeriodicCurve::through(cover.outline);
    Ring ring;
    const std::size_t count = curve.control.size() * per_span;
    for (std::size_t k = 0; k < count; ++k)
        ring.push_back(laid.place(curve.point(static_cast<double>(k) / per_span)));
    // what crosses itself falls apart, or is wound round twice somewhere
    const Region region(ring);
    constexpr double least_mm2 = 1.0, same_mm2 = 0.01;
    const double area = std::abs(signed_area(ring));
    if (region.rings().size() != 1 || area < least_mm2 ||
        std::abs(signed_area(region.rings().front()) - area) > same_mm2)
        return Fault{FaultKind::usage,
                     "pattern",
                     "the curve through the points of its outline crosses itself or has no area: put them in "
                     "order round the part.",
                     {}};
    if (signed_area(ring) < 0.0) std::reverse(ring.begin(), ring.end());
    return ring;
}

Outcome<Ring> cut_line(const Cover& cover, const LaidFlat& laid, const Forefoot& foot) {
    if (!cover.outline.empty()) return free_outline(cover, laid);
    Region region(laid.edge());
    if (cover.length != Cover::Length::shell) {
        const auto front = in_front(foot, laid, cover.length, cover.distal_mm);
        if (!front) return front.fault();
        region = smoothly_joined(region, *front, laid).closed(knife_radius_mm);
    }
    region = region.grown(cover.margin_mm);
    if (cover.kind == Kind::extension)
        region = region.common(ahead_of(laid.distal(), cover.overlap_mm)).opened(knife_radius_mm);
    Ring ring = region.largest();
    if (ring.size() < 3)
        return Fault{FaultKind::check,
                     "pattern",
                     "nothing is left of it with a margin of " + exact(cover.margin_mm) +
                         " mm: make the margin larger.",
                     {}};
    return ring;
}

std::vector<Spot> spots(const foot::Landmarks& landmarks, const LaidFlat& laid) {
    std::vector<Spot> all;
    for (const auto& [id, word] :
         {std::pair(LandmarkId::heel_centre, "heel centre"), std::pair(LandmarkId::first_head_plantar, "1"),
          std::pair(LandmarkId::second_head_plantar, "2"), std::pair(LandmarkId::fifth_head_plantar, "5")})
        if (const auto found = landmarks.find(id); found != landmarks.end())
            all.push_back({word, laid.place(found->second.position.head<2>())});
    return all;
}

Check stretch_check(const LaidFlat& laid) {
    Check check = named_check("pattern.stretch", "Shell laid flat for its cover");
    const double off = std::max(1.0 - laid.stretch_low(), laid.stretch_high() - 1.0);
    check.figure = 100.0 * off;
    check.unit = "%";
    check.limit = 100.0 * std::max(1.0 - tolerance::stretch_low, tolerance::stretch_high - 1.0);
    const bool within =
        laid.stretch_low() >= tolerance::stretch_low && laid.stretch_high() <= tolerance::stretch_high;
    check.verdict = within ? Verdict::pass : Verdict::look;
    check.message = "On the shell the flat pattern is stretched by " + rounded(laid.stretch_low(), 2) +
                    " to " + rounded(laid.stretch_high(), 2) + "; the shell's edge is " +
                    rounded(laid.edge_on_shell_mm(), 1) + " mm long there and " +
                    rounded(perimeter(laid.edge()), 1) + " mm on the pattern." +
                    (within ? "" : " Sheet hardly follows that: leave a margin, or dart the heel.");
    return check;
}

Check join_check(const LaidFlat& laid) {
    Check check = named_check("pattern.join", "Pattern at the distal edge");
    check.figure = laid.join_mm();
    check.limit = tolerance::pattern_join_look_mm;
    check.unit = "mm";
    check.verdict = laid.join_mm() <= tolerance::pattern_join_look_mm ? Verdict::pass : Verdict::look;
    check.message = "Laid flat the distal edge lies " + rounded(laid.join_mm(), 2) +
                    " mm at most from the same edge in plan" +
                    (check.verdict == Verdict::look
                         ? ": the edge is not flat, so what goes on in front of it is off by as much."
                         : ".");
    return check;
}

// The room dressed under the foot against the sheets that lie on the heel.
std::optional<Check> room_check(const design::FootDesign& foot) {
    double thick = 0.0;
    std::string names;
    for (const Cover& cover : foot.covers)
        if (cover.kind != Kind::extension && cover.outline.empty()) {
            thick += cover.thickness_mm;
            names += (names.empty() ? "" : " + ") + exact(cover.thickness_mm) + " mm (" + cover.name + ")";
        }
    if (names.empty()) return std::nullopt;
    Check check = named_check("pattern.room", "Room for the cover");
    check.figure = thick;
    check.limit = foot.dress.cover_mm;
    check.unit = "mm";
    constexpr double sheet_mm = 0.1;  // what a sheet's thickness is known to
    const double lift = thick - foot.dress.cover_mm;
    check.verdict = std::abs(lift) <= sheet_mm ? Verdict::pass : Verdict::look;
    check.message = "On the heel lie " + names + "; room was made for " + exact(foot.dress.cover_mm) +
                    " mm (dress.cover_mm)" +
                    (check.verdict == Verdict::pass ? "."
                     : lift > 0.0                   ? ": the foot stands " + rounded(lift, 1) +
                                        " mm higher in the shoe and the cup is shallower by as much. Set "
                                        "dress.cover_mm, or try the shoe."
                                  : ": " + rounded(-lift, 1) + " mm of it stay empty. Set dress.cover_mm.");
    return check;
}

}  // namespace

Ring as_seen(const Ring& ring, Side side) {
    Ring seen = foot::to_export(ring, side);
    for (Vec2& p : seen) p = Vec2(-p.y(), p.x());
    return seen;
}

Vec2 as_seen(const Vec2& point, Side side) {
    return as_seen(Ring{point}, side).front();
}

Outcome<PatternSet> draw_patterns(const build::Device& device, const design::FootDesign& foot,
                                  const std::string& revision_date) {
    PatternSet set;
    if (foot.covers.empty()) return set;
    if (!device.received || !device.surfaced || !device.shelled)
        return Fault{FaultKind::internal, "pattern", "The device was not built before its patterns.", {}};
    const surface::Shell& shell = device.shelled->shell;
    const auto laid = LaidFlat::of(shell.foot_side, shell.trim, device.surfaced->rule);
    if (!laid) return laid.fault();
    const foot::Standing& standing = device.received->standing;
    const auto survey = foot::survey(standing.mesh, standing.length_estimated);
    if (!survey)
        return Fault{FaultKind::check,
                     "pattern",
                     "The foot has no outline in plan: check the cast and its landmarks.",
                     {}};
    const Forefoot forefoot{survey->profile, device.surfaced->rule, standing.foot_length_mm,
                            standing.length_estimated};

    constexpr double beyond_mm = 60.0, step_mm = 4.0;
    Ring axis;
    for (double x = survey->profile.rear - beyond_mm;
         x < survey->profile.rear + survey->profile.length + beyond_mm; x += step_mm)
        axis.push_back(laid->place(Vec2(x, 0.0)));
    for (const Cover& cover : foot.covers) {
        const auto cut = cut_line(cover, *laid, forefoot);
        if (!cut) {
            Fault fault = cut.fault();
            fault.message = std::string("The ") + word(device.side) + " foot's \"" + cover.name +
                            "\" (covers): " + fault.message;
            return fault;
        }
        Pattern pattern;
        pattern.case_code = device.case_code;
        pattern.revision = device.revision;
        pattern.date = revision_date;
        pattern.side = device.side;
        pattern.cover = cover;
        pattern.cut = *cut;
        pattern.shell_edge = laid->edge();
        pattern.spots = spots(standing.landmarks, *laid);
        pattern.axis = axis;
        pattern.stretch_low = laid->stretch_low();
        pattern.stretch_high = laid->stretch_high();
        pattern.area_mm2 = signed_area(*cut);
        pattern.perimeter_mm = perimeter(*cut);
        set.patterns.push_back(std::move(pattern));
    }
    set.checks.push_back(stretch_check(*laid));
    set.checks.push_back(join_check(*laid));
    if (auto room = room_check(foot)) set.checks.push_back(std::move(*room));
    return set;
}

Outcome<std::vector<Vec2>> edge_in_plan(const build::Device& device, const design::FootDesign& foot,
                                        const design::Cover& cover, std::size_t most_points) {
    design::FootDesign alone = foot;
    alone.covers = {cover};
    const auto set = draw_patterns(device, alone, {});
    if (!set) return set.fault();
    const auto laid =
        LaidFlat::of(device.shelled->shell.foot_side, device.shelled->shell.trim, device.surfaced->rule);
    if (!laid) return laid.fault();
    constexpr double edge_fit_mm = 0.3, placed_mm = 0.02;
    auto outline = fitted(set->patterns.front().cut, edge_fit_mm, {}, most_points);
    if (!outline) return outline.fault();
    for (Vec2& p : *outline) {
        // the place that lies there laid flat: the sole is nearly its own plan
        const Vec2 wanted = p;
        constexpr int most_rounds = 60;
        constexpr double calm = 0.7;
        for (int round = 0; round < most_rounds; ++round) {
            const Vec2 off = wanted - laid->place(p);
            if (off.norm() < placed_mm) break;
            p += calm * off;
        }
        if ((wanted - laid->place(p)).norm() > edge_fit_mm)
            return Fault{FaultKind::usage, "pattern",
                         "Its edge has no place in plan where the shell stands steep: draw its outline.",
                         Vec3(wanted.x(), wanted.y(), 0)};
        p = Vec2(std::round(10.0 * p.x()) / 10.0, std::round(10.0 * p.y()) / 10.0);
    }
    return outline;
}

}  // namespace archwright::pattern
