#include "engine/foot/stand.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/suggest.hpp"
#include "engine/foot/survey.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::foot {
namespace {

constexpr int most_rounds = 40;
constexpr double reach = 0.4;          // share of the length: what can take part however the start leans
constexpr double narrow_reach = 0.26;  // once it hardly moves: a little more than heel_height
constexpr double nearly_still = 0.01;  // radians

Fault cannot(const std::string& message) {
    return {FaultKind::input, "stand", message, std::nullopt};
}

Mat3 rows(const Vec3& toes, const Vec3& up) {
    const Vec3 z = up.normalized();
    const Vec3 x = (toes - toes.dot(z) * z).normalized();
    Mat3 r;
    r.row(0) = x.transpose();
    r.row(1) = z.cross(x).transpose();
    r.row(2) = z.transpose();
    return r;
}

/// The triangles that may be used, with their points only; file units.
TriangleMesh usable_part(const TriangleMesh& cleaned, const std::vector<std::uint8_t>& usable) {
    if (usable.empty()) return cleaned;
    TriangleMesh part = cleaned;
    part.triangles.clear();
    for (std::size_t i = 0; i < cleaned.triangles.size(); ++i)
        if (usable[i]) part.triangles.push_back(cleaned.triangles[i]);
    drop_unused_points(part);
    return part;
}

/// What lies below `height` above the lowest point.
TriangleMesh lower_part(const TriangleMesh& mesh, double height) {
    TriangleMesh part;
    const double limit = mesh.box().low.z() + height;
    std::vector<std::int32_t> renumbered(mesh.points.size(), -1);
    for (const Triangle& t : mesh.triangles) {
        if (std::max({mesh.points[t[0]].z(), mesh.points[t[1]].z(), mesh.points[t[2]].z()}) > limit) continue;
        Triangle kept{};
        for (std::size_t k = 0; k < 3; ++k) {
            std::int32_t& index = renumbered[t[k]];
            if (index < 0) {
                index = static_cast<std::int32_t>(part.points.size());
                part.points.push_back(mesh.points[t[k]]);
            }
            kept[k] = index;
        }
        part.triangles.push_back(kept);
    }
    return part;
}

void rotate(TriangleMesh& mesh, const Mat3& r) {
    parallel_for(mesh.points.size(), 1 << 14, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) mesh.points[i] = r * mesh.points[i];
    });
}

/// Where the axis starts and the point it aims at, with what a person set in place of what was surveyed.
struct Aim {
    Vec3 from = Vec3::Zero();
    Vec3 to = Vec3::Zero();
};
Aim aim(const Survey& s, const Landmarks& set) {
    const auto marked = [&](LandmarkId id, const Vec3& otherwise) {
        const auto it = set.find(id);
        return it == set.end() ? otherwise : it->second.position;
    };
    Aim a;
    a.from = marked(LandmarkId::heel_centre, Vec3(s.heel_centre.x(), s.heel_centre.y(), s.heel_low.z()));
    const Vec3 first = marked(LandmarkId::first_head_border, s.first_border);
    const Vec3 fifth = marked(LandmarkId::fifth_head_border, s.fifth_border);
    a.to = marked(LandmarkId::second_head_plantar, first + share::axis_way * (fifth - first));
    return a;
}

std::vector<Check> checks_of(const Survey& s, double moved_degrees) {
    std::vector<Check> checks(2);
    Check& rests = checks[0];
    rests.id = "stand.rests";
    rests.title = "Rests on heel and heads";
    rests.figure = s.heel_low.z() - s.lowest;
    rests.limit = tolerance::rest_gap_mm;
    rests.unit = "mm";
    if (*rests.figure > tolerance::rest_gap_mm) rests.verdict = Verdict::look;
    rests.message = "The cast reaches " + rounded(*rests.figure, 1) +
                    " mm below the plane under heel, 1st and 5th head; levelling moved up by " +
                    rounded(moved_degrees, 1) + " degrees.";
    Check& toes = checks[1];
    toes.id = "stand.toes";
    toes.title = "Toes above the ground";
    toes.figure = s.lowest_toe - s.lowest;
    toes.limit = -tolerance::toes_below_mm;
    toes.unit = "mm";
    if (*toes.figure < -tolerance::toes_below_mm) toes.verdict = Verdict::look;
    toes.message = *toes.figure < 0.0
                       ? "The toes reach " + rounded(-*toes.figure, 1) + " mm below the ground."
                       : "The toes clear the ground.";
    return checks;
}

}  // namespace

