#include "engine/foot/balance.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::foot {

namespace {

using enum LandmarkId;

LandmarkId second_point(Balance::Second second) {
    switch (second) {
        case Balance::Second::medial_malleolus:
            return medial_malleolus;
        case Balance::Second::navicular:
            return navicular;
        case Balance::Second::fifth_base:
            return fifth_base;
    }
    return medial_malleolus;
}

/// The foot's own angle is taken once, from the cast as it stood: levelled anew after a turn about +x it
/// would come out a little different (0.16 degrees were seen), since heel and heads do not lie on the axis.
std::optional<Figure> own_angle(const Standing& standing) {
    const Landmarks& marks = standing.landmarks;
    const auto lower = marked(marks, bisection_lower), upper = marked(marks, bisection_upper);
    const auto first = marked(marks, first_head_plantar), fifth = marked(marks, fifth_head_plantar);
    if (!lower || !upper || !first || !fifth) return std::nullopt;
    return forefoot_to_rearfoot(*lower, *upper, *first, *fifth, standing.heel_lowest);
}

Posture posture(const Standing& standing, const Balance& asked, const std::optional<Figure>& ffrf) {
    const Landmarks& marks = standing.landmarks;
    const auto lower = marked(marks, bisection_lower), upper = marked(marks, bisection_upper);
    const auto first = marked(marks, first_head_plantar), fifth = marked(marks, fifth_head_plantar);
    const auto lateral = marked(marks, lateral_malleolus),
               second = marked(marks, second_point(asked.malleolar_second));
    Posture p;
    if (lower && upper) p.heel_bisection = heel_bisection(*lower, *upper);
    if (first && fifth) p.metatarsal_plane = metatarsal_plane(*first, *fifth);
    if (lateral && second) p.malleolar = malleolar_line(*lateral, *second);
    if (p.heel_bisection && ffrf)
        p.forefoot = Figure{ffrf->value + p.heel_bisection->value, ffrf->uncertainty};
    return p;
}

void turn(Standing& standing, const Mat3& r, const Vec3& t) {
    const auto move = [&](const Vec3& p) { return Vec3(r * p + t); };
    for (Vec3& p : standing.mesh.points) p = move(p);
    for (auto& [id, landmark] : standing.landmarks) landmark.position = move(landmark.position);
    standing.heel_lowest = move(standing.heel_lowest);
    standing.frame = standing.frame.then(r, t);
}

/// Lowest z of what stands behind the toe roots.
double lowest(const Standing& standing, double toe_roots_x) {
    double z = 1e300;
    for (const Vec3& p : standing.mesh.points)
        if (p.x() < toe_roots_x) z = std::min(z, p.z());
    return z;
}

Fault ask(const std::string& message) {
    return {FaultKind::ask, "balance", message, {}};
}
Fault needs(const std::string& method, LandmarkId id) {
    return ask("Balance by " + method + " needs the landmark \"" + title(id) +
               "\": set it with archwright landmark JOB " + key(id) + " --at X,Y,Z --by CODE.");
}

std::string figure_text(const Figure& f) {
    return inclination(f.value) + " (+- " + rounded(f.uncertainty, 1) + ")";
}

/// How far the cast must be turned about +x, after its pitch, to stand as asked.
Outcome<double> inversion(const Standing& pitched, const Balance& asked) {
    const Landmarks& marks = pitched.landmarks;
    const auto of_heel = [&](double target, const std::string& method) -> Outcome<double> {
        const auto lower = marked(marks, bisection_lower), upper = marked(marks, bisection_upper);
        if (!lower) return needs(method, bisection_lower);
        if (!upper) return needs(method, bisection_upper);
        return target - heel_bisection(*lower, *upper).value;
    };
    switch (asked.method) {
        case Balance::Method::as_it_stands:
            return 0.0;
        case Balance::Method::heel_bisection:
            return of_heel(asked.heel_deg, "heel bisection");
        case Balance::Method::inverted_pour:
            if (!asked.pour_deg)
                return ask("An inverted pour needs its inversion: set balance.pour_deg in the job.");
            return of_heel(*asked.pour_deg, "inverted pour");
        case Balance::Method::malleolar: {
            if (!asked.malleolar_deg)
                return ask(
                    "A malleolar reference needs its inclination, which has no default: set "
                    "balance.malleolar_deg in the job.");
            const LandmarkId other = second_point(asked.malleolar_second);
            const auto lateral = marked(marks, lateral_malleolus), second = marked(marks, other);
            if (!lateral) return needs("malleolar reference", lateral_malleolus);
            if (!second) return needs("malleolar reference", other);
            return *asked.malleolar_deg - malleolar_line(*lateral, *second).value;
        }
    }
    return 0.0;
}

/// The planes the cast lies on as its load wanders about its middle.
void find_rest(const Standing& standing, double rear_x, double toe_roots_x, Balanced& out) {
    // nothing that touches a flat bench stands higher than this above the lowest point
    constexpr double reach_mm = 40.0;
    const double low = lowest(standing, toe_roots_x);
    // the lowest of every half millimetre of plan: a fine scan has fifty points there, and asks no more of
    // them
    constexpr double cell_mm = 0.5;
    std::unordered_map<std::int64_t, std::size_t> cells;
    std::vector<Vec3> near;
    for (const Vec3& p : standing.mesh.points) {
        if (!(p.x() < toe_roots_x && p.z() < low + reach_mm)) continue;
        const auto i = static_cast<std::int64_t>(std::floor(p.x() / cell_mm)),
                   j = static_cast<std::int64_t>(std::floor(p.y() / cell_mm));
        const auto [at, fresh] = cells.try_emplace(i * 100'000 + j, near.size());
        if (fresh)
            near.push_back(p);
        else if (p.z() < near[at->second].z())
            near[at->second] = p;
    }
    const Vec2 middle(rear_x + load_share * standing.foot_length_mm, 0.0);
    out.rest = rest_under(near, middle);
    if (!out.rest) return;
    using enum LandmarkId;
    for (const auto& [id, name] :
         {std::pair(heel_centre, "heel"), std::pair(first_head_plantar, "1st head"),
          std::pair(second_head_plantar, "2nd head"), std::pair(fifth_head_plantar, "5th head"),
          std::pair(fifth_base, "5th base")})
        if (const auto found = standing.landmarks.find(id); found != standing.landmarks.end()) {
            const Vec3& p = found->second.position;
            out.gaps.emplace_back(name, std::max(0.0, p.z() - out.rest->height_at(p.x(), p.y())));
        }
    for (const double dx : {-wander_along_mm, 0.0, wander_along_mm})
        for (const double dy : {-wander_across_mm, 0.0, wander_across_mm})
            if (const auto other = rest_under(near, middle + Vec2(dx, dy))) {
                const double turn = turn_between_deg(*other, *out.rest);
                if (turn <= out.rocking_deg) continue;
                out.rocking_deg = turn;
                out.rocking_shift = Vec2(dx, dy);
                out.rocking_ways_deg = Vec2(std::abs(other->pitch_deg() - out.rest->pitch_deg()),
                                            std::abs(other->inclination_deg() - out.rest->inclination_deg()));
            }
}

/// "15 mm further forward and 8 mm further lateral".
std::string shift_words(const Vec2& shift) {
    std::string words;
    if (shift.x() != 0.0)
        words = rounded(std::abs(shift.x()), 0) + " mm further " + (shift.x() > 0.0 ? "forward" : "back");
    if (shift.y() != 0.0)
        words += (words.empty() ? "" : " and ") + rounded(std::abs(shift.y()), 0) + " mm further " +
                 (shift.y() > 0.0 ? "medial" : "lateral");
    return words;
}

void tell(const Balance& asked, Balanced& out) {
    const auto say = [&](const std::string& sentence) { out.words.push_back(sentence); };
    switch (asked.method) {
        case Balance::Method::as_it_stands:
            say("The cast stands on its own lowest points.");
            break;
        case Balance::Method::heel_bisection:
            say("The heel bisection stands at " + inclination(asked.heel_deg) + ".");
            break;
        case Balance::Method::malleolar:
            say("The malleolar line stands at " + inclination(*asked.malleolar_deg) + ".");
            break;
        case Balance::Method::inverted_pour:
            out.heel_effect_deg = *asked.pour_deg / pour_ratio;
            say("Inverted pour: the heel stands " + inclination(*asked.pour_deg) + "; about " +
                rounded(std::abs(*out.heel_effect_deg), 1) +
                " degrees of it are expected at the heel (5:1). It is no post of that angle.");
            break;
    }
    if (out.inversion_deg != 0.0) say("Turned about the axis: " + inclination(out.inversion_deg) + ".");
    if (out.pitch_deg != 0.0)
        say("Pitched " + rounded(out.pitch_deg, 2) + " degrees, toes down, for a heel " +
            rounded(asked.heel_height_mm, 1) + " mm high.");
    const auto angle = [&](const std::string& name, const std::optional<Figure>& before,
                           const std::optional<Figure>& after) {
        if (before && after)
            say(name + ": " + figure_text(*before) + " before, " + figure_text(*after) + " after.");
    };
    angle("Heel bisection", out.before.heel_bisection, out.after.heel_bisection);
    angle("Metatarsal plane", out.before.metatarsal_plane, out.after.metatarsal_plane);
    angle("Malleolar line", out.before.malleolar, out.after.malleolar);
}

Check platform_check(const Balance& asked, const Figure& forefoot) {
    Check check = named_check("balance.platform", "Intrinsic correction against the forefoot");
    const double f = forefoot.value, i = asked.intrinsic_deg;
    check.figure = i;
    check.limit = f;
    check.unit = "degrees";
    const bool more = std::abs(i) > std::abs(f) + forefoot.uncertainty;
    const bool against = i * f < 0.0 && std::abs(f) > forefoot.uncertainty;
    if (i != 0.0 && (more || against)) check.verdict = Verdict::look;
    check.message = "The forefoot would lie " + figure_text(forefoot) + "; the platform corrects " +
                    inclination(i) + " and is tilted " + inclination(f - i) + "; " +
                    rounded(std::abs(remainder_deg(f, i, 0.0)), 1) + " degrees remain" +
                    (more      ? ": more is corrected than there is."
                     : against ? ": the correction goes the other way."
                               : ".");
    return check;
}

}  // namespace

Outcome<Balanced> balance(const Standing& standing, const Balance& asked) {
    Balanced out;
    out.standing = standing;
    const std::optional<Figure> ffrf = own_angle(standing);
    out.before = posture(standing, asked, ffrf);
    const double rear_x = [&] {
        double x = 1e300;
        for (const Vec3& p : standing.mesh.points) x = std::min(x, p.x());
        return x;
    }();
    const double toe_roots_x = rear_x + share::toe_roots * standing.foot_length_mm;
    find_rest(standing, rear_x, toe_roots_x, out);

    if (asked.heel_height_mm != 0.0) {
        const auto first = marked(standing.landmarks, first_head_plantar),
                   fifth = marked(standing.landmarks, fifth_head_plantar);
        if (!first) return needs("heel height", first_head_plantar);
        if (!fifth) return needs("heel height", fifth_head_plantar);
        const double ball_x = 0.5 * (first->position.x() + fifth->position.x());
        const double distance = ball_x - standing.heel_lowest.x();
        if (!(distance > std::abs(asked.heel_height_mm)))
            return Fault{FaultKind::usage, "balance",
                         "balance.heel_height_mm is " + rounded(asked.heel_height_mm, 1) +
                             ", but heel and ball are only " + rounded(distance, 1) + " mm apart.",
                         standing.heel_lowest};
        out.pitch_deg = degrees(std::asin(asked.heel_height_mm / distance));
    }
    const Mat3 pitch = Eigen::AngleAxisd(radians(out.pitch_deg), Vec3::UnitY()).toRotationMatrix();
    Standing pitched;  // landmarks alone: angles are taken from them
    pitched.landmarks = standing.landmarks;
    for (auto& [id, landmark] : pitched.landmarks) landmark.position = pitch * landmark.position;
    const auto turned = inversion(pitched, asked);
    if (!turned) return turned.fault();
    out.inversion_deg = *turned;
    out.rotation = Eigen::AngleAxisd(radians(*turned), Vec3::UnitX()).toRotationMatrix() * pitch;

    if (out.pitch_deg != 0.0 || out.inversion_deg != 0.0) {
        turn(out.standing, out.rotation, Vec3::Zero());
        const auto heel = out.standing.landmarks.find(heel_centre);
        const Vec3 over =
            heel == out.standing.landmarks.end() ? out.standing.heel_lowest : heel->second.position;
        turn(out.standing, Mat3::Identity(), Vec3(-over.x(), -over.y(), -lowest(out.standing, toe_roots_x)));
    }
    out.after = posture(out.standing, asked, ffrf);
    if (asked.forefoot == Balance::Forefoot::platform) {
        for (const LandmarkId id : {bisection_lower, bisection_upper, first_head_plantar, fifth_head_plantar})
            if (!marked(standing.landmarks, id)) return needs("platform", id);
        out.platform_deg = out.after.forefoot->value - asked.intrinsic_deg;
        out.checks.push_back(platform_check(asked, *out.after.forefoot));
    }
    tell(asked, out);

    Check rest = named_check("balance.rest", "Rest of the cast");
    rest.unit = "degrees";
    rest.limit = tolerance::rocking_look_deg;
    if (!out.rest) {
        rest.message = "The cast has no rest under its middle; it stands as its landmarks say.";
    } else {
        rest.figure = out.rocking_deg;
        const bool rocks = out.rocking_deg > tolerance::rocking_look_deg;
        if (rocks && asked.method == Balance::Method::as_it_stands) rest.verdict = Verdict::look;
        rest.message =
            "By itself the cast lies on " + place(out.rest->contacts[0]) + "; " +
            place(out.rest->contacts[1]) + "; " + place(out.rest->contacts[2]) +
            (rocks ? ". It rocks: with the load " + shift_words(out.rocking_shift) + " it turns by " +
                         rounded(out.rocking_deg, 1) + " degrees (" + rounded(out.rocking_ways_deg.x(), 1) +
                         " along the foot, " + rounded(out.rocking_ways_deg.y(), 1) + " across)."
                   : ". It does not rock.");
        std::string air;
        for (const auto& [name, gap] : out.gaps)
            air += (air.empty() ? "" : ", ") + std::string(name) + " " + rounded(gap, 1);
        if (!air.empty()) rest.message += " Air under it, mm: " + air + ".";
    }
    out.checks.push_back(rest);
    return out;
}

}  // namespace archwright::foot
