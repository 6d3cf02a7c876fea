#include "engine/compare/pair.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::compare {

namespace {

/// Shares of the foot's length from the rear.
constexpr double heel_share = 1.0 / 3.0, arch_share = 0.62;
constexpr double sole_cosine = 0.7;  ///< the normal leans to the ground by more than 45 degrees
constexpr double usual_share = 0.95;

double share_of(const Vec3& p, double foot_length_mm) {
    return p.x() / foot_length_mm + foot::share::heel_centre;
}

registration::Settings soles_agree(double foot_length_mm) {
    registration::Settings how;
    how.starts.push_back({});  // both stand in the design frame
    how.agrees = [foot_length_mm](const Vec3& p, const Vec3& n) {
        return region_of(p, n, foot_length_mm).has_value();
    };
    return how;
}

void measure_regions(double foot_length_mm, CastPair& pair) {
    const TriangleMesh& mesh = pair.second;
    const std::vector<Vec3> normals = mesh.point_normals();
    std::vector<double> areas(mesh.points.size(), 0.0);
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i)
        for (const auto corner : mesh.triangles[i])
            areas[static_cast<std::size_t>(corner)] += mesh.area(i) / 3.0;
    std::array<std::vector<std::pair<double, double>>, region_count> sizes;  // distance, area
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        const double mm = pair.mm[i];
        if (!std::isfinite(mm)) continue;
        const auto region = region_of(mesh.points[i], normals[i], foot_length_mm);
        if (!region) continue;
        const auto at = static_cast<std::size_t>(*region);
        RegionFigures& r = pair.regions[at];
        r.mm2 += areas[i];
        r.mean_mm += areas[i] * mm;
        r.rms_mm += areas[i] * mm * mm;
        if (std::abs(mm) > std::max(r.most_added_mm, r.most_taken_mm)) r.worst = mesh.points[i];
        r.most_added_mm = std::max(r.most_added_mm, mm);
        r.most_taken_mm = std::max(r.most_taken_mm, -mm);
        sizes[at].emplace_back(std::abs(mm), areas[i]);
    }
    for (std::size_t at = 0; at < region_count; ++at) {
        RegionFigures& r = pair.regions[at];
        if (!(r.mm2 > 0.0)) continue;
        r.mean_mm /= r.mm2;
        r.rms_mm = std::sqrt(r.rms_mm / r.mm2);
        std::sort(sizes[at].begin(), sizes[at].end());
        double behind = 0.0;
        for (const auto& [size, area] : sizes[at]) {
            behind += area;
            r.within_mm = size;
            if (behind >= usual_share * r.mm2) break;
        }
    }
}

/// The forefoot's own motion once the heels lie on one another.
void measure_forefoot(const registration::Fixed& fixed, const build::Received& second, double foot_length_mm,
                      CastPair& pair) {
    constexpr std::size_t part_samples = 2500;
    const auto part = [&](double from, double to) {
        return registration::samples_of(
            second.standing.mesh, part_samples, [&](const Vec3& p, const Vec3& n) {
                const double share = share_of(p, foot_length_mm);
                return share >= from && share < to && region_of(p, n, foot_length_mm).has_value();
            });
    };
    const registration::Samples heel = part(-1.0, heel_share),
                                front = part(arch_share, foot::share::toe_roots);
    constexpr std::size_t least_samples = 100;
    if (heel.points.size() < least_samples || front.points.size() < least_samples) return;
    // started from the whole: a heel is round and turns easily, so its motion must be held by its rim
    const registration::Course near{6.0, 60};
    const registration::Fit of_heel = registration::settle(fixed, heel, pair.registration.fit.motion, near);
    const registration::Fit of_front = registration::settle(fixed, front, pair.registration.fit.motion, near);
    constexpr double held = 5e-4, most_mm = 2.0;
    if (of_heel.least_held < held || of_front.least_held < held || of_heel.median_mm > most_mm ||
        of_front.median_mm > most_mm)
        return;
    // in the first's frame: where its forefoot stands, brought back to the second and laid by the heel
    const registration::Motion relative = of_front.motion.inverse().then(of_heel.motion);
    const Vec3 ball = of_front.motion(front.centre());
    pair.forefoot_shift_mm = relative(ball) - ball;
    pair.forefoot_turn_deg = degrees(std::atan2(relative.turn(2, 1), relative.turn(2, 2)));
    pair.forefoot_known = true;
}

}  // namespace

const char* title(Region region) {
    constexpr std::array<const char*, region_count> titles{"Heel", "Arch", "Forefoot", "Medial border",
                                                           "Lateral border"};
    return titles[static_cast<std::size_t>(region)];
}

const char* key(Region region) {
    constexpr std::array<const char*, region_count> keys{"heel", "arch", "forefoot", "medial_border",
                                                         "lateral_border"};
    return keys[static_cast<std::size_t>(region)];
}

std::optional<Region> region_of(const Vec3& p, const Vec3& normal, double foot_length_mm) {
    const double share = share_of(p, foot_length_mm);
    if (share > foot::share::toe_roots || p.z() > foot::border_height(foot_length_mm)) return std::nullopt;
    if (normal.z() < -sole_cosine)
        return share < heel_share ? Region::heel : share < arch_share ? Region::arch : Region::forefoot;
    if (normal.z() > sole_cosine) return std::nullopt;  // the dorsum of a low forefoot
    return normal.y() > 0.0 ? Region::medial_border : Region::lateral_border;
}

Outcome<CastPair> compare_casts(const build::Received& first, const build::Received& second,
                                const PairWishes& wishes, Progress& progress) {
    CastPair pair;
    const Side one = first.standing.frame.side, two = second.standing.frame.side;
    pair.mirrored = one != two;
    const Progress::Stretch stretch(progress, "Laying the casts on one another", 0.0, 1.0);
    if (pair.mirrored && !wishes.left_against_right) {
        pair.registration.trouble = registration::Trouble::wrong_side;
        pair.registration.words = std::string("The first cast is of a ") + word(one) +
                                  " foot, the second of a " + word(two) +
                                  " one. State the sides, or ask for left against right (--left-right).";
        return pair;
    }
    const registration::Fixed fixed(first.standing.mesh);
    registration::Settings how = soles_agree(second.standing.foot_length_mm);
    if (wishes.same_mm > 0.0) how.same_mm = wishes.same_mm;
    auto laid = registration::register_surfaces(second.standing.mesh, fixed, how, progress);
    if (!laid) return laid.fault();
    pair.registration = std::move(*laid);
    const registration::Motion motion = pair.registration.fit.motion;
    pair.second = second.standing.mesh;
    for (Vec3& p : pair.second.points) p = motion(p);
    pair.mm.assign(pair.second.points.size(), std::numeric_limits<double>::quiet_NaN());
    if (!pair.registration.ok()) return pair;
    auto apart = difference(sheet_of(pair.second), Reference(first.standing.mesh), progress);
    if (!apart) return apart.fault();
    pair.mm = std::move(apart->mm);
    measure_regions(first.standing.foot_length_mm, pair);
    measure_forefoot(fixed, second, second.standing.foot_length_mm, pair);
    for (const foot::Measurement& m : first.measurements)
        if (const foot::Measurement* other = foot::find(second.measurements, m.id))
            pair.measured.push_back({m.id, m.title, m.unit, m.value, other->value,
                                     std::hypot(m.uncertainty, other->uncertainty)});
    return pair;
}

}  // namespace archwright::compare
