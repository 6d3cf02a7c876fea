#include "engine/mark/guess.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mark/polyline.hpp"

namespace archwright::mark {

namespace {

/// A place of the foot that marks lie at, and what one there is called.
struct Place {
    Meaning meaning = Meaning::other;
    std::string name;    ///< of a mark
    std::string reason;  ///< "it lies under ..."
};

constexpr double at_bone_mm = 14.0, at_head_mm = 13.0, at_malleolus_mm = 28.0;

Vec3 middle_of(const InkMark& mark) {
    Vec3 sum = Vec3::Zero();
    for (const Vec3& p : mark.points) sum += p;
    return sum / static_cast<double>(mark.points.size());
}

std::optional<Vec3> landmark(const foot::Standing& standing, foot::LandmarkId id) {
    const auto found = standing.landmarks.find(id);
    if (found == standing.landmarks.end()) return std::nullopt;
    return found->second.position;
}

/// Metatarsal heads in plan: the 2nd, 3rd and 4th lie between the 1st and 5th.
std::optional<int> head_under(const foot::Standing& standing, const Vec3& p) {
    const auto first = landmark(standing, foot::LandmarkId::first_head_plantar),
               fifth = landmark(standing, foot::LandmarkId::fifth_head_plantar),
               second = landmark(standing, foot::LandmarkId::second_head_plantar);
    if (!first || !fifth) return std::nullopt;
    std::optional<int> best;
    double least = at_head_mm;
    for (int k = 1; k <= 5; ++k) {
        // the heads lie on a bow: those in the middle further forward than the chord
        const double t = (k - 1) / 4.0;
        constexpr double bow_mm = 7.0;
        Vec2 head = ((1.0 - t) * *first + t * *fifth).head<2>() + 4.0 * t * (1.0 - t) * Vec2(bow_mm, 0.0);
        if (k == 2 && second) head = second->head<2>();
        const double d = (p.head<2>() - head).norm();
        if (d < least) {
            least = d;
            best = k;
        }
    }
    return best;
}

const char* ordinal(int k) {
    constexpr const char* words[] = {"1st", "2nd", "3rd", "4th", "5th"};
    return words[k - 1];
}

Place place_of_spot(const foot::Standing& standing, const Vec3& p, bool drawn_round) {
    const auto near = [&](foot::LandmarkId id, double within) {
        const auto at = landmark(standing, id);
        return at && (*at - p).norm() <= within;
    };
    const std::string lies = drawn_round ? "it encloses a place " : "it lies ";
    if (near(foot::LandmarkId::medial_malleolus, at_malleolus_mm))
        return {Meaning::malleolus, "medial-malleolus", lies + "at the medial malleolus"};
    if (near(foot::LandmarkId::lateral_malleolus, at_malleolus_mm))
        return {Meaning::malleolus, "lateral-malleolus", lies + "at the lateral malleolus"};
    if (near(foot::LandmarkId::fifth_base, at_bone_mm))
        return {Meaning::bone, "fifth-base", lies + "at the base of the 5th metatarsal"};
    if (near(foot::LandmarkId::navicular, at_bone_mm))
        return {Meaning::bone, "navicular", lies + "at the navicular tuberosity"};
    const double along = p.x() / standing.foot_length_mm;
    constexpr double sole_mm = 22.0, heel_share = 0.14;  // of the length, in front of the heel centre
    if (p.z() < sole_mm) {
        if (const auto head = head_under(standing, p))
            return {drawn_round ? Meaning::lesion : Meaning::pain, "metatarsal-" + std::to_string(*head),
                    lies + "under the " + ordinal(*head) + " metatarsal head"};
        if (along < heel_share)
            return {drawn_round ? Meaning::lesion : Meaning::pain, "heel-spot", lies + "under the heel"};
        return {drawn_round ? Meaning::lesion : Meaning::pain, "spot", lies + "on the sole"};
    }
    return {drawn_round ? Meaning::lesion : Meaning::other, "spot", lies + "above the sole"};
}

Place place_of_line(const foot::Standing& standing, const InkMark& mark) {
    const Vec3 &a = mark.points.front(), &b = mark.points.back();
    const Vec3 way = b - a;
    double highest = -1e9, rear = 1e9, front = -1e9, y = 0.0;
    for (const Vec3& p : mark.points) {
        highest = std::max(highest, p.z());
        rear = std::min(rear, p.x());
        front = std::max(front, p.x());
        y += p.y() / static_cast<double>(mark.points.size());
    }
    const double length = standing.foot_length_mm;
    const auto posterior = landmark(standing, foot::LandmarkId::posterior_heel);
    const double heel_end = posterior ? posterior->x() : -0.16 * length;
    constexpr double steep = 0.75, near_back_mm = 14.0;
    if (std::abs(way.z()) > steep * way.norm() && front < heel_end + near_back_mm)
        return {Meaning::heel_bisection, "heel-bisection", "it runs up the back of the heel"};
    const bool along = std::abs(way.x()) > 0.8 * way.norm();
    constexpr double most_lateral_mm = -12.0, arch_mm = 40.0;
    if (along && mark.length_mm > 0.1 * length && y > most_lateral_mm && y < arch_mm && highest < arch_mm &&
        rear > heel_end && front < 0.8 * length)
        return {Meaning::plantar_fascia, "fascia",
                "it runs from heel to toes under the arch, as the plantar fascia does"};
    if (mark.length_mm > 0.7 * length)
        return {Meaning::trim, "trim", "it runs round a great part of the foot"};
    return {Meaning::other, "line", "neither its place nor its course tells what it is"};
}

Place place_of(const foot::Standing& standing, const InkMark& mark) {
    if (mark.kind == Kind::line) return place_of_line(standing, mark);
    constexpr double round_the_foot = 0.9;  // of the length, round an area
    if (mark.ring && mark.length_mm > round_the_foot * standing.foot_length_mm)
        return {Meaning::trim, "trim", "it runs round a great part of the foot"};
    Place at = place_of_spot(standing, middle_of(mark), mark.kind == Kind::area);
    if (mark.kind == Kind::area && at.meaning == Meaning::lesion) at.name = "lesion";
    return at;
}

/// 0 at `low` and below, 1 at `high` and above.
double ramp(double value, double low, double high) {
    return std::clamp((value - low) / (high - low), 0.0, 1.0);
}

}  // namespace

void guess(const foot::Standing& standing, Traced& found) {
    InkMark& mark = found.mark;
    // lines run from heel to toes, or upward
    if (mark.kind == Kind::line) {
        const Vec3 way = mark.points.back() - mark.points.front();
        if (std::abs(way.x()) > std::abs(way.z()) ? way.x() < 0.0 : way.z() < 0.0)
            std::reverse(mark.points.begin(), mark.points.end());
    }
    mark.contrast = std::min(mark.contrast, 1.0);
    const Place at = place_of(standing, mark);
    mark.guess = at.meaning;
    mark.name = at.name;
    // how sure: dark against plaster and against its grain, a stroke's or a spot's size, away from the rim
    constexpr double thin_mm = 0.5, usual_mm = 1.0, broad_mm = 4.0, stain_mm = 8.0;
    double shape = 1.0;
    if (mark.kind == Kind::line || mark.ring)
        shape = ramp(mark.breadth_mm, thin_mm, usual_mm) * (1.0 - ramp(mark.breadth_mm, broad_mm, stain_mm));
    else if (mark.kind == Kind::spot)
        shape = ramp(mark.breadth_mm, 1.6, 3.0);
    const double dark = ramp(mark.contrast, 0.6 * tolerance::ink_least_contrast, 0.3);
    const double clear = ramp(found.strength, 3.0, 9.0);
    const double inside = ramp(found.to_rim_mm, 0.0, 6.0);
    const double sharp = 1.0 - ramp(found.beside, 0.25, 0.5);
    mark.confidence = std::cbrt(dark * clear * shape) * sharp * (0.4 + 0.6 * inside);
    const std::string size =
        mark.kind == Kind::line ? "A line " + rounded(mark.length_mm, 0) + " mm long and " +
                                      rounded(mark.breadth_mm, 1) + " broad"
        : mark.ring ? "A ring " + rounded(2.0 * std::sqrt(mark.area_mm2 / std::numbers::pi), 0) + " mm across"
        : mark.kind == Kind::area ? "A patch of " + rounded(0.01 * mark.area_mm2, 1) + " cm2"
                                  : "A spot " + rounded(mark.breadth_mm, 1) + " mm across";
    mark.sentence = size + ", contrast " + rounded(mark.contrast, 2) + " with the plaster round it, at " +
                    archwright::place(middle_of(mark)) + "; " + at.reason + ".";
}

}  // namespace archwright::mark
