#include "engine/build/shoe_check.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/shoe/clearance.hpp"

namespace archwright::build {

namespace {

// --- the device seen from above -------------------------------------------------------------------

// Every point of the mesh at or below `height`: its vertices, and where its edges pass through that height.
std::vector<Vec3> below(const TriangleMesh& mesh, double height) {
    std::vector<Vec3> points;
    for (const Vec3& p : mesh.points)
        if (p.z() <= height) points.push_back(p);
    for (const Triangle& t : mesh.triangles)
        for (int k = 0; k < 3; ++k) {
            const Vec3 &a = mesh.points[t[k]], &b = mesh.points[t[(k + 1) % 3]];
            // of the two triangles at an edge the one that climbs along it
            if (a.z() <= height && b.z() > height)
                points.push_back(a + (height - a.z()) / (b.z() - a.z()) * (b - a));
        }
    return points;
}

// The points outermost in plan: of every strip across and along, the first and the last. Whatever lies
// between two of them cannot be past an edge that both keep within, as long as the edge's sections are
// single.
std::vector<Vec3> outermost(const std::vector<Vec3>& points) {
    constexpr double strip_mm = 0.5;
    std::map<std::pair<int, long>, std::size_t> ends;  // (which end, strip): the point
    for (std::size_t i = 0; i < points.size(); ++i)
        for (int axis = 0; axis < 2; ++axis) {
            const long strip = std::lround(points[i][1 - axis] / strip_mm);
            for (const double sign : {-1.0, 1.0}) {
                const auto [end, first] = ends.try_emplace({2 * axis + (sign > 0.0 ? 1 : 0), strip}, i);
                if (!first && sign * points[i][axis] > sign * points[end->second][axis]) end->second = i;
            }
        }
    std::vector<std::size_t> kept;
    for (const auto& [key, i] : ends) kept.push_back(i);
    std::sort(kept.begin(), kept.end());
    kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
    std::vector<Vec3> outer;
    for (const std::size_t i : kept) outer.push_back(points[i]);
    return outer;
}

// --- on the insole ---------------------------------------------------------------------------------

// Limits of the zones, as shares of the insole's length (our choice), and what counts as its heel end: edge
// that faces backwards by more than 10 degrees behind where the heel's breadth is taken.
constexpr double heel_zone = 1.0 / 3.0, arch_zone = 0.6, toe_zone = 0.9;
constexpr double backwards = -0.17, forwards = 0.7;

bool heel_end(const shoe::Past& past, const shoe::Insole& insole) {
    return past.nearest.x() < shoe::heel_share * insole.length_mm && past.outward.x() < backwards;
}

std::string zone_of(const shoe::Past& past, const shoe::Insole& insole) {
    if (heel_end(past, insole) && past.outward.x() < -forwards) return "behind the heel";
    const double along = past.nearest.x() / insole.length_mm;
    if (along > toe_zone && past.outward.x() > forwards) return "in front of the toes";
    return std::string(along < heel_zone   ? "heel"
                       : along < arch_zone ? "arch"
                                           : "forefoot") +
           (past.outward.y() >= 0.0 ? ", medial" : ", lateral");
}

struct Place {
    Eigen::Matrix2d turn = Eigen::Matrix2d::Identity();
    Vec2 shift = Vec2::Zero();
    Vec2 of(const Vec3& p) const { return turn * p.head<2>() + shift; }
};

// One line of the device and what was last found of its points: a point that moved by m since cannot be past
// the edge by more than it was, and m.
struct Line {
    explicit Line(std::vector<Vec3> outer)
        : points(std::move(outer)),
          seen(points.size(), {Vec2(0.0, 0.0), std::numeric_limits<double>::infinity()}) {}

    struct Seen {
        Vec2 at;
        double past_mm;
    };
    std::vector<Vec3> points;
    std::vector<Seen> seen;
    std::size_t worst = 0;  // of the last look
};

class Fit {
  public:
    Fit(const shoe::Insole& insole, double clearance_mm)
        : insole_(insole), edge_(insole.outline), clearance_(clearance_mm) {
        for (const Vec2& p : insole.outline.points()) {
            low_ = std::min(low_, p.y());
            high_ = std::max(high_, p.y());
        }
    }