Outcome<Standing> stand(const TriangleMesh& cleaned, const scan::Reception& reception, Side side,
                        LengthUnit unit, const Landmarks& set_by_person) {
    if (!(reception.up.value.norm() > 0.0) || !(reception.toes.value.norm() > 0.0) ||
        reception.up.value.normalized().cross(reception.toes.value.normalized()).norm() <
            tolerance::degenerate)
        return cannot("Up and toes of the scan are not known; state them.");
    if (!reception.usable.empty() && reception.usable.size() != cleaned.triangles.size())
        return Fault{FaultKind::internal, "stand", "The reception belongs to another scan.", std::nullopt};
    const TriangleMesh scan = usable_part(cleaned, reception.usable);

    Frame frame;
    frame.side = side;
    frame.mm_per_unit = mm_per(unit);
    const Frame mirror_only = [&] {
        Frame f;
        f.side = side;
        return f;
    }();
    frame.rotation =
        rows(mirror_only.to_design(reception.toes.value), mirror_only.to_design(reception.up.value));
    const Vec3 first_up = frame.rotation.row(2).transpose();

    TriangleMesh low = to_design(scan, frame, reception.inside_out.value);
    low = lower_part(low, reach * reception.foot_length * frame.mm_per_unit);
    Landmarks set = to_design(set_by_person, frame);
    std::optional<Survey> surveyed;
    bool narrowed = false;
    for (int round = 0; round < most_rounds; ++round) {
        surveyed = survey(low, reception.toes_cut);
        if (!surveyed)
            return cannot("Heel and metatarsal heads were not found on the scan: check up, toes and unit.");
        const Vec3 up =
            (surveyed->fifth_low - surveyed->heel_low).cross(surveyed->first_low - surveyed->heel_low);
        const Aim a = aim(*surveyed, set);
        const Vec3 toes = a.to - a.from;
        if (!(up.norm() > 0.0) || up.normalized().cross(toes.normalized()).norm() < tolerance::degenerate)
            return cannot("Heel and metatarsal heads lie on one line: check the landmarks.");
        const Mat3 r = rows(toes, up);
        rotate(low, r);
        for (auto& [id, landmark] : set) landmark.position = r * landmark.position;
        frame.rotation = r * frame.rotation;
        frame.rotation = rows(frame.rotation.row(0).transpose(), frame.rotation.row(2).transpose());
        const double moved = (r - Mat3::Identity()).cwiseAbs().maxCoeff();
        if (moved < tolerance::standing_converged) break;
        if (!narrowed && moved < nearly_still) {
            low = lower_part(low, narrow_reach * reception.foot_length * frame.mm_per_unit);
            narrowed = true;
        }
    }
    surveyed = survey(low, reception.toes_cut);
    if (!surveyed)
        return cannot("Heel and metatarsal heads were not found on the scan: check up, toes and unit.");
    const Aim a = aim(*surveyed, set);
    frame.translation = Vec3(-a.from.x(), -a.from.y(), -surveyed->lowest);

    Standing standing;
    standing.frame = frame;
    standing.mesh = to_design(scan, frame, reception.inside_out.value);
    const Suggestions suggestions = suggest(standing.mesh, reception.toes_cut);
    standing.landmarks = suggestions.landmarks;
    for (const auto& [id, landmark] : to_design(set_by_person, frame)) standing.landmarks[id] = landmark;
    standing.foot_length_mm = surveyed->profile.length;
    standing.length_estimated = surveyed->length_estimated;
    standing.lowest_toe_mm = surveyed->lowest_toe - surveyed->lowest;
    standing.heel_lowest = surveyed->heel_low + frame.translation;
    const Vec3 now_up = frame.rotation.row(2).transpose();
    standing.checks = checks_of(*surveyed, degrees(std::acos(std::clamp(now_up.dot(first_up), -1.0, 1.0))));
    return standing;
}

}  // namespace archwright::foot
