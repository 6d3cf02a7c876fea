#include "engine/foot/stand.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/landmark_check.hpp"
#include "engine/foot/on_cast.hpp"
#include "engine/foot/suggest.hpp"
#include "engine/foot/survey.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::foot {
namespace {

constexpr int most_rounds = 40;

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
    TriangleMesh part;
    part.points = cleaned.points;
    part.colours = cleaned.colours;
    for (std::size_t i = 0; i < cleaned.triangles.size(); ++i)
        if (usable[i]) part.triangles.push_back(cleaned.triangles[i]);
    drop_unused_points(part);
    return part;
}

template <class Move>
void move_all(std::vector<Vec3>& points, Move&& move) {
    parallel_for(points.size(), 1 << 15, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) points[i] = move(i);
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
    if (moved_degrees > tolerance::levelled_stop_degrees) {
        rests.verdict = Verdict::stop;
        rests.message += " That is too far to be this foot's sole: look at which way is up, and state it.";
    }
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
    TriangleMesh part;
    if (!reception.usable.empty()) part = usable_part(cleaned, reception.usable);
    const TriangleMesh& scan = reception.usable.empty() ? cleaned : part;

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

    std::vector<Vec3> placed(scan.points.size());
    move_all(placed, [&](std::size_t i) { return frame.to_design(scan.points[i]); });
    const Landmarks on_scan = on_cast(scan, frame.mm_per_unit, set_by_person);
    Landmarks set = to_design(on_scan, frame);
    std::optional<Survey> surveyed;
    for (int round = 0; round < most_rounds; ++round) {
        surveyed = survey(placed, scan.triangles, reception.toes_cut);
        if (!surveyed)
            return cannot("Heel and metatarsal heads were not found on the scan: check up, toes and unit.");
        const Vec3 up =
            (surveyed->fifth_low - surveyed->heel_low).cross(surveyed->first_low - surveyed->heel_low);
        const Aim a = aim(*surveyed, set);
        const Vec3 toes = a.to - a.from;
        if (!(up.norm() > 0.0) || up.normalized().cross(toes.normalized()).norm() < tolerance::degenerate)
            return cannot("Heel and metatarsal heads lie on one line: check the landmarks.");
        const Mat3 r = rows(toes, up);
        move_all(placed, [&](std::size_t i) { return Vec3(r * placed[i]); });
        for (auto& [id, landmark] : set) landmark.position = r * landmark.position;
        frame.rotation = r * frame.rotation;
        frame.rotation = rows(frame.rotation.row(0).transpose(), frame.rotation.row(2).transpose());
        if ((r - Mat3::Identity()).cwiseAbs().maxCoeff() < tolerance::standing_converged) break;
    }
    surveyed = survey(placed, scan.triangles, reception.toes_cut);
    if (!surveyed)
        return cannot("Heel and metatarsal heads were not found on the scan: check up, toes and unit.");
    const Aim a = aim(*surveyed, set);
    frame.translation = Vec3(-a.from.x(), -a.from.y(), -surveyed->lowest);

    Standing standing;
    standing.frame = frame;
    standing.mesh = to_design(scan, frame, reception.inside_out.value);
    const Suggestions suggestions = suggest(standing.mesh, reception.toes_cut);
    standing.landmarks = suggestions.landmarks;
    for (const auto& [id, landmark] : to_design(on_scan, frame)) standing.landmarks[id] = landmark;
    standing.foot_length_mm = surveyed->profile.length;
    standing.length_estimated = surveyed->length_estimated;
    standing.lowest_toe_mm = surveyed->lowest_toe - surveyed->lowest;
    standing.heel_lowest = surveyed->heel_low + frame.translation;
    const Vec3 now_up = frame.rotation.row(2).transpose();
    standing.checks = checks_of(*surveyed, degrees(std::acos(std::clamp(now_up.dot(first_up), -1.0, 1.0))));
    standing.checks.push_back(check_marked(standing.landmarks));
    if (!set_by_person.empty()) {  // judged where the person put them
        Landmarks as_set = standing.landmarks;
        for (const auto& [id, landmark] : to_design(set_by_person, frame)) as_set[id] = landmark;
        standing.checks.push_back(check_places(as_set, suggestions.landmarks, standing.mesh));
    }
    return standing;
}

}  // namespace archwright::foot