    // Rear at the line's rear; `aside` is counted from where the middles of both breadths meet.
    Place place(const Line& line, double turn_deg, double aside) const {
        Place place;
        place.turn = Eigen::Rotation2Dd(radians(turn_deg)).toRotationMatrix();
        constexpr double far = std::numeric_limits<double>::infinity();
        double rear = far, low = far, high = -far;
        for (const Vec3& p : line.points) {
            const Vec2 q = place.of(p);
            rear = std::min(rear, q.x());
            low = std::min(low, q.y());
            high = std::max(high, q.y());
        }
        place.shift = Vec2(clearance_ - rear, 0.5 * (low_ + high_) - 0.5 * (low + high) + aside);
        return place;
    }

    ShoeLine greatest(Line& line, const Place& place) const {
        ShoeLine worst;
        worst.overlap_mm = -std::numeric_limits<double>::infinity();
        const std::size_t first = line.worst;
        const auto look_at = [&](std::size_t i) {
            Line::Seen& seen = line.seen[i];
            const Vec2 q = place.of(line.points[i]);
            if (seen.past_mm + (q - seen.at).norm() + clearance_ < worst.overlap_mm) return;
            const shoe::Past past = edge_.past(q);
            seen = {q, past.mm};
            const double overlap = past.mm + clearance_;
            if (overlap <= worst.overlap_mm) return;
            if (overlap <= tolerance::shoe_touch_mm && heel_end(past, insole_)) return;
            worst.overlap_mm = overlap;
            line.worst = i;
        };
        look_at(first);  // most likely the worst again: then the others need no look
        for (std::size_t i = 0; i < line.points.size(); ++i)
            if (i != first) look_at(i);
        worst.where = line.points[line.worst];
        worst.zone = zone_of(edge_.past(place.of(worst.where)), insole_);
        return worst;
    }

  private:
    const shoe::Insole& insole_;
    shoe::Edge edge_;
    double clearance_;
    double low_ = std::numeric_limits<double>::infinity(), high_ = -low_;
};

struct Least {
    double at = 0.0, value = std::numeric_limits<double>::infinity();
};

// Least value of f over [-reach, reach]: first in steps outward from 0, the nearer to 0 where two are alike,
// then golden section between the best one's neighbours.
Least least(const std::function<double(double)>& f, double reach, int steps, double until) {
    Least best;
    const double step = reach / steps;
    const auto try_at = [&](double x) {
        const double value = f(x);
        if (value < best.value) best = {x, value};
        return value;
    };
    for (int i = 0; i <= steps; ++i) {
        try_at(i * step);
        if (i > 0) try_at(-i * step);
    }
    constexpr double golden = 0.6180339887498949;
    double low = std::max(best.at - step, -reach), high = std::min(best.at + step, reach);
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = try_at(a), at_b = try_at(b);
    while (high - low > until) {
        if (at_a <= at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = try_at(a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = try_at(b);
        }
    }
    return best;
}

// --- what is said of it ------------------------------------------------------------------------------

Check line_check(const char* id, const char* title, const ShoeLine& line, const std::string& what,
                 double clearance_mm, const std::string& advice) {
    Check check = named_check(id, title);
    check.figure = line.overlap_mm;
    check.limit = 0.0;
    check.unit = "mm";
    check.where = line.where;
    const std::string edge = " (" + rounded(clearance_mm, 1) + " mm inside the insole's edge)";
    const std::string at = " at " + place(line.where) + " (" + line.zone + ")";
    if (line.overlap_mm > 0.0) {
        check.verdict = Verdict::look;
        check.message =
            what + " is past its line" + edge + " by " + rounded(line.overlap_mm, 1) + " mm" + at + advice;
    } else {
        check.message = what + " keeps within its line" + edge + "; closest by " +
                        rounded(-line.overlap_mm, 1) + " mm" + at + ".";
    }
    return check;
}

}  // namespace

std::vector<Vec2> ShoeLaid::insole_under(const shoe::Insole& insole) const {
    const Eigen::Matrix2d back = Eigen::Rotation2Dd(-radians(turn_deg)).toRotationMatrix();
    std::vector<Vec2> points;
    for (const Vec2& p : insole.outline.points()) points.push_back(back * (p - Vec2(forward_mm, shift_mm)));
    return points;
}

ShoeLaid lay_in_shoe(const TriangleMesh& mesh, const shoe::Insole& insole, double clearance_mm) {
    const double ground = mesh.box().low.z();
    Line footprint(outermost(below(mesh, ground + footprint_height_mm)));
    Line rim(outermost(mesh.points));
    const Fit fit(insole, clearance_mm);

    constexpr double reach_mm = 20.0, until_mm = 0.002, until_deg = 0.002;
    constexpr int shifts = 10, turns = 6;
    constexpr double turn_cost = 1e-3;  // mm a degree: a turn that gains nothing is not made
    constexpr double footprint_first = 1000.0;
    const auto badness = [&](double turn_deg, double aside) {
        const Place place = fit.place(rim, turn_deg, aside);
        return footprint_first * std::max(0.0, fit.greatest(footprint, place).overlap_mm) +
               fit.greatest(rim, place).overlap_mm;
    };
    const auto best_aside = [&](double turn_deg) {
        return least([&](double aside) { return badness(turn_deg, aside); }, reach_mm, shifts, until_mm);
    };
    const Least turn = least([&](double a) { return best_aside(a).value + turn_cost * std::abs(a); },
                             most_turn_deg, turns, until_deg);
    const Place place = fit.place(rim, turn.at, best_aside(turn.at).at);
    ShoeLaid laid;
    laid.forward_mm = place.shift.x();
    laid.shift_mm = place.shift.y();
    laid.turn_deg = turn.at;
    laid.footprint = fit.greatest(footprint, place);
    laid.rim = fit.greatest(rim, place);
    return laid;
}

bool names_insole(const design::Order& order) {
    return !order.insole_outline.empty() || order.insole_length_mm || order.insole_ball_mm ||
           order.insole_heel_mm;
}

Outcome<ShoeFit> shoe_stage(const TriangleMesh& mesh, const design::Order& order,
                            const std::optional<shoe::Drawing>& drawing) {
    ShoeFit fit;
    fit.clearance_mm = order.insole_clearance_mm;
    if (drawing) {
        fit.file = order.insole_outline.substr(order.insole_outline.rfind('/') + 1);
        fit.sha256 = drawing->sha256;
        fit.notes = drawing->notes;
        const std::string unit = drawing->format + ", 1 unit is " + drawing->unit;
        fit.source =
            "the file " + fit.file + " (" + unit + "), drawn for a " + word(order.insole_side) + " foot";
        auto insole = shoe::Insole::posed(drawing->outline, order.insole_side, fit.file + " (" + unit + ")");
        if (!insole) return insole.fault();
        fit.insole = std::move(*insole);
    } else {
        fit.source = "the sizes in the order";
        std::string missing;
        for (const auto& [key, size] : {std::pair("order.insole_length_mm", order.insole_length_mm),
                                        std::pair("order.insole_ball_mm", order.insole_ball_mm),
                                        std::pair("order.insole_heel_mm", order.insole_heel_mm)})
            if (!size) missing += (missing.empty() ? "" : ", ") + std::string(key);
        if (!missing.empty()) {
            Check check = named_check("shoe.sizes", "Sizes of the insole");
            check.verdict = Verdict::look;
            check.message = "The order gives some sizes of the insole, and not " + missing +
                            ": whether the device lies on it was not looked at. Give all three, or a file "
                            "with the outline (order.insole_outline).";
            fit.checks.push_back(std::move(check));
            return fit;
        }
        auto insole =
            shoe::Insole::of_sizes(*order.insole_length_mm, *order.insole_ball_mm, *order.insole_heel_mm);
        if (!insole) return insole.fault();
        fit.insole = std::move(*insole);
    }
    fit.laid = lay_in_shoe(mesh, *fit.insole, fit.clearance_mm);
    fit.checks.push_back(line_check(
        "shoe.footprint", "Footprint in the shoe", fit.laid->footprint,
        "What of the device lies within " + rounded(footprint_height_mm, 0) + " mm of the ground",
        fit.clearance_mm, ". It would ride up there: make the device narrower, or look at the shoe."));
    fit.checks.push_back(line_check(
        "shoe.rim", "Rim in the shoe", fit.laid->rim, "The device's widest outline", fit.clearance_mm,
        ". It lies above the insole there, and the shoe's upper may give: try it in the shoe."));
    return fit;
}

}  // namespace archwright::build
